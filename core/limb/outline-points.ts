import { orient2d } from "robust-predicates";
import type { Point } from "./limb.ts";
import { createSegmentGrid } from "./segment-grid.ts";

/** Many programs close a polygon by its first point: the same outline. */
export function withoutClosingPoint(points: readonly Point[]): readonly Point[] {
	const first = points[0];
	const last = points.at(-1);
	const isClosed = points.length > 1 && first![0] === last![0] && first![1] === last![1];
	return isClosed ? points.slice(0, -1) : points;
}

/** @throws RangeError naming the point that cannot be part of an outline, or that there are too few */
export function checkPoints(points: readonly Point[], atLeast: number): readonly Point[] {
	if (points.length < atLeast) {
		throw new RangeError(`outline: at least ${atLeast} points are needed, got ${points.length}`);
	}
	let size = 0;
	for (const [i, [x, y]] of points.entries()) {
		if (!(Number.isFinite(x) && Number.isFinite(y))) {
			throw new RangeError(`outline: point ${i} is not a pair of finite numbers (${x}, ${y})`);
		}
		size = Math.max(size, Math.abs(x - points[0]![0]), Math.abs(y - points[0]![1]));
	}
	if (size === 0) throw new RangeError("outline: all points are the same");
	for (const [i, [x, y]] of points.entries()) {
		const next = (i + 1) % points.length;
		const [nx, ny] = points[next]!;
		if (Math.hypot(nx - x, ny - y) <= 1e-9 * size) {
			throw new RangeError(
				next === 0
					? "outline: the last point is almost the first; leave it out"
					: `outline: points ${i} and ${next} are the same`,
			);
		}
	}
	const area = Math.abs(signedArea(points));
	if (area < 1e-6 * size * size) throw new RangeError("outline: the points enclose no area");
	return points;
}

function signedArea(points: readonly Point[]): number {
	const [x0, y0] = points[0]!;
	let twice = 0;
	for (let i = 1; i + 1 < points.length; i++) {
		const [x1, y1] = points[i]!;
		const [x2, y2] = points[i + 1]!;
		twice += (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0);
	}
	return twice / 2;
}

export function anticlockwise(points: readonly Point[]): readonly Point[] {
	return signedArea(points) > 0 ? points : points.toReversed();
}

/** @param vertices [n × 2] of a closed polyline; @param what it is called in the message
 *  @throws RangeError when it crosses or touches itself */
export function requireSimple(vertices: Float64Array, what: string): void {
	const n = vertices.length / 2;
	const ends = new Float64Array(4 * n);
	for (let i = 0; i < n; i++) {
		const j = (i + 1) % n;
		ends[4 * i] = vertices[2 * i]!;
		ends[4 * i + 1] = vertices[2 * i + 1]!;
		ends[4 * i + 2] = vertices[2 * j]!;
		ends[4 * i + 3] = vertices[2 * j + 1]!;
	}
	const grid = createSegmentGrid(ends);
	for (let i = 0; i < n; i++) {
		const ax = ends[4 * i]!;
		const ay = ends[4 * i + 1]!;
		const bx = ends[4 * i + 2]!;
		const by = ends[4 * i + 3]!;
		const near = grid.collect(ax, ay, bx, by);
		for (let f = 0; f < near; f++) {
			const k = grid.found[f]!;
			if (k <= i) continue;
			const cx = ends[4 * k]!;
			const cy = ends[4 * k + 1]!;
			const dx = ends[4 * k + 2]!;
			const dy = ends[4 * k + 3]!;
			const neighbours = k === i + 1 || (i === 0 && k === n - 1);
			const crossing = neighbours
				? foldsBack(i, k, n, ax, ay, bx, by, cx, cy, dx, dy)
				: touches(ax, ay, bx, by, cx, cy, dx, dy);
			if (crossing) {
				throw new RangeError(
					`outline: the ${what} crosses itself near (${ax.toPrecision(4)}, ${ay.toPrecision(4)}) m`,
				);
			}
		}
	}
}

/** Neighbouring segments share an end; they go wrong only when the second runs back along the first. */
function foldsBack(
	i: number,
	k: number,
	n: number,
	ax: number,
	ay: number,
	bx: number,
	by: number,
	cx: number,
	cy: number,
	dx: number,
	dy: number,
): boolean {
	const wraps = i === 0 && k === n - 1 && n > 2;
	const [px, py, qx, qy, rx, ry] = wraps ? [cx, cy, ax, ay, bx, by] : [ax, ay, bx, by, dx, dy];
	return orient2d(px, py, qx, qy, rx, ry) === 0 && (qx - px) * (rx - qx) + (qy - py) * (ry - qy) < 0;
}

function touches(
	ax: number,
	ay: number,
	bx: number,
	by: number,
	cx: number,
	cy: number,
	dx: number,
	dy: number,
): boolean {
	if (Math.max(ax, bx) < Math.min(cx, dx) || Math.max(cx, dx) < Math.min(ax, bx)) return false;
	if (Math.max(ay, by) < Math.min(cy, dy) || Math.max(cy, dy) < Math.min(ay, by)) return false;
	const abc = orient2d(ax, ay, bx, by, cx, cy);
	const abd = orient2d(ax, ay, bx, by, dx, dy);
	const cda = orient2d(cx, cy, dx, dy, ax, ay);
	const cdb = orient2d(cx, cy, dx, dy, bx, by);
	return abc * abd <= 0 && cda * cdb <= 0;
}
