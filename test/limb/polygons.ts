import type { Point } from "../../core/limb/limb.ts";

/** Plain formulas for closed polygons, to check the program's own geometry against. */
export function polygonArea(points: readonly Point[]): number {
	let twice = 0;
	for (const [i, [x0, y0]] of points.entries()) {
		const [x1, y1] = points[(i + 1) % points.length]!;
		twice += x0 * y1 - x1 * y0;
	}
	return twice / 2;
}

export function contains(points: readonly Point[], x: number, y: number): boolean {
	let inside = false;
	// Asked for every triangle: most sides lie above or below the point.
	for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
		const p = points[i]!;
		const q = points[j]!;
		if (p[1] > y === q[1] > y) continue;
		if (x < p[0] + ((q[0] - p[0]) * (y - p[1])) / (q[1] - p[1])) inside = !inside;
	}
	return inside;
}

/** Distance to the line of a closed polygon. */
export function distanceTo(points: readonly Point[], x: number, y: number): number {
	let least = Infinity;
	for (const [i, [x0, y0]] of points.entries()) {
		const [x1, y1] = points[(i + 1) % points.length]!;
		const dx = x1 - x0;
		const dy = y1 - y0;
		const t = Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)));
		least = Math.min(least, Math.hypot(x0 + t * dx - x, y0 + t * dy - y));
	}
	return least;
}
