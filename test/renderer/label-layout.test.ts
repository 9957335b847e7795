import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
	clearance,
	innermostPoint,
	isInside,
	placeInside,
	placeOver,
	spread,
} from "../../renderer/draw/label-layout.ts";
import { fitView, toCanvasX, toCanvasY } from "../../renderer/draw/limb-view.ts";

const square = Float64Array.of(0, 0, 100, 0, 100, 60, 0, 60);

describe("inside an outline", () => {
	test("clearance is the distance to the nearest side, negative outside", () => {
		expect(clearance(square, 50, 30)).toBe(30);
		expect(clearance(square, 10, 30)).toBe(10);
		expect(clearance(square, -5, 30)).toBe(-5);
		expect(isInside(square, 50, 59.9)).toBe(true);
		expect(isInside(square, 50, 60.1)).toBe(false);
	});

	test("a name that fits lies wholly inside, and clear of what is blocked", () => {
		const at = placeInside(square, 40, 20, [{ left: 0, top: 0, right: 50, bottom: 60 }]);
		expect(at).not.toBeNull();
		expect(at!.x - 20).toBeGreaterThanOrEqual(50);
		expect(at!.x + 20).toBeLessThan(100);
		expect(Math.abs(at!.y - 30)).toBeLessThan(20);
	});

	test("a name that does not fit has no place inside, but may reach over the edge", () => {
		expect(placeInside(square, 120, 20, [])).toBeNull();
		expect(placeOver(square, 120, 20, 10, [])).not.toBeNull();
		expect(placeOver(square, 120, 20, 31, [])).toBeNull();
		expect(placeOver(square, 120, 20, 10, [{ left: 0, top: 0, right: 100, bottom: 60 }])).toBeNull();
	});

	test("the innermost point of a crescent is inside of it", () => {
		const crescent = Float64Array.from(
			[
				...Array.from({ length: 20 }, (_, i) => [100, (Math.PI * i) / 19] as const),
				...Array.from({ length: 20 }, (_, i) => [80, (Math.PI * (19 - i)) / 19] as const),
			].flatMap(([radius, angle]) => [radius * Math.cos(angle), radius * Math.sin(angle)]),
		);
		const { x, y } = innermostPoint(crescent);
		expect(isInside(crescent, x, y)).toBe(true);
	});
});

describe("spreading names", () => {
	test("leaves names that have room where they are", () => {
		expect(spread([10, 40, 80], 16, 0, 100)).toEqual([10, 40, 80]);
	});

	test("moves a heap apart about its middle", () => {
		expect(spread([50, 50, 50], 10, 0, 100)).toEqual([40, 50, 60]);
	});

	test("stays within bounds, keeps the order and the distance", () => {
		fc.assert(
			fc.property(fc.array(fc.double({ min: -50, max: 250, noNaN: true }), { maxLength: 9 }), (wishes) => {
				const sorted = wishes.sort((a, b) => a - b);
				const rows = spread(sorted, 20, 0, 200);
				expect(rows).toHaveLength(sorted.length);
				rows.forEach((row, i) => {
					expect(row).toBeGreaterThanOrEqual(-1e-9);
					expect(row).toBeLessThanOrEqual(200 + 1e-9);
					if (i > 0) expect(row - rows[i - 1]!).toBeGreaterThanOrEqual(20 - 1e-9);
				});
			}),
			{ seed: 4 },
		);
	});

	test("spaces evenly where there is no room for all", () => {
		expect(spread([5, 5, 5, 5, 5], 50, 0, 100)).toEqual([0, 25, 50, 75, 100]);
	});
});

describe("the view", () => {
	const skin = [
		[-0.05, 0],
		[0.1, 0],
		[0, 0.06],
		[0, -0.04],
	] as const;
	const box = { left: 10, top: 20, right: 310, bottom: 320 };

	test("fills the box as far as the shape allows, front up", () => {
		const view = fitView(skin, box, false);
		expect(view.scale).toBeCloseTo(2000);
		expect(toCanvasX(view, -0.05)).toBeCloseTo(10);
		expect(toCanvasX(view, 0.1)).toBeCloseTo(310);
		expect(toCanvasY(view, 0.06)).toBeLessThan(toCanvasY(view, -0.04));
		expect((toCanvasY(view, 0.06) + toCanvasY(view, -0.04)) / 2).toBeCloseTo(170);
	});

	test("from the hip left and right change places, up stays up", () => {
		const view = fitView(skin, box, true);
		expect(toCanvasX(view, -0.05)).toBeCloseTo(310);
		expect(toCanvasX(view, 0.1)).toBeCloseTo(10);
		expect(toCanvasY(view, 0.06)).toBeLessThan(toCanvasY(view, -0.04));
	});

	test("needs an outline with an extent", () => {
		expect(() => fitView([], box, false)).toThrow(RangeError);
		expect(() => fitView([[1, 1]], box, false)).toThrow(RangeError);
	});
});
