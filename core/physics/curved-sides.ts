import type { OutlineShape, Point } from "../limb/limb.ts";

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
 * Sides on the skin bend with an outline that is a circle or an ellipse, sides between regions with the circle of
 * the later one, since that lies on top: region i + 1 of the mesh is `circles[i]`.
 */
export function createMiddleOfSide(shape: OutlineShape, circles: readonly Circle[]): MiddleOfSide {
	return (ax, ay, bx, by, one, other, into) => {
		into[0] = (ax + bx) / 2;
		into[1] = (ay + by) / 2;
		if (one === other) return;
		if (one >= 0 && other >= 0) bulge(circles[Math.max(one, other) - 1]!, Math.hypot(bx - ax, by - ay), into);
		else if (shape.type === "circle") ontoEllipse(shape.radius, shape.radius, into);
		else if (shape.type === "ellipse") ontoEllipse(shape.a, shape.b, into);
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
