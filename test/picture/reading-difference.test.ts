import { expect, test } from "vitest";
import {
	createRestReadings,
	differenceInto,
	setRestReadings,
} from "../../core/picture/reading-difference.ts";

function differenceOf(rest: Float64Array, readings: Float64Array): Float64Array {
	const difference = new Float64Array(rest.length);
	differenceInto(createRestReadings(rest), readings, difference);
	return difference;
}

// Box & Cox 1964 with power ½: s·((v/s)^p − 1)/p; a reading far above the floor has s ≈ v₀.
test("the change is taken between square roots", () => {
	const rest = Float64Array.of(1, -1, 1, -1);
	const s = Math.sqrt(1.01);
	const [up, down, gone, reversed] = differenceOf(rest, Float64Array.of(3, -3, -2, 2));
	const wanted = (s * ((1 + 2 / s) ** 0.5 - 1)) / 0.5;
	expect(up).toBeCloseTo(wanted, 12);
	expect(down).toBeCloseTo(-wanted, 12);
	// beyond a reversal there is nothing left to tell apart
	expect(gone).toBeCloseTo(-2 * s, 12);
	expect(reversed).toBeCloseTo(2 * s, 12);
});

test("small changes stay what they are, also of readings near zero", () => {
	const rest = Float64Array.of(1, -0.5, 1e-9, 0);
	const change = Float64Array.of(1e-4, 1e-4, -1e-5, 1e-5);
	const difference = differenceOf(
		rest,
		rest.map((v, i) => v + change[i]!),
	);
	for (const i of [0, 1, 2, 3]) expect(difference[i]! / change[i]!).toBeCloseTo(1, 3);
});

test("missing readings disturb only themselves", () => {
	const difference = differenceOf(Float64Array.of(1, Number.NaN, 2), Float64Array.of(1.1, 1, 2));
	expect(difference[1]).toBeNaN();
	expect(difference[0]).toBeGreaterThan(0.09);
	expect(difference[2]).toBe(0);
});

test("refuses a rest of another length", () => {
	expect(() => setRestReadings(createRestReadings(new Float64Array(3)), new Float64Array(4))).toThrow(
		RangeError,
	);
});
