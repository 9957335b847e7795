import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createTrendLog, thin } from "../../app/session/trend-log.ts";

const regions = [
	{ id: "a", name: "A" },
	{ id: "b", name: "B" },
];

describe("a trend log", () => {
	test("gives back the last seconds", () => {
		const log = createTrendLog(regions, 100);
		for (let i = 0; i < 100; i++) log.append(i / 10, Float32Array.of(i, -i), false);
		const { seconds, values } = log.last(0.95, 1000);
		expect(seconds).toHaveLength(10);
		expect(seconds[0]).toBeCloseTo(9, 9);
		expect(values[0]).toEqual([90, 91, 92, 93, 94, 95, 96, 97, 98, 99]);
		expect(values[1]?.[9]).toBe(-99);
	});

	test("marks a gap with an empty row", () => {
		const log = createTrendLog(regions, 100);
		log.append(1, Float32Array.of(1, 1), true);
		log.append(2, Float32Array.of(2, 2), true);
		expect(log.last(10, 100)).toEqual({
			regions,
			seconds: [1, 1.5, 2],
			values: [
				[1, null, 2],
				[1, null, 2],
			],
		});
	});

	test("forgets what is older than it has to keep, and never less", () => {
		const log = createTrendLog(regions, 200);
		for (let i = 0; i < 100_000; i++) log.append(i / 30, Float32Array.of(i, 0), false);
		expect(log.rows).toBeLessThan(30_000);
		const { values } = log.last(200, 1e6);
		expect(values[0]).toHaveLength(6001);
		expect(values[0]?.at(-1)).toBe(99_999);
	});

	test("is empty before the first value", () => {
		expect(createTrendLog(regions, 10).last(10, 10)).toEqual({ regions, seconds: [], values: [[], []] });
	});
});

describe("thinning", () => {
	test("keeps each region's extremes and the order of time, within the number asked for", () => {
		const value = fc.oneof(fc.constant(Number.NaN), fc.float({ min: -1, max: 1, noNaN: true }));
		fc.assert(
			fc.property(
				fc.array(fc.tuple(value, value), { minLength: 1, maxLength: 400 }),
				fc.integer({ min: 10, max: 60 }),
				(rows, points) => {
					const seconds = Float64Array.from(rows, (_, i) => i / 30);
					const means = Float32Array.from(rows.flat());
					const thinned = thin(regions, seconds, means, points);
					// Two rows for each run and at most one more where it has a gap.
					expect(thinned.seconds.length).toBeLessThanOrEqual(Math.max(rows.length, points * 1.5 + 3));
					for (let i = 1; i < thinned.seconds.length; i++) {
						expect(thinned.seconds[i]!).toBeGreaterThanOrEqual(thinned.seconds[i - 1]!);
					}
					for (const [region, column] of thinned.values.entries()) {
						expect(column).toHaveLength(thinned.seconds.length);
						const all = rows.map((row) => Math.fround(row[region]!)).filter((v) => !Number.isNaN(v));
						const kept = column.filter((v) => v !== null);
						expect(Math.max(...kept)).toBe(Math.max(...all));
						expect(Math.min(...kept)).toBe(Math.min(...all));
					}
				},
			),
		);
	});

	test("leaves short columns as they are", () => {
		const thinned = thin(regions, Float64Array.of(0, 1), Float32Array.of(1, 2, Number.NaN, 4), 10);
		expect(thinned).toEqual({
			regions,
			seconds: [0, 1],
			values: [
				[1, null],
				[2, 4],
			],
		});
	});
});
