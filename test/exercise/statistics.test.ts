import { describe, expect, test } from "vitest";
import { fatigueOf } from "../../core/exercise/fatigue.ts";
import { limbSymmetry, symmetryError } from "../../core/exercise/limb-symmetry.ts";
import {
	errorBand,
	minimalDetectableChange,
	standardErrorFromPairs,
} from "../../core/exercise/measurement-error.ts";
import { createSeededRandom } from "../../core/exercise/seeded-random.ts";
import { fitStraightLine, slopeInterval } from "../../core/exercise/straight-line.ts";
import { tForConfidence, tTwoSidedTail } from "../../core/exercise/student-t.ts";

describe("Student's t", () => {
	// Upper critical values, NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2: the table's 0.95, 0.975
	// and 0.995 are two-sided confidences of 0.90, 0.95 and 0.99.
	test.each([
		[1, 6.314, 12.706, 63.657],
		[2, 2.92, 4.303, 9.925],
		[3, 2.353, 3.182, 5.841],
		[4, 2.132, 2.776, 4.604],
		[5, 2.015, 2.571, 4.032],
		[8, 1.86, 2.306, 3.355],
		[10, 1.812, 2.228, 3.169],
		[15, 1.753, 2.131, 2.947],
		[20, 1.725, 2.086, 2.845],
		[30, 1.697, 2.042, 2.75],
		[60, 1.671, 2.0, 2.66],
		[100, 1.66, 1.984, 2.626],
	])("has the published critical values for %i degrees of freedom", (degrees, at90, at95, at99) => {
		// the table is rounded to three digits
		expect(Math.abs(tForConfidence(0.9, degrees) - at90)).toBeLessThan(0.00051);
		expect(Math.abs(tForConfidence(0.95, degrees) - at95)).toBeLessThan(0.00051);
		expect(Math.abs(tForConfidence(0.99, degrees) - at99)).toBeLessThan(0.00051);
	});

	test("agrees with the closed forms for one and two degrees of freedom", () => {
		// P(|T| > t): 1 − (2/π)·atan t for ν = 1; 1 − t/√(2 + t²) for ν = 2 (Abramowitz & Stegun 26.7.3, 26.7.4)
		for (const t of [0, 0.1, 0.5, 1, 2, 5, 30]) {
			expect(tTwoSidedTail(t, 1)).toBeCloseTo(1 - (2 / Math.PI) * Math.atan(t), 12);
			expect(tTwoSidedTail(t, 2)).toBeCloseTo(1 - t / Math.sqrt(2 + t * t), 12);
		}
	});

	test("approaches the normal distribution", () => {
		expect(tForConfidence(0.95, 1e6)).toBeCloseTo(1.959964, 4);
	});

	test.each([
		[-1, 5],
		[1, 0],
		[Number.NaN, 5],
	])("refuses t %d with %d degrees", (t, degrees) => {
		expect(() => tTwoSidedTail(t, degrees)).toThrow(RangeError);
	});
});

describe("a straight line", () => {
	// NIST Statistical Reference Datasets, linear regression, "Norris": data and certified values.
	const y = [
		0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3,
		448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6,
		228.9, 668.4, 449.2, 0.2,
	];
	const x = [
		0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
		447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3,
		229.2, 669.1, 448.9, 0.5,
	];

	test("reproduces certified regression values", () => {
		const line = fitStraightLine(x, y)!;
		expect(line.slope).toBeCloseTo(1.00211681802045, 10);
		expect(line.intercept).toBeCloseTo(-0.262323073774029, 8);
		expect(line.slopeError).toBeCloseTo(0.429796848199937e-3, 11);
		expect(line.interceptError).toBeCloseTo(0.232818234301152, 8);
		expect(line.degrees).toBe(34);
	});

	test("is none through points above one another", () => {
		expect(fitStraightLine([1, 1, 1], [1, 2, 3])).toBeNull();
	});

	test("says nothing about its error from two points", () => {
		const line = fitStraightLine([1, 2], [5, 7])!;
		expect(line.slope).toBe(2);
		expect(() => slopeInterval(line, 0.95)).toThrow(RangeError);
	});
});

