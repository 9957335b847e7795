import { incircle, orient2d } from "robust-predicates";

/**
 * A constrained Delaunay triangulation that grows point by point.
 *
 * Half-edge e of triangle ⌊e/3⌋ runs from `origin[e]` to the origin of the next one, triangles anticlockwise;
 * `twin[e]` is the half-edge on the other side, −1 at the border; `segment[e]` is a constrained segment's number
 * plus one, 0 where the edge is free to flip. Predicates are exact (Shewchuk, Discrete Comput Geom 18:305, 1997),
 * so no input can confuse the topology.
 */
export interface Triangulation {
	x: Float64Array;
	y: Float64Array;
	nVertices: number;
	origin: Int32Array;
	twin: Int32Array;
	segment: Int32Array;
	/** [capacity] of each triangle; meaningful once regions were flooded. */
	label: Int16Array;
	nTriangles: number;
	/** [vertices] one half-edge that starts at the vertex. */
	edgeOf: Int32Array;
	/** Triangles changed by the last insertion, for the caller to look at again. */
	changed: Int32Array;
	nChanged: number;
	stack: Int32Array;
}

export function nextEdge(e: number): number {
	return e % 3 === 2 ? e - 2 : e + 1;
}

export function previousEdge(e: number): number {
	return e % 3 === 0 ? e + 2 : e - 1;
}

/** Two triangles over a square that holds everything, far enough out not to disturb. */
export function createTriangulation(
	minX: number,
	minY: number,
	maxX: number,
	maxY: number,
	vertexCapacity: number,
): Triangulation {
	const capacity = Math.max(16, vertexCapacity + 4);
	const t: Triangulation = {
		x: new Float64Array(capacity),
		y: new Float64Array(capacity),
		nVertices: 4,
		origin: new Int32Array(6 * capacity),
		twin: new Int32Array(6 * capacity).fill(-1),
		segment: new Int32Array(6 * capacity),
		label: new Int16Array(2 * capacity),
		nTriangles: 2,
		edgeOf: new Int32Array(capacity),
		changed: new Int32Array(1024),
		nChanged: 0,
		stack: new Int32Array(1024),
	};
	const reach = 2 * Math.max(maxX - minX, maxY - minY);
	const cx = (minX + maxX) / 2;
	const cy = (minY + maxY) / 2;
	t.x.set([cx - reach, cx + reach, cx + reach, cx - reach]);
	t.y.set([cy - reach, cy - reach, cy + reach, cy + reach]);
	t.origin.set([0, 1, 2, 0, 2, 3]);
	t.twin[2] = 3;
	t.twin[3] = 2;
	t.edgeOf.set([0, 1, 2, 5]);
	return t;
}

function grow(t: Triangulation): void {
	const capacity = 2 * t.x.length;
	const larger = <A extends Float64Array | Int32Array | Int16Array>(old: A, length: number): A => {
		const made = new (old.constructor as new (n: number) => A)(length);
		made.set(old);
		return made;
	};
	t.x = larger(t.x, capacity);
	t.y = larger(t.y, capacity);
	t.edgeOf = larger(t.edgeOf, capacity);
	t.origin = larger(t.origin, 6 * capacity);
	t.twin = larger(t.twin, 6 * capacity);
	t.segment = larger(t.segment, 6 * capacity);
	t.label = larger(t.label, 2 * capacity);
}

function link(t: Triangulation, a: number, b: number): void {
	t.twin[a] = b;
	if (b >= 0) t.twin[b] = a;
}

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

function note(t: Triangulation, triangle: number): void {
	if (t.nChanged === t.changed.length) {
		const larger = new Int32Array(2 * t.changed.length);
		larger.set(t.changed);
		t.changed = larger;
	}
	t.changed[t.nChanged++] = triangle;
}

/** Flips free edges until each is locally Delaunay, starting from the given ones (Lawson). */
export function legalise(t: Triangulation, edges: readonly number[]): void {
	let depth = 0;
	for (const e of edges) t.stack[depth++] = e;
	while (depth > 0) {
		const a = t.stack[--depth]!;
		if (!isIllegal(t, a)) continue;
		const b = t.twin[a]!;
		flip(t, a);
		note(t, Math.floor(a / 3));
		note(t, Math.floor(b / 3));
		if (depth + 4 > t.stack.length) {
			const larger = new Int32Array(2 * t.stack.length);
			larger.set(t.stack);
			t.stack = larger;
		}
		t.stack[depth++] = a;
		t.stack[depth++] = b;
		t.stack[depth++] = nextEdge(a);
		t.stack[depth++] = nextEdge(b);
	}
}

function isIllegal(t: Triangulation, a: number): boolean {
	const b = t.twin[a]!;
	if (b < 0 || t.segment[a] !== 0) return false;
	const { origin, x, y } = t;
	const p = origin[a]!;
	const q = origin[nextEdge(a)]!;
	const r = origin[previousEdge(a)]!;
	const s = origin[previousEdge(b)]!;
	return incircle(x[p]!, y[p]!, x[q]!, y[q]!, x[r]!, y[r]!, x[s]!, y[s]!) > 0;
}

/** Turns the edge of half-edge `a` within its two triangles. The four outer half-edges that follow are `a`,
 *  its old twin and the ones after them. */
export function flip(t: Triangulation, a: number): void {
	const { origin, twin, segment, edgeOf } = t;
	const b = twin[a]!;
	const an = nextEdge(a);
	const ap = previousEdge(a);
	const bn = nextEdge(b);
	const bp = previousEdge(b);
	const p = origin[a]!;
	const q = origin[b]!;
	const r = origin[ap]!;
	const s = origin[bp]!;
	origin[a] = s;
	origin[b] = r;
	link(t, a, twin[bp]!);
	segment[a] = segment[bp]!;
	link(t, b, twin[ap]!);
	segment[b] = segment[ap]!;
	link(t, ap, bp);
	segment[ap] = 0;
	segment[bp] = 0;
	edgeOf[p] = bn;
	edgeOf[q] = an;
	edgeOf[r] = ap;
	edgeOf[s] = a;
}
