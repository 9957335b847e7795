import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { largestBlobBytes, readReadings, writeReadings } from "../../app/store/reading-blob.ts";
import { DamagedRecordError } from "../../app/store/store-fault.ts";

function blobOf(values: Float64Array): Uint8Array {
	const target = new Uint8Array(largestBlobBytes(values.length) + 3);
	const length = writeReadings(values, new DataView(target.buffer), 3);
	return target.subarray(3, 3 + length);
}

/** Bits, so that minus zero and not-a-number count. */
function bitsOf(values: Float64Array): bigint[] {
	return [...new BigUint64Array(values.slice().buffer)];
}

function expectSame(values: Float64Array): void {
	expect(bitsOf(readReadings(blobOf(values)))).toEqual(bitsOf(values));
}

test("gives back any float64 to the last bit", () => {
	fc.assert(fc.property(fc.float64Array({ noNaN: true, maxLength: 40 }), expectSame));
});

test("gives back whole numbers of any size to the last bit", () => {
	const whole = fc.array(fc.integer({ min: -(2 ** 33), max: 2 ** 33 }), { maxLength: 40 });
	fc.assert(fc.property(whole, (values) => expectSame(Float64Array.from(values))));
});

test("gives back decimals as a board writes them to the last bit, in four bytes at most", () => {
	// ECMA-262 and IEEE 754 both want the float64 nearest to the decimal, so `Number` of the text is the truth.
	const decimals = fc.tuple(
		fc.integer({ min: 0, max: 12 }),
		fc.array(
			fc.integer({ min: -99_999_999, max: 99_999_999 }).filter((n) => n !== 0),
			{
				minLength: 1,
				maxLength: 40,
			},
		),
	);
	fc.assert(
		fc.property(decimals, ([digits, integers]) => {
			const values = Float64Array.from(integers, (n) => Number(`${n}e-${digits}`));
			expectSame(values);
			expect(blobOf(values).length).toBeLessThanOrEqual(2 + 4 * values.length);
		}),
	);
});

test("gives back float32 as they come out of a base64 payload, in four bytes each", () => {
	fc.assert(
		fc.property(fc.float32Array({ minLength: 1, maxLength: 40 }), (payload) => {
			const values = Float64Array.from(payload);
			expectSame(values);
			expect(blobOf(values).length).toBeLessThanOrEqual(2 + 4 * values.length);
		}),
	);
});

describe("takes the smallest form", () => {
	test.each([
		["int16 at its limits", [-32_767, 32_767], 1, 0, 2],
		["int24 just over int16", [32_768, 0], 2, 0, 3],
		["int24 at its limit", [-8_388_607, 1], 2, 0, 3],
		["int32 just over int24", [8_388_608, 1], 3, 0, 4],
		["float64 just over int32", [2_147_483_649, 1], 5, 0, 8],
		["millivolts with two decimals", [-94.61, 43.68], 1, 2, 2],
		["volts with eight decimals", [-0.09460946, 0.02599623], 3, 8, 4],
		["float32 of a third", [Math.fround(1 / 3), 1], 4, 0, 4],
		["float64 of a third", [1 / 3, 1], 5, 0, 8],
		["minus zero", [-0, 1], 4, 0, 4],
		["not a number", [Number.NaN, 1], 4, 0, 4],
		["infinity", [Number.POSITIVE_INFINITY, 1], 4, 0, 4],
	] as const)("%s", (_, list, form, exponent, width) => {
		const values = Float64Array.from(list);
		const blob = blobOf(values);
		expect([blob[0], blob[1], blob.length]).toEqual([form, exponent, 2 + width * values.length]);
		expectSame(values);
	});

	test("nothing at all", () => expectSame(new Float64Array(0)));
});

test("208 converter counts take 418 bytes", () => {
	const values = Float64Array.from({ length: 208 }, (_, i) => Math.round(32_000 * Math.sin(i)));
	expect(blobOf(values).length).toBe(418);
});

test.each([
	["empty", []],
	["without values' form", [1]],
	["form 0", [0, 0, 1, 2]],
	["form 6", [6, 0, 1, 2]],
	["an exponent that is never written", [1, 16, 1, 2]],
	["half a value", [1, 0, 1]],
])("refuses a blob that is damaged: %s", (_, bytes) => {
	expect(() => readReadings(Uint8Array.from(bytes))).toThrow(DamagedRecordError);
});

test("any bytes are read or refused, nothing else", () => {
	fc.assert(
		fc.property(fc.uint8Array({ maxLength: 64 }), (bytes) => {
			try {
				readReadings(bytes);
			} catch (error) {
				expect(error).toBeInstanceOf(DamagedRecordError);
			}
		}),
	);
});
