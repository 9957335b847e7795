import { describe, expect, test } from "vitest";
import {
	createEngagementScale,
	engagementOf,
	engagementPercent,
	type RegionReference,
} from "../../core/exercise/engagement.ts";

const taken = (change: number): RegionReference => ({
	state: "taken",
	rest: { level: 0, noise: 1 },
	change,
	variationPercent: 5,
	repeatability: "repeatable",
});

describe("engagement", () => {
	// 100·(x − rest)/(reference − rest), Besomi et al. 2020; worked: rest 10, reference 110, x 60 is 50 %.
	test("is the change as a share of the reference, whichever sign it had", () => {
		expect(engagementPercent(60, 10, 110)).toBe(50);
		expect(engagementPercent(-60, -10, -110)).toBe(50);
		expect(engagementPercent(-10, 10, 110)).toBe(-20);
		expect(() => engagementPercent(1, 10, 10)).toThrow(RangeError);
	});

	test("is in raw units without a reference and nothing where none was detected", () => {
		expect(engagementOf(60, 10, taken(100))).toEqual({ kind: "percent", percent: 50 });
		expect(engagementOf(60, 10, { state: "none" })).toEqual({ kind: "raw", change: 50 });
		const rest = { level: 0, noise: 1 };
		expect(engagementOf(60, 10, { state: "not-detected", reason: "within-noise", rest })).toEqual({
			kind: "not-detected",
		});
	});

	test("of a whole frame is the same", () => {
		const rest = { level: 0, noise: 1 };
		const references: RegionReference[] = [
			taken(-100),
			{ state: "none" },
			{ state: "not-detected", reason: "within-noise", rest },
		];
		const scale = createEngagementScale(references);
		const engagement = new Float64Array(3);
		scale.into([-40, 60, 60], [10, 10, 10], engagement);
		expect([...engagement]).toEqual([50, 50, Number.NaN]);
		expect(scale.unit).toEqual(["percent", "raw", "not-detected"]);
		expect(() => scale.into([1, 2], [1, 2, 3], engagement)).toThrow(RangeError);
	});
});
