import { expect, test } from "vitest";
import { FEWEST_PAIRS, neighbourErrorOf } from "../../core/exercise/neighbour-error.ts";
import { type MeasuredValue, verdictOn } from "../../core/exercise/progress.ts";
import { conditions } from "../store/create-care.ts";

function valuesOf(values: readonly number[], days = (i: number) => 2 * i): MeasuredValue[] {
	return values.map((value, i) => ({ day: days(i), value, conditions }));
}

// Typical error: standard deviation of the differences over √2; smallest change 1.96·√2 of it (W. G. Hopkins, Sports
// Med. 30:1, 2000; J. P. Weir, J. Strength Cond. Res. 19:231, 2005). Worked by hand: the differences +4, −2, +4, −2, +4
// have the mean 1.6 and the squares 5.76, 12.96, 5.76, 12.96, 5.76, in all 43.2; 43.2 / 4 = 10.8; √(10.8 / 2) = 2.3238.
test("is the typical error of neighbouring sessions", () => {
	const error = neighbourErrorOf(valuesOf([50, 54, 52, 56, 54, 58]), 1);
	expect(error?.pairs).toBe(5);
	expect(error?.sem).toBeCloseTo(2.3238, 4);
	expect(error?.minimalDetectableChange).toBeCloseTo(1.96 * Math.SQRT2 * 2.3238, 3);
});

test("leaves out a steady trend", () => {
	expect(neighbourErrorOf(valuesOf([10, 20, 30, 40, 50, 60]), 0)?.sem).toBe(0);
});

// Each end of a span that is known to a step has the variance step²/12 (JCGM 100:2008, F.2.2.1): 0.1²/12 + 0.1²/12 =
// 0.0016667, whose root is 0.040825; 1.96·√2 of it is 0.11316.
test("is never better than the step to which the measure is known", () => {
	const still = neighbourErrorOf(valuesOf([5, 5, 5, 5, 5, 5]), 0.1)!;
	expect(still.sem).toBeCloseTo(0.040825, 6);
	expect(still.minimalDetectableChange).toBeCloseTo(0.11316, 5);
	expect(still.isOneStep).toBe(true);
	expect(neighbourErrorOf(valuesOf([50, 54, 52, 56, 54, 58]), 1)?.isOneStep).toBe(false);
});

test("calls one repetition more no progress, however alike the sessions were", () => {
	const counts = neighbourErrorOf(valuesOf([8, 8, 8, 8, 8, 8, 8]), 1)!;
	expect(verdictOn(1, counts.sem)).toBe("within-expected");
	expect(verdictOn(2, counts.sem)).toBe("larger-than-expected");
});

test("says nothing from fewer pairs than needed", () => {
	expect(neighbourErrorOf(valuesOf(Array.from({ length: FEWEST_PAIRS }, (_, i) => i % 2)), 1)).toBeNull();
	expect(neighbourErrorOf([], 1)).toBeNull();
});

test("takes no pair of sessions that lie far apart", () => {
	expect(
		neighbourErrorOf(
			valuesOf([1, 2, 1, 2, 1, 2, 1], (i) => 10 * i),
			1,
		),
	).toBeNull();
});

test("takes no pair that may not be compared", () => {
	const values = valuesOf([50, 54, 52, 56, 54, 58, 90, 94]).map((value, i) =>
		i < 6 ? value : { ...value, conditions: { ...conditions, bandId: 2 } },
	);
	// The jump of 32 between the two bands would make the error five times as large.
	expect(neighbourErrorOf(values, 1)).toMatchObject({ pairs: 6 });
	expect(neighbourErrorOf(values, 1)!.sem).toBeLessThan(3);
});
