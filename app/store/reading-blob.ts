/**
 * Readings as compact bytes without losing a bit. Boards send converter counts, short decimals or float32, so the
 * smallest of these forms that gives back the very same float64 values is taken for each frame:
 *
 * | byte 0 | values, little-endian    | a reading is                            |
 * |-------:|--------------------------|-----------------------------------------|
 * |      1 | int16                    | integer ÷ 10^exponent                   |
 * |      2 | int24                    | integer ÷ 10^exponent                   |
 * |      3 | int32                    | integer ÷ 10^exponent                   |
 * |      4 | float32                  | the value                               |
 * |      5 | float64                  | the value                               |
 *
 * Byte 1 is the exponent, 0 to 15. A decimal of up to 9 digits comes back exactly: both the integer and the power of
 * ten are exact in float64, and IEEE 754 division rounds their quotient to the float64 nearest to the decimal, which
 * is what reading the decimal gave in the first place (W. D. Clinger, How to Read Floating Point Numbers Accurately,
 * PLDI 1990). 208 values take 418 bytes as int16: 20 minutes at 30 frames/s are 15 MB.
 */

import { DamagedRecordError } from "./store-fault.ts";

const INT16 = 1;
const INT24 = 2;
const INT32 = 3;
const FLOAT32 = 4;
const FLOAT64 = 5;

const HEADER_BYTES = 2;
const MAX_EXPONENT = 15;
const MAX_INT16 = 0x7fff;
const MAX_INT24 = 0x7fffff;
const MAX_INT32 = 0x7fffffff;

const bytesPerValue = [0, 2, 3, 4, 4, 8] as const;
const powersOfTen = Float64Array.from({ length: MAX_EXPONENT + 1 }, (_, exponent) => Number(`1e${exponent}`));

/** Room that any frame of so many readings fits in. */
export function largestBlobBytes(readingCount: number): number {
	return HEADER_BYTES + 8 * readingCount;
}

/** The smallest exponent with which every value is an int32 divided by a power of ten, or -1. */
function decimalExponent(values: Float64Array): number {
	let exponent = 0;
	let largest = 0;
	for (let i = 0; i < values.length; i++) {
		const value = values[i]!;
		// The integer forms have no minus zero.
		if (value === 0 && Object.is(value, -0)) return -1;
		const size = Math.abs(value);
		if (size > largest) largest = size;
		for (;;) {
			const power = powersOfTen[exponent]!;
			if (!(largest * power <= MAX_INT32)) return -1;
			if (Math.round(value * power) / power === value) break;
			if (++exponent > MAX_EXPONENT) return -1;
		}
	}
	return exponent;
}

function integerForm(values: Float64Array, power: number): number {
	let largest = 0;
	for (let i = 0; i < values.length; i++) {
		const size = Math.abs(Math.round(values[i]! * power));
		if (size > largest) largest = size;
	}
	return largest <= MAX_INT16 ? INT16 : largest <= MAX_INT24 ? INT24 : INT32;
}

function fitsFloat32(values: Float64Array): boolean {
	for (let i = 0; i < values.length; i++) {
		const value = values[i]!;
		if (Math.fround(value) !== value && !Number.isNaN(value)) return false;
	}
	return true;
}

/** Writes `values` at `offset`. @returns the number of bytes written, at most `largestBlobBytes(values.length)`.
 *  @throws RangeError when they do not fit. */
export function writeReadings(values: Float64Array, target: DataView, offset: number): number {
	const exponent = decimalExponent(values);
	const power = powersOfTen[Math.max(exponent, 0)]!;
	const form = exponent >= 0 ? integerForm(values, power) : fitsFloat32(values) ? FLOAT32 : FLOAT64;
	target.setUint8(offset, form);
	target.setUint8(offset + 1, Math.max(exponent, 0));
	let at = offset + HEADER_BYTES;
	for (let i = 0; i < values.length; i++) {
		const value = values[i]!;
		if (form === INT16) target.setInt16(at, Math.round(value * power), true);
		else if (form === INT24) {
			const integer = Math.round(value * power);
			target.setInt16(at, integer, true);
			target.setInt8(at + 2, integer >> 16);
		} else if (form === INT32) target.setInt32(at, Math.round(value * power), true);
		else if (form === FLOAT32) target.setFloat32(at, value, true);
		else target.setFloat64(at, value, true);
		at += bytesPerValue[form]!;
	}
	return at - offset;
}

/** @returns [nReadings] the values as they were written. @throws DamagedRecordError when the bytes are not a blob of
 *  ours. */
export function readReadings(blob: Uint8Array): Float64Array {
	const view = new DataView(blob.buffer, blob.byteOffset, blob.byteLength);
	const form = blob.byteLength >= HEADER_BYTES ? view.getUint8(0) : 0;
	const exponent = form === 0 ? 0 : view.getUint8(1);
	const width = bytesPerValue[form] ?? 0;
	const count = (blob.byteLength - HEADER_BYTES) / width;
	if (width === 0 || exponent > MAX_EXPONENT || !Number.isInteger(count)) {
		throw new DamagedRecordError(
			`readings: form ${form}, exponent ${exponent} in ${blob.byteLength} bytes is not a form of ours`,
		);
	}
	const power = powersOfTen[exponent]!;
	const values = new Float64Array(count);
	for (let i = 0, at = HEADER_BYTES; i < count; i++, at += width) {
		if (form === INT16) values[i] = view.getInt16(at, true) / power;
		else if (form === INT24) values[i] = ((view.getInt8(at + 2) << 16) | view.getUint16(at, true)) / power;
		else if (form === INT32) values[i] = view.getInt32(at, true) / power;
		else if (form === FLOAT32) values[i] = view.getFloat32(at, true);
		else values[i] = view.getFloat64(at, true);
	}
	return values;
}
