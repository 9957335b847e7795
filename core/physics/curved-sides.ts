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
		if (one < 0 || other < 0) ontoSkin(into, chord);
		else if (circles !== undefined) bulge(circles[Math.max(one, other) - 1]!, chord, into);
	};
}

/** Moves the middle of a chord of the outline onto the outline. */
function projectionOnto(outline: Outline): (middle: Float64Array, chord: number) => void {
	const { shape } = outline;
	switch (shape.type) {
		case "circle":
			return (middle) => ontoEllipse(shape.radius, shape.radius, middle);
		case "ellipse":
			return (middle) => ontoEllipse(shape.a, shape.b, middle);
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
		// farther off than a quarter of the chord the side would bend too much for a triangle
		let nearest = chord / 4;
		grid.forEachNear(x - nearest, y - nearest, x + nearest, y + nearest, (i) => {
			const px = ends[4 * i]!;
			const py = ends[4 * i + 1]!;
			const dx = ends[4 * i + 2]! - px;
			const dy = ends[4 * i + 3]! - py;
			const t = Math.min(1, Math.max(0, ((x - px) * dx + (y - py) * dy) / (dx * dx + dy * dy)));
			const distance = Math.hypot(px + t * dx - x, py + t * dy - y);
			if (distance >= nearest) return;
			nearest = distance;
			middle[0] = px + t * dx;
			middle[1] = py + t * dy;
		});
	};
}

/** Moves the middle of a chord outwards by the chord's height, so that it does no harm where mesh nodes were moved
 *  off the circle to meet another outline. */
function bulge({ center, radius }: Circle, chord: number, middle: Float64Array): void {
	const x = middle[0]! - center[0];
	const y = middle[1]! - center[1];
	const distance = Math.hypot(x, y);
	if (chord >= radius || distance === 0) return;
	const height = radius - Math.sqrt(radius * radius - (chord * chord) / 4);
	middle[0]! += (x * height) / distance;
	middle[1]! += (y * height) / distance;
}

/** Moves a point near the ellipse x²/a² + y²/b² = 1 onto it along the normal (Newton). */
function ontoEllipse(a: number, b: number, point: Float64Array): void {
	for (let step = 0; step < 4; step++) {
		const x = point[0]!;
		const y = point[1]!;
		const gx = (2 * x) / (a * a);
		const gy = (2 * y) / (b * b);
		const off = (x / a) ** 2 + (y / b) ** 2 - 1;
		const move = off / (gx * gx + gy * gy);
		point[0] = x - gx * move;
		point[1] = y - gy * move;
	}
}
