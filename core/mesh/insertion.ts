import { orient2d } from "robust-predicates";
import { grow, legalise, link, nextEdge, note, previousEdge, type Triangulation } from "./triangulation.ts";

/**
 * Walks from triangle `from` towards (x, y).
 *
 * @param stopAtSegments end at the first constrained edge in the way
 * @returns the triangle that holds the point, or −1 − e with the half-edge e that stopped the walk
 */
export function locate(
	t: Triangulation,
	from: number,
	x: number,
	y: number,
	stopAtSegments: boolean,
): number {
	const { origin, twin, segment, x: vx, y: vy } = t;
	let triangle = from;
	let cameFrom = -1;
	// A visibility walk cannot circle in a Delaunay triangulation; with constraints it can, so it is bounded.
	let budget = 4 * t.nTriangles + 16;
	let turn = 0;
	while (budget-- > 0) {
		let out = -1;
		turn = (turn + 1) % 3;
		for (let k = 0; k < 3; k++) {
			const e = 3 * triangle + ((k + turn) % 3);
			if (e === cameFrom) continue;
			const a = origin[e]!;
			const b = origin[nextEdge(e)]!;
			if (orient2d(vx[a]!, vy[a]!, vx[b]!, vy[b]!, x, y) > 0) {
				out = e;
				break;
			}
		}
		if (out < 0) return triangle;
		if (twin[out]! < 0 || (stopAtSegments && segment[out] !== 0)) return -1 - out;
		cameFrom = twin[out]!;
		triangle = Math.floor(cameFrom / 3);
	}
	throw new Error("mesh: point location did not end");
}

/**
 * Adds a vertex in triangle `triangle` (which must hold it) and restores the Delaunay property.
 *
 * @returns the vertex number; an existing one when the point coincides with it
 */
export function insertInTriangle(t: Triangulation, triangle: number, x: number, y: number): number {
	const { origin, x: vx, y: vy } = t;
	for (let e = 3 * triangle; e < 3 * triangle + 3; e++) {
		const a = origin[e]!;
		if (vx[a] === x && vy[a] === y) return a;
	}
	for (let e = 3 * triangle; e < 3 * triangle + 3; e++) {
		const a = origin[e]!;
		const b = origin[nextEdge(e)]!;
		if (orient2d(vx[a]!, vy[a]!, vx[b]!, vy[b]!, x, y) === 0)
			return splitEdge(t, e, x, y, t.segment[e]!, t.segment[e]!);
	}
	if (t.nVertices === vx.length) grow(t);
	const v = t.nVertices++;
	t.x[v] = x;
	t.y[v] = y;

	const e0 = 3 * triangle;
	const e1 = e0 + 1;
	const e2 = e0 + 2;
	const a = t.origin[e0]!;
	const b = t.origin[e1]!;
	const c = t.origin[e2]!;
	const t1 = t.nTriangles++;
	const t2 = t.nTriangles++;
	setTriangle(t, t1, b, c, v);
	setTriangle(t, t2, c, a, v);
	t.label[t1] = t.label[triangle]!;
	t.label[t2] = t.label[triangle]!;
	moveEdge(t, 3 * t1, e1);
	moveEdge(t, 3 * t2, e2);
	t.origin[e2] = v;
	t.segment[e1] = 0;
	t.segment[e2] = 0;
	link(t, e1, 3 * t1 + 2);
	link(t, 3 * t1 + 1, 3 * t2 + 2);
	link(t, 3 * t2 + 1, e2);
	t.edgeOf[v] = e2;
	t.edgeOf[a] = e0;
	t.edgeOf[b] = e1;
	t.edgeOf[c] = 3 * t2;

	t.nChanged = 0;
	note(t, triangle);
	note(t, t1);
	note(t, t2);
	legalise(t, [e0, 3 * t1, 3 * t2]);
	return v;
}

/**
 * Adds a vertex on half-edge `e`, constrained or not, and restores the Delaunay property. Where the edge is
 * constrained the part from its origin keeps `firstSegment`, the rest `secondSegment` (numbers plus one).
 */
export function splitEdge(
	t: Triangulation,
	e: number,
	x: number,
	y: number,
	firstSegment: number,
	secondSegment: number,
): number {
	if (t.nVertices === t.x.length) grow(t);
	const v = t.nVertices++;
	t.x[v] = x;
	t.y[v] = y;
	const f = t.twin[e]!;
	const en = nextEdge(e);
	const ep = previousEdge(e);
	const q = t.origin[en]!;
	const r = t.origin[ep]!;
	const left = Math.floor(e / 3);

	// (p, q, r) becomes (p, v, r) and (v, q, r).
	const t1 = t.nTriangles++;
	setTriangle(t, t1, v, q, r);
	t.label[t1] = t.label[left]!;
	moveEdge(t, 3 * t1 + 1, en);
	t.segment[3 * t1] = secondSegment;
	t.origin[en] = v;
	t.segment[en] = 0;
	t.segment[e] = firstSegment;
	link(t, en, 3 * t1 + 2);
	t.edgeOf[v] = en;
	t.edgeOf[q] = 3 * t1 + 1;
	t.edgeOf[r] = ep;
	const p = t.origin[e]!;
	t.edgeOf[p] = e;

	t.nChanged = 0;
	note(t, left);
	note(t, t1);
	if (f < 0) {
		t.twin[e] = -1;
		t.twin[3 * t1] = -1;
		legalise(t, [ep, 3 * t1 + 1]);
		return v;
	}

	// (q, p, s) becomes (v, p, s) and (q, v, s).
	const fp = previousEdge(f);
	const fn = nextEdge(f);
	const s = t.origin[fp]!;
	const right = Math.floor(f / 3);
	const t2 = t.nTriangles++;
	setTriangle(t, t2, q, v, s);
	t.label[t2] = t.label[right]!;
	moveEdge(t, 3 * t2 + 2, fp);
	t.segment[3 * t2] = secondSegment;
	t.origin[f] = v;
	t.segment[f] = firstSegment;
	t.segment[fp] = 0;
	link(t, fp, 3 * t2 + 1);
	link(t, e, f);
	link(t, 3 * t1, 3 * t2);
	t.edgeOf[s] = fp;
	note(t, right);
	note(t, t2);
	legalise(t, [ep, 3 * t1 + 1, fn, 3 * t2 + 2]);
	return v;
}

function setTriangle(t: Triangulation, triangle: number, a: number, b: number, c: number): void {
	const e = 3 * triangle;
	t.origin[e] = a;
	t.origin[e + 1] = b;
	t.origin[e + 2] = c;
	t.segment[e] = 0;
	t.segment[e + 1] = 0;
	t.segment[e + 2] = 0;
}

/** Gives half-edge `to` the outer side of `from`. */
function moveEdge(t: Triangulation, to: number, from: number): void {
	link(t, to, t.twin[from]!);
	t.segment[to] = t.segment[from]!;
}
