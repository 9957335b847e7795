import type { Point } from "./limb.ts";

/**
 * Points of a circle as a region outline, anticlockwise from +x. The polygon has the circle's own area: its
 * corners lie outside the circle and its edges inside, by 2/3 and 1/3 of the chord's height (2e-6 of the radius
 * for 512 points).
 */
export function circlePoints(centre: Point, radius: number, count = 512): Point[] {
	return ellipsePoints(centre, radius, radius, 0, count);
}

/** Points of an ellipse (semi-axes a, b; a turned by `turn` radians from +x) as a region outline of equal area. */
export function ellipsePoints(centre: Point, a: number, b: number, turn = 0, count = 512): Point[] {
	if (!(a > 0 && b > 0 && a < Infinity && b < Infinity)) {
		throw new RangeError(`region: radii must be positive numbers of metres, got ${a} and ${b}`);
	}
	const step = (2 * Math.PI) / count;
	const equalArea = Math.sqrt(step / Math.sin(step));
	const c = Math.cos(turn);
	const s = Math.sin(turn);
	return Array.from({ length: count }, (_, i) => {
		const x = equalArea * a * Math.cos(i * step);
		const y = equalArea * b * Math.sin(i * step);
		return [centre[0] + c * x - s * y, centre[1] + s * x + c * y];
	});
}
