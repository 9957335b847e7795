import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { OutlineShape, Point } from "../../core/limb/limb.ts";
import { createOutline } from "../../core/limb/outline.ts";

const circle = (count: number, radius: number, sense: 1 | -1 = 1): Point[] =>
	Array.from({ length: count }, (_, i) => {
		const t = (sense * 2 * Math.PI * i) / count;
		return [radius * Math.cos(t), radius * Math.sin(t)];
	});

describe("circle and ellipse", () => {
	test.each([1e-3, 0.084, 10])("has the circle's own length and area, radius %d m", (radius) => {
		const outline = createOutline({ type: "circle", radius });
		expect(outline.circumference / (2 * Math.PI * radius)).toBeCloseTo(1, 6);
		expect(outline.area / (Math.PI * radius ** 2)).toBeCloseTo(1, 6);
	});

	test("stays within a millionth of the radius from the circle", () => {
		const { vertices } = createOutline({ type: "circle", radius: 1 });
		for (let i = 0; i < vertices.length; i += 2) {
			const j = (i + 2) % vertices.length;
			const middle = Math.hypot(vertices[i]! + vertices[j]!, vertices[i + 1]! + vertices[j + 1]!) / 2;
			expect(1 - middle).toBeLessThan(1e-6);
		}
	});

	test("has the ellipse's perimeter", () => {
		// 4a·E(m) with m = 1 − (b/a)² = 0.75 and E(0.75) = 1.211056027568 (Abramowitz & Stegun, Table 17.1).
		const outline = createOutline({ type: "ellipse", a: 2, b: 1 });
		expect(outline.circumference / (8 * 1.211056027568)).toBeCloseTo(1, 6);
	});
});

describe("smooth curve", () => {
	// A periodic cubic spline converges with the fourth power of the spacing (de Boor, A Practical Guide to Splines).
	test("meets a circle better by the fourth power of the spacing", () => {
		const error = (count: number) => {
			const { vertices } = createOutline({ type: "smooth", points: circle(count, 1) });
			let worst = 0;
			for (let i = 0; i < vertices.length; i += 2) {
				worst = Math.max(worst, Math.abs(Math.hypot(vertices[i]!, vertices[i + 1]!) - 1));
			}
			return worst;
		};
		expect(error(12)).toBeLessThan(1e-3);
		expect(Math.log2(error(12) / error(24))).toBeGreaterThan(3.7);
		expect(Math.log2(error(24) / error(48))).toBeGreaterThan(3.7);
	});

	test("passes through every measured point", () => {
		const points: Point[] = [
			[0.09, 0.01],
			[0.06, 0.07],
			[0.01, 0.08],
			[-0.07, 0.05],
			[-0.08, -0.02],
			[0.0, -0.09],
			[0.05, -0.06],
		];
		const { vertices } = createOutline({ type: "smooth", points });
		for (const [x, y] of points) {
			let nearest = Infinity;
			for (let i = 0; i < vertices.length; i += 2) {
				nearest = Math.min(nearest, Math.hypot(vertices[i]! - x, vertices[i + 1]! - y));
			}
			expect(nearest).toBeLessThan(1e-12);
		}
	});

	test.each(["smooth", "polygon"] as const)("turns a clockwise %s anticlockwise", (type) => {
		const given = createOutline({ type, points: circle(16, 0.08) });
		const reversed = createOutline({ type, points: circle(16, 0.08, -1) });
		expect(reversed.area).toBeCloseTo(given.area, 12);
		expect(reversed.area).toBeGreaterThan(0);
	});
});

