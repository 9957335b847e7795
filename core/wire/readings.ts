import { decodeBase64, encodeBase64 } from "./base64.ts";
import type { LineFields } from "./line-fields.ts";

/** How the readings of a frame are written: a decimal list, or little-endian numbers in base64. */
export const readingEncodings = ["d", "i16", "i24", "i32", "f32"] as const;
export type ReadingEncoding = (typeof readingEncodings)[number];

const bytesOf = { i16: 2, i24: 3, i32: 4, f32: 4 } as const;
const integerLimit = { i16: 2 ** 15, i24: 2 ** 23, i32: 2 ** 31 } as const;

export type ReadingsFault = "bad-payload" | "wrong-count";

/** Fills arrays with the readings of frames; owns the memory that base64 is decoded to. */
export class ReadingsDecoder {
	readonly #scratch: Uint8Array;
	readonly #view: DataView;

	constructor(mostReadings: number) {
		this.#scratch = new Uint8Array(mostReadings * 4 + 3);
		this.#view = new DataView(this.#scratch.buffer);
	}

	/** Reads the last field of a line into all of `values`; the array's content is undefined after a fault. */
	read(encoding: ReadingEncoding, fields: LineFields, values: Float64Array): ReadingsFault | null {
		if (encoding === "d") return readDecimals(fields, values);
		return this.#readBase64(encoding, fields, values);
	}

	#readBase64(
		encoding: Exclude<ReadingEncoding, "d">,
		fields: LineFields,
		values: Float64Array,
	): ReadingsFault | null {
		const size = decodeBase64(fields.bytes, fields.start, fields.end, this.#scratch);
		if (size < 0) return "bad-payload";
		if (size !== values.length * bytesOf[encoding]) return "wrong-count";
		const view = this.#view;
		const scratch = this.#scratch;
		switch (encoding) {
			case "i16":
				for (let i = 0; i < values.length; i++) values[i] = view.getInt16(2 * i, true);
				return null;
			case "i24":
				for (let i = 0, at = 0; i < values.length; i++, at += 3) {
					values[i] = ((scratch[at]! << 8) | (scratch[at + 1]! << 16) | (scratch[at + 2]! << 24)) >> 8;
				}
				return null;
			case "i32":
				for (let i = 0; i < values.length; i++) values[i] = view.getInt32(4 * i, true);
				return null;
			case "f32": {
				let finite = true;
				for (let i = 0; i < values.length; i++) {
					const value = view.getFloat32(4 * i, true);
					finite = finite && Number.isFinite(value);
					values[i] = value;
				}
				return finite ? null : "bad-payload";
			}
		}
	}
}

function readDecimals(fields: LineFields, values: Float64Array): ReadingsFault | null {
	let count = 0;
	while (fields.hasEntry()) {
		const value = fields.decimalEntry();
		if (count < values.length) values[count] = value;
		count++;
	}
	if (fields.failed) return "bad-payload";
	return count === values.length ? null : "wrong-count";
}

/** The readings as the last field of a frame. @throws RangeError when a reading does not fit the encoding: not
 *  finite, not whole or too large for an integer, or (decimal) in need of an exponent or more than 15 digits. */
export function encodeReadings(encoding: ReadingEncoding, values: Float64Array): string {
	if (encoding === "d") return Array.from(values, decimal).join(",");
	const bytes = new Uint8Array(values.length * bytesOf[encoding]);
	const view = new DataView(bytes.buffer);
	for (let i = 0; i < values.length; i++) {
		const value = values[i]!;
		if (encoding === "f32") {
			if (!Number.isFinite(Math.fround(value)))
				throw new RangeError(`reading ${i}: ${value} is no finite float32`);
			view.setFloat32(4 * i, value, true);
			continue;
		}
		const limit = integerLimit[encoding];
		if (!Number.isInteger(value) || value < -limit || value >= limit) {
			throw new RangeError(`reading ${i}: ${value} does not fit ${encoding}`);
		}
		if (encoding === "i16") view.setInt16(2 * i, value, true);
		else if (encoding === "i32") view.setInt32(4 * i, value, true);
		else {
			view.setInt16(3 * i, value & 0xffff, true);
			view.setInt8(3 * i + 2, value >> 16);
		}
	}
	return encodeBase64(bytes);
}

function decimal(value: number, index: number): string {
	const text = String(value);
	if (!/^-?\d+(\.\d+)?$/.test(text) || text.replace(/[-.]/g, "").length > 15) {
		throw new RangeError(`reading ${index}: ${value} is not a decimal number of at most 15 digits`);
	}
	return text;
}
