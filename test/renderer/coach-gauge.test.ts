import { describe, expect, test } from "vitest";
import type { CoachView } from "../../core/exercise/coach-view.ts";
import { gaugeOf, largestAfter, type OwnScale, topPercent } from "../../renderer/draw/coach-gauge.ts";

const target = { low: 40, high: 100 };
const noScale: OwnScale = { largest: 0, noise: null };
const nothing = { level: null, target: null, most: null, place: null };

function gauge(
	live: CoachView["live"],
	own = noScale,
	{ cue = "hold", phase = "work" }: Partial<Pick<CoachView, "cue" | "phase">> = {},
	hasReference = true,
) {
	return gaugeOf({ live, target, cue, phase }, hasReference, own);
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

	test("says more or less only while something is to be reached", () => {
		const live = { kind: "percent", percent: 120, place: "above" } as const;
		for (const cue of ["work", "hold"] as const) expect(gauge(live, noScale, { cue }).place).toBe("above");
		for (const cue of ["let-go", "rest", "paused", "keep-still"] as const) {
			expect(gauge(live, noScale, { cue }).place).toBeNull();
		}
	});

	test("tells nobody who rests between two repetitions that it is too little", () => {
		const resting = { kind: "percent", percent: 3, place: "below" } as const;
		expect(gauge(resting, noScale, { cue: "work" }).place).toBe("aim");
		expect(gauge({ ...resting, percent: 30 }, noScale, { cue: "work" }).place).toBe("below");
		expect(gauge(resting, noScale, { cue: "hold" }).place).toBe("below");
	});

	test("shows where to aim before the work begins, if there is a reference", () => {
		const ahead = { cue: "keep-still", phase: "get-ready" } as const;
		const shown = gauge({ kind: "none" }, noScale, ahead);
		expect(shown).toMatchObject({ level: null, place: "aim" });
		expect(shown.target!.high).toBeGreaterThan(shown.target!.low);
		expect(gauge({ kind: "none" }, noScale, ahead, false)).toEqual(nothing);
	});

	test("shows nothing where nothing is measured", () => {
		expect(gauge({ kind: "none" })).toEqual(nothing);
	});
});

describe("the coach's gauge without a reference", () => {
	const raw = (change: number) => ({ kind: "raw", change }) as const;
	const noise = 0.0001;

	test("never shows a percentage or a target, whichever sign goes with effort", () => {
		for (const sign of [1, -1]) {
			const shape = gauge(raw(sign * 0.01), { largest: 0.01, noise });
			expect(shape).toMatchObject({ target: null, place: "working" });
			expect(shape.level).toBe(shape.most);
		}
	});

	test("stays low at rest, however small the largest change was so far", () => {
		let largest = 0;
		for (const noises of [0.5, -2, 3, 1]) {
			const live = raw(noises * noise);
			largest = largestAfter(largest, live);
			const { level, most, place } = gauge(live, { largest, noise });
			expect(level).toBeLessThanOrEqual(0.1);
			expect(most).toBeNull();
			expect(place).toBe("resting");
		}
	});

	test("measures each effort by the most so far, which is marked and never falls", () => {
		let largest = 0;
		for (const change of [0.008, -0.016, 0.004]) largest = largestAfter(largest, raw(change));
		expect(largest).toBe(0.016);
		const { level, most } = gauge(raw(0.004), { largest, noise });
		expect(level! / most!).toBeCloseTo(0.25, 12);
		expect(most).toBeLessThan(1);
		expect(largestAfter(largest, { kind: "none" })).toBe(largest);
		expect(largestAfter(largest, raw(Number.NaN))).toBe(largest);
	});

	test("fills no scale that it does not have", () => {
		expect(gauge(raw(0.01), { largest: 0.01, noise: null })).toEqual(nothing);
		expect(gauge(raw(0.01), { largest: 0.01, noise: 0 })).toEqual(nothing);
	});
});
