import { describe, expect, test } from "vitest";
import type { CoachView } from "../../core/exercise/coach-view.ts";
import { gaugeOf, rawTopAfter, topPercent } from "../../renderer/draw/coach-gauge.ts";

const target = { low: 40, high: 100 };

function gauge(live: CoachView["live"], rawTop = 0, cue: CoachView["cue"] = "hold") {
	return gaugeOf({ live, target, cue }, rawTop);
}

describe("the coach's gauge", () => {
	test("shows a percentage and its target on one scale", () => {
		const low = gauge({ kind: "percent", percent: 40, place: "within" });
		const high = gauge({ kind: "percent", percent: 100, place: "within" });
		expect(low.level).toBeCloseTo(low.target!.low, 12);
		expect(high.level).toBeCloseTo(high.target!.high, 12);
	});

	test.each([
		[-30, 0],
		[0, 0],
		[1000, 1],
		[Number.NaN, 0],
	])("%d %% stays inside as %d", (percent, level) => {
		expect(gauge({ kind: "percent", percent, place: null }).level).toBe(level);
	});

	test.each([10, 60, 100, 200, 300])("leaves room above a target up to %d %%", (high) => {
		expect(topPercent(high)).toBeGreaterThan(high);
	});

	test("never shows a percentage or a target without a reference", () => {
		const { level, target: aim, place } = gauge({ kind: "raw", change: -0.01 }, 0.02);
		expect({ level, aim, place }).toEqual({ level: 0.5, aim: null, place: null });
	});

	test("says more or less only while something is to be reached", () => {
		const live = { kind: "percent", percent: 120, place: "above" } as const;
		for (const cue of ["work", "hold"] as const) expect(gauge(live, 0, cue).place).toBe("above");
		for (const cue of ["let-go", "rest", "paused", "keep-still"] as const) {
			expect(gauge(live, 0, cue).place).toBeNull();
		}
	});

	test("without a reference its top follows the largest change, whichever sign, and never falls", () => {
		let top = 0;
		for (const change of [0.001, -0.01, 0.002]) {
			const before = top;
			top = rawTopAfter(top, { kind: "raw", change });
			expect(top).toBeGreaterThanOrEqual(before);
			expect(top).toBeGreaterThan(Math.abs(change));
		}
		expect(rawTopAfter(top, { kind: "none" })).toBe(top);
	});

	test("shows nothing where nothing is measured", () => {
		expect(gauge({ kind: "none" })).toEqual({ level: null, target: null, place: null });
		expect(gauge({ kind: "raw", change: 0 }, 0).level).toBe(0);
	});
});
