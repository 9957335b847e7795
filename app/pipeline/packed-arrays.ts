/**
 * Plain data with typed arrays in it as one run of bytes: a JSON text in which each array is replaced by its place,
 * then the arrays' bytes as they lie in memory. Little-endian machines only, which all are that this app runs on.
 */

const arrayTypes = { Float64Array, Float32Array, Uint32Array, Uint16Array, Int16Array, Uint8Array } as const;

type ArrayName = keyof typeof arrayTypes;

interface Place {
	readonly $array: ArrayName;
	/** Bytes from the first array's. */
	readonly at: number;
	readonly length: number;
}

/** What every array's first byte is a multiple of. */
const ALIGNMENT = 8;

/** Numbers that JSON does not have. */
const oddNumbers: Readonly<Record<string, number>> = {
	NaN: Number.NaN,
	Infinity: Number.POSITIVE_INFINITY,
	"-Infinity": Number.NEGATIVE_INFINITY,
};

/** @param value objects, lists, texts, numbers, null and the typed arrays above
 *  @throws TypeError on an array of another type */
export function packArrays(value: unknown): Uint8Array<ArrayBuffer> {
	const arrays: { readonly array: ArrayBufferView; readonly at: number }[] = [];
	let size = 0;
	const text = JSON.stringify(value, (_, part: unknown) => {
		if (typeof part === "number" && !Number.isFinite(part)) return { $number: String(part) };
		if (!ArrayBuffer.isView(part)) return part;
		const name = part.constructor.name;
		if (!isArrayName(name)) throw new TypeError(`packed arrays: no place for ${name}`);
		const at = size;
		arrays.push({ array: part, at });
		size = aligned(at + part.byteLength);
		return { $array: name, at, length: part.byteLength / arrayTypes[name].BYTES_PER_ELEMENT } satisfies Place;
	});
	const head = new TextEncoder().encode(text);
	const begin = aligned(4 + head.byteLength);
	const bytes = new Uint8Array(begin + size);
	new DataView(bytes.buffer).setUint32(0, head.byteLength, true);
	bytes.set(head, 4);
	for (const { array, at } of arrays)
		bytes.set(new Uint8Array(array.buffer, array.byteOffset, array.byteLength), begin + at);
	return bytes;
}

/** @returns what was packed; its arrays are views into `bytes`, which must begin at a multiple of 8
 *  @throws RangeError, SyntaxError or TypeError when these are not bytes of `packArrays` */
export function unpackArrays(bytes: Uint8Array<ArrayBuffer>): unknown {
	const headLength = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(0, true);
	const text = new TextDecoder("utf-8", { fatal: true }).decode(bytes.subarray(4, 4 + headLength));
	const begin = bytes.byteOffset + aligned(4 + headLength);
	return JSON.parse(text, (_, part: unknown) => {
		if (typeof part !== "object" || part === null) return part;
		if ("$number" in part) return oddNumbers[String(part.$number)];
		if (!("$array" in part)) return part;
		const { $array, at, length } = part as Place;
		if (!isArrayName($array) || at % ALIGNMENT !== 0) throw new TypeError("packed arrays: no such array");
		const end = begin + at + length * arrayTypes[$array].BYTES_PER_ELEMENT;
		if (!(end <= bytes.byteOffset + bytes.byteLength)) throw new RangeError("packed arrays: cut off");
		return new arrayTypes[$array](bytes.buffer, begin + at, length);
	});
}

function isArrayName(name: string): name is ArrayName {
	return Object.hasOwn(arrayTypes, name);
}

function aligned(offset: number): number {
	return Math.ceil(offset / ALIGNMENT) * ALIGNMENT;
}