describe("fatigue over a set", () => {
	test("its interval holds the true slope as often as it says", () => {
		// Definition of a confidence interval; of 2000 sets 95 % ± 4 standard errors (binomial).
		const random = createSeededRandom(7);
		let held = 0;
		const sets = 2000;
		for (let set = 0; set < sets; set++) {
			const peaks = Array.from({ length: 8 }, (_, i) => 80 - 1.5 * i + 6 * random.normal());
			const fatigue = fatigueOf(peaks)!;
			if (fatigue.low <= -1.5 && -1.5 <= fatigue.high) held++;
		}
		expect(Math.abs(held / sets - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / sets));
	});

	test("is called falling only if the interval says so", () => {
		expect(fatigueOf([100, 95, 91, 84, 80])).toMatchObject({ trend: "falling", repetitions: 5 });
		expect(fatigueOf([80, 84, 91, 95, 100])).toMatchObject({ trend: "rising" });
		expect(fatigueOf([100, 60, 95, 70, 99])).toMatchObject({ trend: "unclear" });
	});

	test("is the same slope in percent of the first repetition", () => {
		expect(fatigueOf([100, 90, 80, 70])!.percentPerRepetition).toBeCloseTo(-10, 10);
	});

	test("is not told from two repetitions", () => {
		expect(fatigueOf([100, 90])).toBeNull();
	});
});

describe("measurement error", () => {
	// Formulas of Weir & Vincent, Statistics in Kinesiology; worked numbers: SD 10, ICC 0.91, and so SEM 3.
	test("bounds changes and values", () => {
		const sem = 3;
		expect(minimalDetectableChange(sem, 95)).toBeCloseTo(8.32, 2);
		expect(minimalDetectableChange(sem, 90)).toBeCloseTo(6.98, 2);
		expect(errorBand(50, sem)).toEqual([expect.closeTo(44.12, 10), expect.closeTo(55.88, 10)]);
	});

	test("is found from repeated measurements", () => {
		// Two measurements of equal error differ by √2 times it, so 2000 invented pairs give it back within 5 standard
		// errors of a deviation, σ/√(2(n − 1)).
		const random = createSeededRandom(11);
		const pairs = Array.from({ length: 2000 }, () => {
			const truth = random.between(20, 90);
			return [truth + 3 * random.normal(), truth + 1 + 3 * random.normal()] as const;
		});
		expect(Math.abs(standardErrorFromPairs(pairs) - 3)).toBeLessThan((5 * 3) / Math.sqrt(2 * 1999));
		expect(() => standardErrorFromPairs([[1, 2]])).toThrow(RangeError);
	});
});

describe("limb symmetry", () => {
	// 100 × involved/uninvolved, inverted where lower is better: worked numbers 80/100 and 12 s against 9 s.
	test("compares the involved limb with the other", () => {
		expect(limbSymmetry(80, 100, "higher", "other")).toMatchObject({ state: "measured", percent: 80 });
		expect(limbSymmetry(12, 9, "lower", "other")).toMatchObject({ state: "measured", percent: 75 });
	});

	test("of band measures always carries all its caveats", () => {
		expect(limbSymmetry(80, 100, "higher", "band")).toMatchObject({
			caveats: ["other-limb-weakens", "fat-and-fit-differ", "not-for-clearance"],
		});
	});

	// Relative errors of a quotient add in quadrature (JCGM 100:2008, 5.1.6): 4/80 = 0.05 and 12/100 = 0.12 give 0.13,
	// of 80 % that is 10.4 points.
	test("has an error where both sides have one", () => {
		expect(symmetryError(80, { value: 80, sem: 4 }, { value: 100, sem: 12 })).toBeCloseTo(10.4, 10);
		expect(symmetryError(80, { value: 80, sem: null }, { value: 100, sem: 12 })).toBeNull();
		expect(symmetryError(80, { value: 80, sem: 4 }, { value: 100, sem: null })).toBeNull();
	});

	test.each([
		[80, 0],
		[80, -5],
		[Number.NaN, 100],
	])("is not given for %d against %d", (involved, uninvolved) => {
		expect(limbSymmetry(involved, uninvolved, "higher", "band")).toMatchObject({ state: "not-measured" });
	});
});
