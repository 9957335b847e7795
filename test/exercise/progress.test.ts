import { describe, expect, test } from "vitest";
import { painChange } from "../../core/exercise/pain.ts";
import {
	type MeasuringConditions,
	progressOf,
	unsafeBetween,
	verdictOn,
} from "../../core/exercise/progress.ts";

const same: MeasuringConditions = {
	bandId: 1,
	bandLevel: 0.5,
	firstElectrodeDegrees: 0,
	side: "left",
	circumferenceMetre: 0.52,
	referenceId: 4,
	hamstringReferenceId: null,
	drive: "adjacent four-terminal 208",
	regularisation: "diagonal noise-figure",
	frequencyHertz: 50_000,
	currentMilliamp: 0.5,
	softwareVersion: "1.0.0",
	simulated: false,
};

describe("comparing two measurements", () => {
	test("is safe under the same conditions", () => {
		expect(unsafeBetween(same, { ...same })).toEqual([]);
		expect(unsafeBetween(same, { ...same, circumferenceMetre: 0.53, firstElectrodeDegrees: 359 })).toEqual(
			[],
		);
	});

	// That the line breaks when band position, reference or software version changes is common practice, without a
	// source; the bounds are our own.
	test.each([
		[{ bandId: 2 }, "band-changed"],
		[{ bandLevel: 0.52 }, "band-moved"],
		[{ firstElectrodeDegrees: 20 }, "band-moved"],
		[{ firstElectrodeDegrees: 350 }, "band-moved"],
		[{ side: "right" as const }, "other-side"],
		[{ circumferenceMetre: 0.54 }, "limb-changed"],
		[{ referenceId: 5 }, "reference-retaken"],
		[{ referenceId: null }, "reference-missing"],
		[{ hamstringReferenceId: 6 }, "hamstring-reference-changed"],
		[{ frequencyHertz: 10_000 }, "drive-changed"],
		[{ drive: "skip-2 four-terminal 208" }, "drive-changed"],
		[{ regularisation: "laplace noise-figure" }, "regularisation-changed"],
		[{ currentMilliamp: 1 }, "drive-changed"],
		[{ softwareVersion: "1.1.0" }, "software-changed"],
		[{ simulated: true }, "simulated-with-real"],
	])("is unsafe after %j", (changed, mark) => {
		expect(unsafeBetween(same, { ...same, ...changed })).toEqual([mark]);
		expect(unsafeBetween({ ...same, ...changed }, same)).toEqual([mark]);
	});
});

describe("a change", () => {
	// SEM 3 has a minimal detectable change (95 %) of 8.32, Weir & Vincent.
	test("is larger than expected only beyond the minimal detectable change", () => {
		expect(verdictOn(8.3, 3)).toBe("within-expected");
		expect(verdictOn(8.4, 3)).toBe("larger-than-expected");
		expect(verdictOn(-8.4, 3)).toBe("larger-than-expected");
		expect(verdictOn(50, null)).toBe("unknown");
	});
});

describe("progress over weeks", () => {
	test("compares with the first value and shows its error band", () => {
		const points = progressOf(
			[
				{ day: 0, value: 50, conditions: same },
				{ day: 7, value: 55, conditions: same },
				{ day: 14, value: 60, conditions: same },
			],
			3,
		);
		expect(points.map(({ change, verdict }) => [change, verdict])).toEqual([
			[null, null],
			[5, "within-expected"],
			[10, "larger-than-expected"],
		]);
		expect(points[0]!.band).toEqual([expect.closeTo(44.12, 10), expect.closeTo(55.88, 10)]);
	});

	test("breaks the line where comparing is unsafe and begins anew", () => {
		const moved = { ...same, bandId: 2 };
		const points = progressOf(
			[
				{ day: 0, value: 50, conditions: same },
				{ day: 7, value: 90, conditions: moved },
				{ day: 14, value: 91, conditions: moved },
			],
			3,
		);
		expect(points[1]).toMatchObject({ brokenBy: ["band-changed"], change: null, verdict: null });
		expect(points[2]).toMatchObject({ brokenBy: [], change: 1, verdict: "within-expected" });
	});

	test("breaks where small moves have added up", () => {
		const at = (level: number) => ({ ...same, bandLevel: level });
		const points = progressOf(
			[0.5, 0.508, 0.516].map((level, day) => ({ day, value: 50, conditions: at(level) })),
			3,
		);
		expect(points.map(({ brokenBy }) => brokenBy)).toEqual([[], [], ["band-moved"]]);
	});

	test("says unknown without a measurement error of its own", () => {
		const points = progressOf(
			[0, 7].map((day) => ({ day, value: 50 + 5 * day, conditions: same })),
			null,
		);
		expect(points[1]).toMatchObject({ verdict: "unknown", band: null });
	});

	test("of nothing is nothing", () => {
		expect(progressOf([], 3)).toEqual([]);
	});
});

describe("a change of pain", () => {
	// Salaffi et al., Eur J Pain 8:283, 2004: 1 point or 15 % smallest worthwhile, 2 points or 33 % much better.
	test.each([
		[8, 8, "same"],
		[8, 7.5, "same"],
		[8, 7, "slightly-better"],
		[8, 6, "much-better"],
		[5, 4, "slightly-better"],
		[3, 2, "much-better"],
		[2, 1.7, "slightly-better"],
		[5, 6, "slightly-worse"],
		[4, 6, "much-worse"],
		[0, 1, "slightly-worse"],
		[0, 2, "much-worse"],
	])("from %d to %d is %s", (before, after, verdict) => {
		expect(painChange(before, after)).toBe(verdict);
	});

	test("goes from 0 to 10", () => {
		expect(() => painChange(-1, 5)).toThrow(RangeError);
		expect(() => painChange(5, 11)).toThrow(RangeError);
	});
});
