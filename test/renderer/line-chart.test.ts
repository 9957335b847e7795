import { describe, expect, test } from "vitest";
import { layOutLines, logInterpolated } from "../../renderer/draw/line-chart.ts";
import { fatErrors } from "../../renderer/fat-errors.ts";

const size = { width: 400, height: 200 };

describe("a line chart", () => {
	test("shows all points, what is wanted, and breaks its line where nothing is known", () => {
		const chart = layOutLines({
			...size,
			x: [0, 1, 2, 3],
			lines: [[1, null, 3, 2]],
			wanted: { low: 0, high: 4, until: 2 },
		});
		expect(chart.paths[0]!.match(/M/g)).toHaveLength(2);
		expect(chart.xAt(0)).toBe(chart.left);
		expect(chart.xAt(3)).toBe(chart.right);
		expect(chart.yAt(3)).toBeGreaterThanOrEqual(chart.top);
		expect(chart.yAt(1)).toBeLessThanOrEqual(chart.bottom);
		expect(chart.wanted).toMatchObject({ x: chart.left, y: chart.yAt(4) });
		expect(chart.wanted!.width).toBeCloseTo((2 / 3) * (chart.right - chart.left), 9);
		for (const { at } of chart.xTicks) expect(at).toBeLessThanOrEqual(chart.right);
	});

	test("has powers of ten on a logarithmic axis, at equal distances, and finds the value again", () => {
		const chart = layOutLines({
			...size,
			x: [1e-5, 1e-2, 10],
			lines: [[2, 300, 4]],
			xScale: "log",
			yScale: "log",
		});
		expect(chart.yTicks.map(({ value }) => value)).toEqual([1, 10, 100, 1000]);
		for (const { value } of chart.xTicks) expect(Number.isInteger(Math.log10(value))).toBe(true);
		expect(chart.xAt(1e-2)).toBeCloseTo((chart.left + chart.right) / 2, 9);
		expect(chart.valueAt(chart.xAt(0.03))).toBeCloseTo(0.03, 12);
		expect(chart.valueAt(-50)).toBeCloseTo(1e-5, 12);
	});

	test("refuses what cannot be drawn", () => {
		expect(() => layOutLines({ ...size, x: [0, 1], lines: [[null, 1]] })).toThrow(RangeError);
		expect(() => layOutLines({ ...size, x: [0, 1], lines: [[1, 2]], xScale: "log" })).toThrow(RangeError);
	});

	test("draws values that are all the same", () => {
		const chart = layOutLines({ ...size, x: [0, 1], lines: [[0.5, 0.5]] });
		expect(chart.yAt(0.5)).toBeGreaterThan(chart.top);
		expect(chart.yAt(0.5)).toBeLessThan(chart.bottom);
	});
});

test("a curve between its points is straight in the logarithm of both", () => {
	// y = x² is such a line
	const x = [1e-3, 1e-1, 10];
	const y = x.map((value) => value * value);
	expect(logInterpolated(x, y, 1e-2)).toBeCloseTo(1e-4, 12);
	expect(logInterpolated(x, y, 1)).toBeCloseTo(1, 12);
	expect(logInterpolated(x, y, 1e-9)).toBe(y[0]);
	expect(logInterpolated(x, y, 1e9)).toBe(y[2]);
});

test("the error of fat compares what is shown with what the right fat would have shown", () => {
	const study = {
		fatThickness: [0.005, 0.008, 0.011],
		regions: [{ id: "a", name: "A", means: [0.02, 0.03, 0.04] }],
	};
	const [error] = fatErrors(study);
	// Shown 0.03; with thicker fat 0.04 would be right: a quarter too low. With thinner 0.02: half too high.
	expect(error!.thicker).toBeCloseTo(-0.25, 12);
	expect(error!.thinner).toBeCloseTo(0.5, 12);
});
