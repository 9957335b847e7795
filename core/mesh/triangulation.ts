import { incircle } from "robust-predicates";

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

/** Doubles the room for vertices. */
export function grow(t: Triangulation): void {
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

/** Makes two half-edges each other's twin. */
export function link(t: Triangulation, a: number, b: number): void {
	t.twin[a] = b;
	if (b >= 0) t.twin[b] = a;
}

/** Remembers that a triangle changed. */
export function note(t: Triangulation, triangle: number): void {
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