describe("arc length", () => {
	const shapes: [string, OutlineShape][] = [
		["circle", { type: "circle", radius: 0.08 }],
		["ellipse", { type: "ellipse", a: 0.09, b: 0.06 }],
		[
			"polygon",
			{
				type: "polygon",
				points: [
					[0.08, -0.05],
					[0.07, 0.06],
					[-0.08, 0.05],
					[-0.06, -0.07],
				],
			},
		],
		["smooth", { type: "smooth", points: circle(9, 0.08).map(([x, y]) => [1.1 * x, 0.9 * y + 0.01]) }],
	];

	test.each(shapes)("finds the point of a %s at a polar angle", (_, shape) => {
		const outline = createOutline(shape);
		fc.assert(
			fc.property(fc.double({ min: -7, max: 7, noNaN: true }), (angle) => {
				const [x, y] = outline.pointAt(outline.arcAtAngle(angle));
				expect(Math.cos(Math.atan2(y, x) - angle)).toBeCloseTo(1, 10);
			}),
		);
	});

	test.each(shapes)("wraps around a %s", (_, shape) => {
		const outline = createOutline(shape);
		for (const s of [-0.3, 0, 0.2, 1.7]) {
			const [x0, y0] = outline.pointAt(s);
			const [x1, y1] = outline.pointAt(s + 3 * outline.circumference);
			expect(Math.hypot(x1 - x0, y1 - y0)).toBeLessThan(1e-12);
		}
	});

	test.each(shapes)("holds points just inside a %s and none just outside", (_, shape) => {
		const outline = createOutline(shape);
		for (let i = 0; i < 50; i++) {
			const [x, y] = outline.pointAt((i / 50) * outline.circumference);
			expect(outline.contains(0.99 * x, 0.99 * y)).toBe(true);
			expect(outline.contains(1.01 * x, 1.01 * y)).toBe(false);
		}
	});

	test("knows the centre of a shifted circle", () => {
		const points = circle(200, 0.05).map(([x, y]): Point => [x + 0.02, y - 0.01]);
		const [x, y] = createOutline({ type: "polygon", points }).centroid;
		expect(x).toBeCloseTo(0.02, 10);
		expect(y).toBeCloseTo(-0.01, 10);
	});
});

test.each(["polygon", "smooth"] as const)("a %s that is closed by its first point is the same", (type) => {
	const points: Point[] = [
		[1, -1],
		[1.2, 1],
		[-1, 1],
		[-1, -1.1],
	];
	const closed = createOutline({ type, points: [...points, points[0]!] });
	expect(closed.vertices).toEqual(createOutline({ type, points }).vertices);
});

describe("refuses", () => {
	const square: Point[] = [
		[1, -1],
		[1, 1],
		[-1, 1],
		[-1, -1],
	];
	test.each<[string, OutlineShape, RegExp]>([
		["a radius of zero", { type: "circle", radius: 0 }, /radius must be a positive number/],
		["a radius that is no number", { type: "circle", radius: Number.NaN }, /radius/],
		["an endless ellipse", { type: "ellipse", a: Infinity, b: 1 }, /semi-axis a/],
		["two points", { type: "polygon", points: square.slice(0, 2) }, /at least 3 points/],
		["three points of a curve", { type: "smooth", points: square.slice(0, 3) }, /at least 4 points/],
		["a NaN", { type: "smooth", points: [...square, [Number.NaN, 0]] }, /point 4 is not a pair/],
		["a repeated point", { type: "polygon", points: [square[0]!, ...square] }, /points 0 and 1 are the same/],
		[
			"a first point nearly repeated",
			{ type: "smooth", points: [...square, [1, -1 + 1e-12]] },
			/leave it out/,
		],
		[
			"one point, repeated to close",
			{
				type: "polygon",
				points: [
					[1, 1],
					[1, 1],
				],
			},
			/at least 3 points/,
		],
		[
			"points on one line",
			{
				type: "polygon",
				points: [
					[0, 0],
					[1, 0],
					[2, 0],
				],
			},
			/enclose no area/,
		],
		[
			"a bow tie",
			{
				type: "polygon",
				points: [
					[-1, -2],
					[1, 2],
					[1, -2],
					[-1, 1],
				],
			},
			/crosses itself/,
		],
		[
			"a path that turns back on itself",
			{
				type: "polygon",
				points: [
					[-1, -1],
					[2, -1],
					[1, -1],
					[1, 1],
					[-1, 1],
				],
			},
			/crosses itself/,
		],
		[
			"a looping curve",
			{
				type: "smooth",
				points: [
					[1, 0],
					[0.5, 0.8],
					[0.9, 0.9],
					[0.6, 0.4],
					[-1, 0.5],
					[-1, -1],
				],
			},
			/crosses itself/,
		],
		[
			"an origin outside",
			{ type: "polygon", points: square.map(([x, y]): Point => [x + 3, y]) },
			/origin must lie inside/,
		],
	])("%s", (_, shape, message) => {
		expect(() => createOutline(shape)).toThrow(RangeError);
		expect(() => createOutline(shape)).toThrow(message);
	});
});
