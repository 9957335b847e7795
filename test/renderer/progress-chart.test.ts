import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { ProgressPoint } from "../../core/exercise/progress.ts";
import { axisTicks, weekTicks } from "../../renderer/draw/axis-ticks.ts";
import { layOutProgress, nearestPoint } from "../../renderer/draw/progress-chart.ts";

const size = { width: 400, height: 150, left: 44, right: 8, top: 10, bottom: 24 };

function createPoint(day: number, value: number, change: Partial<ProgressPoint> = {}): ProgressPoint {
	return { day, value, band: null, brokenBy: [], change: null, verdict: null, ...change };
}

/** How often a path begins anew. */
function starts(path: string): number {
	return path.split("M").length - 1;
}

describe("ticks of an axis", () => {
	test("are round, hold the data and go up evenly", () => {
		const value = fc.double({ min: -1e4, max: 1e4, noNaN: true });
		fc.assert(
			fc.property(value, fc.double({ min: 1e-3, max: 1e4, noNaN: true }), (low, extent) => {
				const ticks = axisTicks(low, low + extent, 4);
				expect(ticks[0]!).toBeLessThanOrEqual(low + 1e-6 * extent);
				expect(ticks.at(-1)!).toBeGreaterThanOrEqual(low + extent - 1e-6 * extent);
				expect(ticks.length).toBeGreaterThanOrEqual(2);
				expect(ticks.length).toBeLessThanOrEqual(7);
				const step = ticks[1]! - ticks[0]!;
				const digit = Number(step.toExponential(3).split("e")[0]);
				expect([1, 2, 5]).toContain(Math.round(digit));
			}),
		);
	});

	test("have no digits that binary fractions add", () => {
		expect(axisTicks(0.1, 0.7, 4)).toEqual([0, 0.2, 0.4, 0.6, 0.8]);
	});

	test("of weeks are thinned to what has room", () => {
		expect(weekTicks(41, 10)).toEqual([0, 7, 14, 21, 28, 35]);
		expect(weekTicks(41, 3)).toEqual([0, 14, 28]);
		expect(weekTicks(0, 5)).toEqual([0]);
	});
});

describe("a measure over weeks", () => {
	test("is one line while comparing is safe", () => {
		const chart = layOutProgress([createPoint(0, 40), createPoint(7, 50), createPoint(14, 55)], size, 14);
		expect(starts(chart.lines)).toBe(1);
		expect(chart.breaks).toEqual([]);
		expect(chart.points.map(({ y }) => y)).toEqual(chart.points.map(({ y }) => y).toSorted((a, b) => b - a));
	});

	test("breaks between the points where conditions changed, and says why", () => {
		const points = [
			createPoint(0, 40),
			createPoint(7, 50),
			createPoint(14, 30, { brokenBy: ["band-moved"] }),
			createPoint(21, 33),
		];
		const chart = layOutProgress(points, size, 21);
		expect(starts(chart.lines)).toBe(2);
		expect(chart.breaks).toHaveLength(1);
		const [mark] = chart.breaks;
		expect(mark).toMatchObject({ index: 2, reasons: ["band-moved"] });
		expect(mark!.x).toBeGreaterThan(chart.points[1]!.x);
		expect(mark!.x).toBeLessThan(chart.points[2]!.x);
	});

	test("has no error band where the error is unknown, and holds the whole band where it is", () => {
		expect(layOutProgress([createPoint(0, 40), createPoint(7, 50)], size, 7).band).toBe("");
		const points = [createPoint(0, 40, { band: [20, 60] }), createPoint(7, 50, { band: [30, 95] })];
		const chart = layOutProgress(points, size, 7);
		expect(starts(chart.band)).toBe(1);
		expect(chart.yTicks[0]!.value).toBeLessThanOrEqual(20);
		expect(chart.yTicks.at(-1)!.value).toBeGreaterThanOrEqual(95);
	});

	test("of a single session still has an axis and a dot", () => {
		const chart = layOutProgress([createPoint(0, 8)], size, 0);
		expect(chart.yTicks.length).toBeGreaterThan(1);
		expect(starts(chart.dots)).toBe(1);
		expect(chart.lines).toBe("");
	});

	test("sets sessions of one day side by side, where both can be seen", () => {
		const { points, dots } = layOutProgress([createPoint(0, 73), createPoint(0, 73)], size, 0);
		expect(points[1]!.x - points[0]!.x).toBeGreaterThan(50);
		expect(dots).toContain("a3.2 3.2");
		const days = [createPoint(0, 1), createPoint(3, 2), createPoint(3, 4), createPoint(4, 3)];
		const xs = layOutProgress(days, size, 4).points.map(({ x }) => x);
		expect(xs).toEqual(xs.toSorted((a, b) => a - b));
		expect(new Set(xs).size).toBe(4);
	});

	test("never shows room below zero for what cannot be negative", () => {
		const chart = layOutProgress([createPoint(0, 0), createPoint(7, 9)], size, 7);
		expect(chart.yTicks[0]!.value).toBe(0);
		expect(chart.zeroY).toBeNull();
	});

	test("shows no less than its least span, and none of it below zero", () => {
		const ends = (values: readonly number[], leastSpan: number) => {
			const points = values.map((value, day) => createPoint(day, value));
			const ticks = layOutProgress(points, size, values.length, { leastSpan }).yTicks;
			return [ticks[0]!.value, ticks.at(-1)!.value] as const;
		};
		for (const [low, high] of [ends([4.97, 5.02, 4.99], 4), ends([0.6, 0.62], 1), ends([5], 6)]) {
			expect(low).toBeGreaterThanOrEqual(0);
			expect(high - low).toBeGreaterThanOrEqual(1);
		}
		const [low, high] = ends([4.97, 5.02], 4);
		expect(high - low).toBeGreaterThanOrEqual(4);
		expect(ends([10, 90], 40)).toEqual(ends([10, 90], 0));
	});

	test("ends at the ends of a scale", () => {
		const chart = layOutProgress([createPoint(0, 3), createPoint(7, 2)], size, 7, { ends: [0, 10] });
		expect(chart.yTicks[0]!.value).toBe(0);
		expect(chart.yTicks.at(-1)!.value).toBe(10);
	});

	test("stays inside its size whatever the values", () => {
		const value = fc.double({ min: -1e6, max: 1e6, noNaN: true });
		fc.assert(
			fc.property(fc.array(value, { minLength: 1, maxLength: 40 }), (values) => {
				const points = values.map((each, day) => createPoint(day, each));
				const chart = layOutProgress(points, size, values.length - 1);
				for (const { x, y } of chart.points) {
					expect(x).toBeGreaterThanOrEqual(size.left);
					expect(x).toBeLessThanOrEqual(size.width - size.right);
					expect(y).toBeGreaterThanOrEqual(size.top - 1e-6);
					expect(y).toBeLessThanOrEqual(size.height - size.bottom + 1e-6);
				}
			}),
		);
	});

	test("finds the point nearest to the pointer", () => {
		const points = [{ x: 10 }, { x: 20 }, { x: 40 }];
		expect(nearestPoint(points, -5)).toBe(0);
		expect(nearestPoint(points, 29)).toBe(1);
		expect(nearestPoint(points, 31)).toBe(2);
	});
});
