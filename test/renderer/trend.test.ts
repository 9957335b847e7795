import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createTrendColumns, fillColumns } from "../../renderer/draw/trend-columns.ts";
import { createTrendRing } from "../../renderer/draw/trend-ring.ts";
import { followingSpan, moveSpan, zoomSpan } from "../../renderer/draw/trend-window.ts";

function createRing(count: number, capacity = 1000) {
	const ring = createTrendRing(2, capacity);
	for (let i = 0; i < count; i++) ring.push(i / 10, [Math.sin(i), i]);
	return ring;
}

describe("the ring", () => {
	test("keeps the newest samples under their first numbers", () => {
		const ring = createRing(25, 10);
		expect([ring.first, ring.end]).toEqual([15, 25]);
		expect(ring.secondsAt(15)).toBeCloseTo(1.5);
		expect(ring.valueAt(1, 24)).toBe(24);
	});

	test("finds the first sample at or after a time", () => {
		const ring = createRing(25, 10);
		expect(ring.sampleAt(-1)).toBe(15);
		expect(ring.sampleAt(1.5)).toBe(15);
		expect(ring.sampleAt(1.55)).toBe(16);
		expect(ring.sampleAt(2.4)).toBe(24);
		expect(ring.sampleAt(9)).toBe(25);
	});

	test("ends lines at a gap", () => {
		const ring = createRing(2);
		ring.pushGap();
		ring.push(5, [1, 1]);
		expect(ring.valueAt(0, 2)).toBeNaN();
		expect(ring.secondsAt(2)).toBe(ring.secondsAt(1));
	});

	test("has no gap before its first sample", () => {
		const ring = createTrendRing(1, 4);
		ring.pushGap();
		expect(ring.end).toBe(0);
	});

	test("is empty after clearing, and numbers go on", () => {
		const ring = createRing(5);
		ring.clear();
		expect([ring.first, ring.end]).toEqual([5, 5]);
		expect(ring.sampleAt(0)).toBe(5);
	});

	test.each([
		[0, 5],
		[2, 1],
		[1.5, 5],
	])("%d regions and room for %d are refused", (regions, capacity) => {
		expect(() => createTrendRing(regions, capacity)).toThrow(RangeError);
	});

	test("refuses a wrong number of means", () => {
		expect(() => createTrendRing(2, 5).push(0, [1])).toThrow(RangeError);
	});
});

describe("columns", () => {
	test("hold every sample of the window and one beyond each end, counted from the origin", () => {
		const ring = createRing(100);
		const columns = createTrendColumns(2);
		fillColumns(columns, ring, 2, 3, 2, 500);
		expect(columns[0].map((seconds) => seconds.toFixed(1))).toEqual(
			Array.from({ length: 12 }, (_, i) => (i / 10 - 0.1).toFixed(1)),
		);
		expect(columns[2]).toEqual(Array.from({ length: 12 }, (_, i) => 19 + i));
	});

	test("turn gaps into null, for a plot draws through NaN", () => {
		const ring = createRing(2);
		ring.pushGap();
		const columns = createTrendColumns(2);
		fillColumns(columns, ring, 0, 9, 0, 500);
		expect(columns[1]!.at(-1)).toBeNull();
	});

	test("shrink when less is shown", () => {
		const ring = createRing(100);
		const columns = createTrendColumns(2);
		fillColumns(columns, ring, 0, 9, 0, 500);
		fillColumns(columns, ring, 7.95, 8.25, 0, 500);
		expect(columns.map((column) => column.length)).toEqual([5, 5, 5]);
	});

	test("never lose an extreme and never exceed the limit by more than a run", () => {
		fc.assert(
			fc.property(
				fc.array(fc.oneof(fc.double({ min: -1, max: 1, noNaN: true }), fc.constant(Number.NaN)), {
					minLength: 60,
					maxLength: 400,
				}),
				fc.integer({ min: 20, max: 50 }),
				(list, limit) => {
					const ring = createTrendRing(1, 300);
					list.forEach((value, i) => void ring.push(i, [value]));
					const columns = createTrendColumns(1);
					fillColumns(columns, ring, 0, 1e9, 0, limit);
					const held = Array.from({ length: ring.end - ring.first }, (_, i) =>
						ring.valueAt(0, ring.first + i),
					);
					const known = held.filter((value) => !Number.isNaN(value));
					const shown = columns[1]!.filter((value) => value !== null);
					if (known.length > 0) {
						expect(Math.max(...shown)).toBe(Math.max(...known));
						expect(Math.min(...shown)).toBe(Math.min(...known));
					}
					expect(columns[0].length).toBeLessThanOrEqual(limit + 4);
					expect(columns[0]).toEqual([...columns[0]].sort((a, b) => a - b));
				},
			),
			{ seed: 8 },
		);
	});

	test("keep a scrolling line's shape: the same samples are joined as the window moves", () => {
		const ring = createRing(1000);
		const first = createTrendColumns(2);
		const second = createTrendColumns(2);
		fillColumns(first, ring, 10, 60, 0, 100);
		fillColumns(second, ring, 10.3, 60.3, 0, 100);
		const inBoth = first[0].filter((seconds) => seconds > 15 && seconds < 55);
		expect(inBoth.length).toBeGreaterThan(40);
		expect(second[0].filter((seconds) => seconds > 15 && seconds < 55)).toEqual(inBoth);
	});
});

describe("spans", () => {
	test("follow the newest sample, or hold everything", () => {
		expect(followingSpan(10, 0, 42)).toEqual({ from: 32, to: 42 });
		expect(followingSpan("all", 5, 42)).toEqual({ from: 5, to: 42 });
		expect(followingSpan("all", 5, 6)).toEqual({ from: 5, to: 15 });
	});

	test("zoom about their middle and stay within what there is", () => {
		expect(zoomSpan({ from: 10, to: 20 }, 0.5, 0, 100)).toEqual({ from: 12.5, to: 17.5 });
		expect(zoomSpan({ from: 10, to: 20 }, 100, 0, 100)).toEqual({ from: 0, to: 100 });
		expect(zoomSpan({ from: 10, to: 10.5 }, 0.1, 0, 100).to).toBeCloseTo(10.75);
	});

	test("move by a share of their length and stop at the ends", () => {
		expect(moveSpan({ from: 10, to: 20 }, 0.5, 0, 100)).toEqual({ from: 15, to: 25 });
		expect(moveSpan({ from: 95, to: 99 }, 0.9, 0, 100)).toEqual({ from: 96, to: 100 });
		expect(moveSpan({ from: 1, to: 5 }, -0.9, 0, 100)).toEqual({ from: 0, to: 4 });
	});
});
