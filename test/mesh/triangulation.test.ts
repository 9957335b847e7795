import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { constrain, findEdge } from "../../core/mesh/constraints.ts";
import { insertInTriangle, locate } from "../../core/mesh/insertion.ts";
import { createTriangulation, nextEdge, type Triangulation } from "../../core/mesh/triangulation.ts";

function triangulate(points: readonly (readonly [number, number])[], scale = 1): Triangulation {
	const t = createTriangulation(-scale, -scale, scale, scale, 16);
	for (const [x, y] of points) insertInTriangle(t, locate(t, 0, x, y, false), x, y);
	return t;
}

/** What any triangulation must be: twins agree, triangles are anticlockwise and fill the square. */
function expectSound(t: Triangulation): void {
	let doubled = 0;
	for (let e = 0; e < 3 * t.nTriangles; e++) {
		const other = t.twin[e]!;
		if (other >= 0) {
			expect(t.twin[other]).toBe(e);
			expect(t.origin[nextEdge(other)]).toBe(t.origin[e]);
			expect(t.segment[other]).toBe(t.segment[e]);
		}
		if (e % 3 !== 0) continue;
		const [a, b, c] = [t.origin[e]!, t.origin[e + 1]!, t.origin[e + 2]!];
		const area = (t.x[b]! - t.x[a]!) * (t.y[c]! - t.y[a]!) - (t.y[b]! - t.y[a]!) * (t.x[c]! - t.x[a]!);
		expect(area).toBeGreaterThanOrEqual(0);
		doubled += area;
	}
	for (let v = 0; v < t.nVertices; v++) expect(t.origin[t.edgeOf[v]!]).toBe(v);
	expect(t.nTriangles).toBe(2 * (t.nVertices - 4) + 2);
	const side = t.x[1]! - t.x[0]!;
	expect(doubled / (2 * side * side)).toBeCloseTo(1, 10);
}

/** How far a vertex lies inside the circle around a triangle, as a share of its radius. */
function deepestInCircle(t: Triangulation): number {
	let deepest = 0;
	for (let i = 0; i < t.nTriangles; i++) {
		const [a, b, c] = [t.origin[3 * i]!, t.origin[3 * i + 1]!, t.origin[3 * i + 2]!];
		const bx = t.x[b]! - t.x[a]!;
		const by = t.y[b]! - t.y[a]!;
		const cx = t.x[c]! - t.x[a]!;
		const cy = t.y[c]! - t.y[a]!;
		const d = 2 * (bx * cy - by * cx);
		const ux = (cy * (bx * bx + by * by) - by * (cx * cx + cy * cy)) / d;
		const uy = (bx * (cx * cx + cy * cy) - cx * (bx * bx + by * by)) / d;
		const radius = Math.hypot(ux, uy);
		// Nearly flat triangles have circles too large to compare in these numbers.
		if (!(radius < 1e3 * Math.hypot(bx, by))) continue;
		for (let v = 0; v < t.nVertices; v++) {
			const away = Math.hypot(t.x[v]! - t.x[a]! - ux, t.y[v]! - t.y[a]! - uy);
			deepest = Math.max(deepest, 1 - away / radius);
		}
	}
	return deepest;
}

const cloud = (count: number, scale: number) =>
	Array.from({ length: count }, (_, i): [number, number] => [
		scale * Math.sin(12.9898 * (i + 1)) * Math.cos(0.3 * i),
		scale * Math.sin(78.233 * (i + 1)) * Math.sin(0.7 * i + 1),
	]);

describe("Delaunay's empty circle holds for", () => {
	test.each([1e-9, 1, 1e9])("a cloud of points of size %d", (scale) => {
		const t = triangulate(cloud(150, scale), scale);
		expectSound(t);
		expect(deepestInCircle(t)).toBeLessThan(1e-9);
	});

	test("a square grid, where every four points lie on one circle", () => {
		const points: [number, number][] = [];
		for (let i = 0; i < 8; i++) for (let j = 0; j < 8; j++) points.push([i / 8 - 0.4, j / 8 - 0.4]);
		const t = triangulate(points);
		expectSound(t);
		expect(deepestInCircle(t)).toBeLessThan(1e-9);
	});

	test("points on one line, and the same points again", () => {
		const line = Array.from({ length: 20 }, (_, i): [number, number] => [i / 20 - 0.5, (i / 20 - 0.5) / 3]);
		const t = triangulate([...line, ...line]);
		expect(t.nVertices).toBe(24);
		expectSound(t);
	});

	test("any points on a coarse grid", () => {
		const coordinate = fc.integer({ min: -7, max: 7 }).map((k) => k / 8);
		fc.assert(
			fc.property(fc.array(fc.tuple(coordinate, coordinate), { maxLength: 60 }), (points) => {
				const t = triangulate(points);
				expectSound(t);
				expect(deepestInCircle(t)).toBeLessThan(1e-9);
			}),
			{ numRuns: 60 },
		);
	});
});

describe("constraints", () => {
	test("make any line between two points an edge, through points on it", () => {
		const coordinate = fc.integer({ min: -7, max: 7 }).map((k) => k / 8);
		const points = fc.uniqueArray(fc.tuple(coordinate, coordinate), {
			minLength: 3,
			maxLength: 50,
			selector: String,
		});
		fc.assert(
			fc.property(points, (chosen) => {
				const t = triangulate(chosen);
				expect(constrain(t, 4, t.nVertices - 1, 6)).toBe(true);
				expectSound(t);
				// Along the line, constrained edges follow each other from the first point to the last.
				let at = 4;
				for (let steps = 0; at !== t.nVertices - 1 && steps < 60; steps++) {
					const goal: [number, number] = [t.x[t.nVertices - 1]! - t.x[at]!, t.y[t.nVertices - 1]! - t.y[at]!];
					let next = -1;
					for (let v = 4; v < t.nVertices; v++) {
						const e = findEdge(t, at, v);
						if (e < 0 || t.segment[e] !== 7) continue;
						if (goal[0] * (t.x[v]! - t.x[at]!) + goal[1] * (t.y[v]! - t.y[at]!) > 0) next = v;
					}
					expect(next).toBeGreaterThan(0);
					at = next;
				}
				expect(at).toBe(t.nVertices - 1);
			}),
			{ numRuns: 100 },
		);
	});

	test("do not cross each other", () => {
		const t = triangulate([
			[-0.5, 0],
			[0.5, 0],
			[0, -0.5],
			[0, 0.5],
		]);
		expect(constrain(t, 4, 5, 0)).toBe(true);
		expect(constrain(t, 6, 7, 1)).toBe(false);
		expectSound(t);
	});

	test("stop a walk", () => {
		const t = triangulate([
			[-0.5, 0],
			[0.5, 0],
			[0, -0.5],
			[0, 0.5],
		]);
		constrain(t, 4, 5, 0);
		const from = locate(t, 0, 0.1, -0.1, false);
		expect(locate(t, from, 0.1, 0.1, true)).toBeLessThan(0);
		expect(locate(t, from, 0.1, 0.1, false)).toBeGreaterThanOrEqual(0);
	});
});
