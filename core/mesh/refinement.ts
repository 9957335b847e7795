import { orient2d } from "robust-predicates";
import { insertInTriangle, locate, splitEdge } from "./insertion.ts";
import type { Jitter } from "./jitter.ts";
import type { MeshPoints, MeshSegment } from "./mesh-points.ts";
import { SQUARE_CORNERS } from "./outline-triangulation.ts";
import { OUTSIDE } from "./sides.ts";
import { nextEdge, previousEdge, type Triangulation } from "./triangulation.ts";

/**
 * Adds points inside until every triangle is as small as the size field wants and has no angle below `leastAngle`
 * (Delaunay refinement: Ruppert, J Algorithms 18:548, 1995; Chew, SoCG 1993). Points go onto the Voronoi edge of a
 * triangle's shortest side, as far out as the wanted size, rather than to the circumcentre, which gives nearly
 * equilateral triangles (off-centres: Rebay, J Comput Phys 106:125, 1993; Üngör, Comput Geom 42:109, 2009).
 */
export interface Refinement {
	readonly triangulation: Triangulation;
	/** Wanted edge length at each vertex. */
	readonly size: number[];
	readonly points: MeshPoints;
	/** Where to cut a segment in two. */
	readonly middleOf: (segment: MeshSegment) => readonly [number, number];
	readonly jitter: Jitter;
}

/** Triangles may be this much larger than wanted before they are split. */
const SIZE_TOLERANCE = 1.25;
/** Share of its distance that a variant moves a new point by. */
const POINT_JITTER = 0.15;

/** @returns whether any point was added */
export function refine(r: Refinement, leastAngle: number, bySize: boolean): boolean {
	const t = r.triangulation;
	const ratioLimit = 1 / (2 * Math.sin(leastAngle));
	let queue = new Int32Array(4 * t.nTriangles + 1024);
	let head = 0;
	let tail = 0;
	let waiting = new Uint8Array(4 * t.nTriangles + 1024);
	const push = (triangle: number) => {
		if (triangle >= waiting.length) {
			const larger = new Uint8Array(2 * triangle);
			larger.set(waiting);
			waiting = larger;
		}
		if (waiting[triangle]) return;
		if (tail === queue.length) {
			if (head > queue.length / 2) queue.copyWithin(0, head, tail);
			else {
				const larger = new Int32Array(2 * queue.length);
				larger.set(queue.subarray(head, tail));
				queue = larger;
			}
			tail -= head;
			head = 0;
		}
		waiting[triangle] = 1;
		queue[tail++] = triangle;
	};
	const pushChanged = () => {
		for (let i = 0; i < t.nChanged; i++) push(t.changed[i]!);
	};
	for (let i = 0; i < t.nTriangles; i++) push(i);

	const before = t.nVertices;
	const limit = 40 * t.nTriangles + 400_000;
	for (let step = 0; head < tail && step < limit; step++) {
		const triangle = queue[head++]!;
		waiting[triangle] = 0;
		if (t.label[triangle] === OUTSIDE) continue;
		if (improve(r, triangle, ratioLimit, bySize)) {
			push(triangle);
			pushChanged();
		}
	}
	return t.nVertices > before;
}

/** @returns whether the mesh changed */
function improve(r: Refinement, triangle: number, ratioLimit: number, bySize: boolean): boolean {
	const t = r.triangulation;
	const { x, y, origin, segment } = t;
	const e0 = 3 * triangle;
	let shortest = e0;
	let least = Infinity;
	for (let e = e0; e < e0 + 3; e++) {
		const a = origin[e]!;
		const b = origin[nextEdge(e)]!;
		const square = (x[b]! - x[a]!) ** 2 + (y[b]! - y[a]!) ** 2;
		if (square < least) {
			least = square;
			shortest = e;
		}
	}
	const length = Math.sqrt(least);
	const a = origin[shortest]!;
	const b = origin[nextEdge(shortest)]!;
	const c = origin[previousEdge(shortest)]!;
	const bx = x[b]! - x[a]!;
	const by = y[b]! - y[a]!;
	const cx = x[c]! - x[a]!;
	const cy = y[c]! - y[a]!;
	const twice = 2 * (bx * cy - by * cx);
	const bb = bx * bx + by * by;
	const cc = cx * cx + cy * cy;
	const ux = (cy * bb - by * cc) / twice;
	const uy = (bx * cc - cx * bb) / twice;
	const radius = Math.sqrt(ux * ux + uy * uy);

	const wanted = (r.size[a]! + r.size[b]! + r.size[c]!) / 3;
	const tooLarge = bySize && radius * Math.sqrt(3) > SIZE_TOLERANCE * wanted;
	const tooFlat = radius > ratioLimit * length && !isCausedByInput(t, shortest);
	if (!tooLarge && !tooFlat) return false;

	// Along the perpendicular bisector of the shortest edge, towards the circumcentre.
	const mx = bx / 2;
	const my = by / 2;
	const out = Math.hypot(ux - mx, uy - my);
	let px = x[a]! + ux;
	let py = y[a]! + uy;
	const local = Math.max(length, Math.min(r.points.field.at(px, py), wanted * 1.5));
	const rho = Math.max(local / Math.sqrt(3), length / Math.sqrt(3));
	let wantedOut = (rho + Math.sqrt(Math.max(0, rho * rho - least / 4))) * (1 + POINT_JITTER * r.jitter());
	if (tooFlat && !tooLarge) wantedOut = Math.min(wantedOut, length * 0.95 * ratioLimit * 2);
	if (out > wantedOut && (ux - mx) * (cx - mx) + (uy - my) * (cy - my) > 0) {
		px = x[a]! + mx + ((ux - mx) * wantedOut) / out;
		py = y[a]! + my + ((uy - my) * wantedOut) / out;
	}

	const where = locate(t, triangle, px, py, true);
	if (where < 0) {
		const e = -1 - where;
		if (segment[e] === 0) return false;
		return trySplit(r, e, tooFlat);
	}
	const encroached = encroachedBy(t, where, px, py);
	if (encroached >= 0) return trySplit(r, encroached, tooFlat);
	const before = t.nVertices;
	const v = insertInTriangle(t, where, px, py);
	if (v < before) return false;
	r.size[v] = r.points.field.at(px, py);
	return true;
}

