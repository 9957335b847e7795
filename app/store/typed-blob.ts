/** Plain blobs of typed arrays. Files move between machines, so the bytes are little-endian; every machine that the
 *  app runs on is, and one that were not must not write a single byte. */
import { endianness } from "node:os";
import { DamagedRecordError } from "./store-fault.ts";

if (endianness() !== "LE") throw new Error("The store needs a little-endian machine");

/** A view of the array's own bytes: no copy. */
export function blobOf(values: Float64Array | Float32Array | Uint32Array | Uint16Array): Uint8Array {
	return new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
}

/** A copy at the start of its own buffer, because a typed array must be aligned and a blob from SQLite need not be. */
function alignedCopy(blob: Uint8Array, width: number): ArrayBuffer {
	if (blob.byteLength % width !== 0) {
		throw new DamagedRecordError(`a blob of ${blob.byteLength} bytes does not divide by ${width}`);
	}
	return Uint8Array.from(blob).buffer;
}

/** @throws DamagedRecordError, as the ones below, when the length is not a whole number of values. */
export function float64From(blob: Uint8Array): Float64Array {
	return new Float64Array(alignedCopy(blob, 8));
}

export function float32From(blob: Uint8Array): Float32Array {
	return new Float32Array(alignedCopy(blob, 4));
}

export function uint32From(blob: Uint8Array): Uint32Array {
	return new Uint32Array(alignedCopy(blob, 4));
}

export function uint16From(blob: Uint8Array): Uint16Array {
	return new Uint16Array(alignedCopy(blob, 2));
}
