import type { BadLineCause } from "../bad-line.ts";
import { type BoardProfile, bytesOfNumber, type PayloadNumber } from "./board-profile.ts";

type Payload = Extract<BoardProfile["readings"], { kind: "base64" }>;

/** Reads the numbers of decoded bytes into `values[offset, offset + count)`. @returns what is wrong, or null. */
export function readPayload(
	bytes: Uint8Array,
	size: number,
	{ number, byteOrder, prefixBytes, prefixCounts }: Payload,
	values: Float64Array,
	offset: number,
	count: number,
): BadLineCause | null {
	const isLittle = byteOrder === "little-endian";
	const width = bytesOfNumber[number];
	if (size !== prefixBytes + count * width) return "wrong-count";
	if (prefixBytes > 0) {
		const told = whole(bytes, 0, prefixBytes, isLittle);
		if (told !== (prefixCounts === "bytes" ? count * width : count)) return "wrong-count";
	}
	let areFinite = true;
	for (let i = 0; i < count; i++) {
		const value = numberAt(bytes, prefixBytes + i * width, number, isLittle);
		areFinite = areFinite && Number.isFinite(value);
		values[offset + i] = value;
	}
	return areFinite ? null : "bad-payload";
}

const crossing = new DataView(new ArrayBuffer(8));

function numberAt(bytes: Uint8Array, at: number, number: PayloadNumber, isLittle: boolean): number {
	const width = bytesOfNumber[number];
	switch (number) {
		case "uint8":
		case "uint16":
		case "uint32":
			return whole(bytes, at, width, isLittle);
		case "int16":
		case "int24":
		case "int32": {
			const value = whole(bytes, at, width, isLittle);
			const half = 2 ** (8 * width - 1);
			return value >= half ? value - 2 * half : value;
		}
		case "float32":
		case "float64":
			for (let i = 0; i < width; i++) crossing.setUint8(i, bytes[at + i]!);
			return width === 4 ? crossing.getFloat32(0, isLittle) : crossing.getFloat64(0, isLittle);
	}
}

function whole(bytes: Uint8Array, at: number, width: number, isLittle: boolean): number {
	let value = 0;
	for (let i = 0; i < width; i++) value = value * 256 + bytes[at + (isLittle ? width - 1 - i : i)]!;
	return value;
}