/** A flat triangle whose short side spans a sharp angle of the input cannot be helped: its two ends lie on two
 *  segments that meet. */
function isCausedByInput(t: Triangulation, shortest: number): boolean {
	return t.segment[nextEdge(shortest)] !== 0 && t.segment[previousEdge(shortest)] !== 0;
}

/** Half-edge of a segment that the point would come too near: seen from the point under more than 120°
 *  (the lens of Chew's second algorithm), among the segments around its triangle. */
function encroachedBy(t: Triangulation, triangle: number, px: number, py: number): number {
	const visit = (e: number, depth: number): number => {
		const a = t.origin[e]!;
		const b = t.origin[nextEdge(e)]!;
		const ax = t.x[a]! - px;
		const ay = t.y[a]! - py;
		const bx = t.x[b]! - px;
		const by = t.y[b]! - py;
		const dot = ax * bx + ay * by;
		if (t.segment[e] !== 0) {
			const cosine = dot / Math.sqrt((ax * ax + ay * ay) * (bx * bx + by * by));
			return cosine < -0.4 ? e : -1;
		}
		if (dot > 0 || depth === 0) return -1;
		const other = t.twin[e]!;
		if (other < 0) return -1;
		const first = visit(nextEdge(other), depth - 1);
		return first >= 0 ? first : visit(previousEdge(other), depth - 1);
	};
	for (let e = 3 * triangle; e < 3 * triangle + 3; e++) {
		const found = visit(e, 4);
		if (found >= 0) return found;
	}
	return -1;
}

function trySplit(r: Refinement, e: number, needed: boolean): boolean {
	const t = r.triangulation;
	const a = t.origin[e]!;
	const b = t.origin[nextEdge(e)]!;
	const length = Math.hypot(t.x[b]! - t.x[a]!, t.y[b]! - t.y[a]!);
	const wanted = (r.size[a]! + r.size[b]!) / 2;
	if (length < (needed ? 0.3 : 1.6) * wanted) return false;
	const id = t.segment[e]! - 1;
	const segment = r.points.segments[id]!;
	const half = t.nVertices - SQUARE_CORNERS;
	const middle = (segment.from + segment.to) / 2;
	r.points.segments[id] = { ...segment, b: half, to: middle };
	r.points.segments.push({ ...segment, a: half, from: middle });
	const rest = r.points.segments.length;
	let [mx, my] = r.middleOf(segment);
	if (!canSplitAt(t, e, mx, my)) {
		mx = (t.x[a]! + t.x[b]!) / 2;
		my = (t.y[a]! + t.y[b]!) / 2;
	}
	// The half-edge may run against the segment's own direction.
	const forward = segment.a === a - SQUARE_CORNERS;
	const v = splitEdge(t, e, mx, my, forward ? id + 1 : rest, forward ? rest : id + 1);
	r.size[v] = Math.min(wanted, length / 2 + 0.25 * wanted);
	return true;
}

/** Whether the four triangles around an edge stay upright when it is split at a point beside it. */
function canSplitAt(t: Triangulation, e: number, px: number, py: number): boolean {
	const clear = (edge: number): boolean => {
		const a = t.origin[edge]!;
		const b = t.origin[nextEdge(edge)]!;
		return orient2d(t.x[a]!, t.y[a]!, t.x[b]!, t.y[b]!, px, py) < 0;
	};
	const f = t.twin[e]!;
	return clear(nextEdge(e)) && clear(previousEdge(e)) && clear(nextEdge(f)) && clear(previousEdge(f));
}
