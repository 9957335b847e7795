import type { Point } from "../limb/limb.ts";
import type { Outline } from "../limb/outline.ts";
import { createSegmentGrid } from "../limb/segment-grid.ts";

export interface Circle {
	readonly center: Point;
	readonly radius: number;
}

/**
 * Writes the middle of a mesh side from a to b over `into`: on the curve that the side stands for, else on the chord.
 * `one` and `other` are the mesh's region numbers on its two sides, −1 outside of the outline.
 */
export type MiddleOfSide = (
	ax: number,
	ay: number,
	bx: number,
	by: number,
	one: number,
	other: number,
	into: Float64Array,
) => void;

/**
 * Sides on the skin bend with the outline, sides between regions with the circle of the later one, since that lies
 * on top: region i + 1 of the mesh is `circles[i]`. Regions of other shapes, without `circles`, stay as meshed.
 */
export function createMiddleOfSide(outline: Outline, circles?: readonly Circle[]): MiddleOfSide {
	const ontoSkin = projectionOnto(outline);
	return (ax, ay, bx, by, one, other, into) => {
		into[0] = (ax + bx) / 2;
		into[1] = (ay + by) / 2;
		if (one === other) return;
		const chord = Math.hypot(bx - ax, by - ay);
		if (one < 0 || other < 0) {
			ontoSkin(into, chord);
		} else if (circles !== undefined) {
			const { center, radius } = circles[Math.max(one, other) - 1]!;
			bulge(center[0], center[1], radius, chord, into);
		}
	};
}

/** Moves the middle of a chord of the outline onto the outline. */
function projectionOnto(outline: Outline): (middle: Float64Array, chord: number) => void {
	const { shape } = outline;
	switch (shape.type) {
		case "circle":
			return (middle, chord) => bulge(0, 0, shape.radius, chord, middle);
		case "ellipse":
			return (middle, chord) => bulgeOnEllipse(shape.a, shape.b, chord, middle);
		case "polygon":
		case "smooth":
			return ontoNearestSegment(outline.vertices);
	}
}

function ontoNearestSegment(vertices: Float64Array): (middle: Float64Array, chord: number) => void {
	const ends = new Float64Array(2 * vertices.length);
	for (let i = 0; i < vertices.length; i += 2) {
		ends.set(vertices.subarray(i, i + 2), 2 * i);
		const next = (i + 2) % vertices.length;
		ends.set(vertices.subarray(next, next + 2), 2 * i + 2);
	}
	const grid = createSegmentGrid(ends);
	return (middle, chord) => {
		const x = middle[0]!;
		const y = middle[1]!;
		// A smooth skin lies far nearer. What is farther off is a corner that the mesh cut: bent there, a triangle folds.
		let nearest = chord / 16;
		const near = grid.collect(x - nearest, y - nearest, x + nearest, y + nearest);
		for (let f = 0; f < near; f++) {
			const i = grid.found[f]!;
			const px = ends[4 * i]!;
			const py = ends[4 * i + 1]!;
			const dx = ends[4 * i + 2]! - px;
			const dy = ends[4 * i + 3]! - py;
			const t = Math.min(1, Math.max(0, ((x - px) * dx + (y - py) * dy) / (dx * dx + dy * dy)));
			const distance = Math.hypot(px + t * dx - x, py + t * dy - y);
			if (distance >= nearest) continue;
			nearest = distance;
			middle[0] = px + t * dx;
			middle[1] = py + t * dy;
		}
	};
}

/** Moves the middle of a chord away from the circle's centre by the chord's height. Unlike a projection it does no
 *  harm where mesh nodes lie a little off the curve. */
function bulge(centerX: number, centerY: number, radius: number, chord: number, middle: Float64Array): void {
	const x = middle[0]! - centerX;
	const y = middle[1]! - centerY;
	const distance = Math.hypot(x, y);
	if (chord >= radius || distance === 0) return;
	const height = radius - Math.sqrt(radius * radius - (chord * chord) / 4);
	middle[0]! += (x * height) / distance;
	middle[1]! += (y * height) / distance;
}

/** The same on x²/a² + y²/b² = 1, with the circle of curvature there. */
function bulgeOnEllipse(a: number, b: number, chord: number, middle: Float64Array): void {
	const nx = middle[0]! / (a * a);
	const ny = middle[1]! / (b * b);
	const steepness = Math.hypot(nx, ny);
	if (steepness === 0) return;
	const radius = steepness ** 3 / ((nx / b) ** 2 + (ny / a) ** 2);
	const centerX = middle[0]! - (radius * nx) / steepness;
	const centerY = middle[1]! - (radius * ny) / steepness;
	bulge(centerX, centerY, radius, chord, middle);
}
