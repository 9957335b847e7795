import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createAutoRange, fineSteps, stepAtLeast } from "../../renderer/draw/auto-range.ts";
import { magnitudeBelow } from "../../renderer/draw/magnitude.ts";

describe("steps", () => {
	test.each([
		[1, 1],
		[1.0001, 2],
		[2, 2],
		[2.1, 5],
		[5, 5],
		[5.1, 10],
		[0.001, 0.001],
		[0.0011, 0.002],
		[0.0201, 0.05],
		[99, 100],
		[1e-7, 1e-7],
	])("%d is covered by %d", (value, step) => {
		expect(stepAtLeast(value)).toBe(step);
	});

	test.each([
		[21, 30],
		[31, 40],
		[1.01, 1.5],
		[8.1, 10],
	])("of the finer kind: %d is covered by %d", (value, step) => {
		expect(stepAtLeast(value, fineSteps)).toBe(step);
	});

	test("never lie below the value nor more than 2.5 times above it", () => {
		fc.assert(
			fc.property(fc.double({ min: 1e-12, max: 1e12, noNaN: true }), (value) => {
				const step = stepAtLeast(value);
				expect(step).toBeGreaterThanOrEqual(value * (1 - 1e-9));
				expect(step).toBeLessThanOrEqual(2.5 * value * (1 + 1e-9));
			}),
			{ seed: 3 },
		);
	});

	test.each([0, -1, Number.NaN, Infinity])("%d is refused", (value) => {
		expect(() => stepAtLeast(value)).toThrow(RangeError);
	});
});

describe("the range", () => {
	test("grows at once", () => {
		const range = createAutoRange(1);
		expect(range.update(3, 0)).toBe(true);
		expect(range.value).toBe(5);
	});

	test("shrinks only after eight quiet seconds", () => {
		const range = createAutoRange(1);
		range.update(9, 0);
		const changes = [];
		for (let tenth = 1; tenth <= 120; tenth++) if (range.update(1.2, tenth / 10)) changes.push(tenth / 10);
		expect(changes).toEqual([8]);
		expect(range.value).toBe(2);
	});

	test("stands still while peaks come again", () => {
		const range = createAutoRange(1);
		let changes = 0;
		for (let tenth = 0; tenth < 600; tenth++) {
			const peak = tenth % 50 < 10 ? 9 : 0.5;
			if (range.update(peak, tenth / 10)) changes++;
		}
		expect(changes).toBe(1);
		expect(range.value).toBe(10);
	});

	test("does not flutter when the peak sits at a step", () => {
		const range = createAutoRange(0.1);
		let changes = 0;
		for (let tenth = 0; tenth < 1200; tenth++) {
			if (range.update(tenth % 2 === 0 ? 4.9 : 5.1, tenth / 10)) changes++;
		}
		expect(changes).toBeLessThanOrEqual(2);
	});

	test("stays while locked and follows again when it is not", () => {
		const range = createAutoRange(1);
		range.locked = true;
		expect(range.update(70, 0)).toBe(false);
		range.reset();
		expect(range.value).toBe(1);
		range.locked = false;
		range.update(70, 0.1);
		expect(range.value).toBe(100);
	});

	test("never goes below its floor", () => {
		const range = createAutoRange(0.001);
		range.setFloor(0.7);
		expect(range.value).toBe(1);
		for (let second = 0; second < 30; second++) range.update(0.01, second);
		expect(range.value).toBe(1);
	});

	test("starts afresh when time jumps, as a replay's does", () => {
		const range = createAutoRange(1);
		range.update(9, 100);
		range.update(1, 3);
		for (let second = 4; second <= 12; second++) range.update(1, second);
		expect(range.value).toBe(2);
	});

	test("takes no notice of what is no number", () => {
		const range = createAutoRange(1);
		expect(range.update(Number.NaN, 0)).toBe(false);
		expect(range.update(Infinity, 0)).toBe(false);
		expect(range.value).toBe(1);
	});
});

describe("the magnitude that most values stay below", () => {
	test("agrees with sorting, to within its bins of 9 %", () => {
		fc.assert(
			fc.property(
				fc.array(fc.double({ min: 1e-6, max: 1e3, noNaN: true }), { minLength: 50, maxLength: 400 }),
				(list) => {
					const values = Float32Array.from(list, (value, i) => (i % 2 === 0 ? value : -value));
					const sorted = Array.from(values, Math.abs).sort((a, b) => a - b);
					const exact = sorted[sorted.length - 1 - Math.floor(0.05 * sorted.length)]!;
					const found = magnitudeBelow(values, 0.05);
					expect(found).toBeGreaterThanOrEqual(exact * (1 - 1e-6));
					expect(found).toBeLessThanOrEqual(exact * 2 ** (1 / 8) * (1 + 1e-6));
				},
			),
			{ seed: 5 },
		);
	});

	test("is zero for nothing, zeros and NaN", () => {
		expect(magnitudeBelow(new Float32Array(0), 0.01)).toBe(0);
		expect(magnitudeBelow(new Float32Array(9), 0.01)).toBe(0);
		expect(magnitudeBelow(new Float32Array(9).fill(Number.NaN), 0.01)).toBe(0);
	});
});
