import { orient2d } from "robust-predicates";
import { flip, legalise, nextEdge, previousEdge, type Triangulation } from "./triangulation.ts";

/** Half-edge from vertex `a` to vertex `b`, or −1. */
export function findEdge(t: Triangulation, a: number, b: number): number {
	let e = t.edgeOf[a]!;
	const first = e;
	do {
		if (t.origin[nextEdge(e)] === b) return e;
		const back = previousEdge(e);
		if (t.origin[back] === b && t.twin[back]! < 0) return -1;
		e = t.twin[back]!;
	} while (e >= 0 && e !== first);
	if (e >= 0) return -1;
	// The border was met: the rest of the fan lies on the other side of the first edge.
	e = first;
	while (t.twin[e]! >= 0) {
		e = nextEdge(t.twin[e]!);
		if (t.origin[nextEdge(e)] === b) return e;
	}
	return -1;
}

/**
 * Makes the straight line from vertex `a` to vertex `b` an edge (or several, where it runs through vertices) and
 * constrains it to segment number `segment`. Flips the edges in its way (Sloan, Comput Struct 47:441, 1993).
 *
 * @returns false when another segment lies across it, with nothing constrained
 */
export function constrain(t: Triangulation, a: number, b: number, segment: number): boolean {
	let from = a;
	while (from !== b) {
		const direct = findEdge(t, from, b);
		if (direct >= 0) {
			mark(t, direct, segment);
			return true;
		}
		const crossed: [number, number][] = [];
		const to = collectCrossed(t, from, b, crossed);
		if (to < 0) return false;
		if (crossed.length > 0 && !clearWay(t, from, to, crossed)) return false;
		const e = findEdge(t, from, to);
		if (e < 0) return false;
		mark(t, e, segment);
		from = to;
	}
	return true;
}

function mark(t: Triangulation, e: number, segment: number): void {
	t.segment[e] = segment + 1;
	if (t.twin[e]! >= 0) t.segment[t.twin[e]!] = segment + 1;
}

function side(t: Triangulation, a: number, b: number, v: number): number {
	// Positive to the left of a → b; the library counts the other way round.
	return -orient2d(t.x[a]!, t.y[a]!, t.x[b]!, t.y[b]!, t.x[v]!, t.y[v]!);
}

/** Lists the edges that a → b crosses, as vertex pairs, up to b or the first vertex on the line, which is
 *  returned; −1 when a constrained edge is crossed. */
function collectCrossed(t: Triangulation, a: number, b: number, crossed: [number, number][]): number {
	let e = t.edgeOf[a]!;
	const first = e;
	let across = -1;
	do {
		const p = t.origin[nextEdge(e)]!;
		const q = t.origin[previousEdge(e)]!;
		const sideP = side(t, a, b, p);
		const sideQ = side(t, a, b, q);
		const ahead = (t.x[b]! - t.x[a]!) * (t.x[p]! - t.x[a]!) + (t.y[b]! - t.y[a]!) * (t.y[p]! - t.y[a]!);
		if (sideP === 0 && ahead > 0) return p;
		if (sideP < 0 && sideQ > 0) {
			across = nextEdge(e);
			break;
		}
		e = t.twin[previousEdge(e)]!;
	} while (e >= 0 && e !== first);
	if (across < 0) return -1;

	for (;;) {
		if (t.segment[across] !== 0) return -1;
		const right = t.origin[across]!;
		const left = t.origin[nextEdge(across)]!;
		crossed.push([right, left]);
		const other = t.twin[across]!;
		if (other < 0) return -1;
		const apex = t.origin[previousEdge(other)]!;
		if (apex === b) return b;
		const s = side(t, a, b, apex);
		if (s === 0) return apex;
		// `other` runs left → right, so the edge after it has the apex on the left, the one before on the right.
		across = s > 0 ? nextEdge(other) : previousEdge(other);
	}
}

function clearWay(t: Triangulation, a: number, b: number, crossed: [number, number][]): boolean {
	const made: [number, number][] = [];
	let budget = 50 * crossed.length * crossed.length + 100;
	while (crossed.length > 0) {
		if (budget-- === 0) return false;
		const [u, v] = crossed.shift()!;
		const e = findEdge(t, u, v);
		if (e < 0) continue;
		const r = t.origin[previousEdge(e)]!;
		const s = t.origin[previousEdge(t.twin[e]!)]!;
		if (!(side(t, s, r, u) * side(t, s, r, v) < 0)) {
			crossed.push([u, v]);
			continue;
		}
		flip(t, e);
		if (r !== a && r !== b && s !== a && s !== b && side(t, a, b, r) * side(t, a, b, s) < 0) {
			crossed.push([r, s]);
		} else if (!((r === a && s === b) || (r === b && s === a))) {
			made.push([r, s]);
		}
	}
	const line = findEdge(t, a, b);
	if (line < 0) return false;
	// Hold the line while its surroundings become Delaunay again.
	mark(t, line, 0);
	t.nChanged = 0;
	for (const [u, v] of made) {
		const e = findEdge(t, u, v);
		if (e >= 0) legalise(t, [e]);
	}
	return true;
}

/**
 * Spreads labels from constrained edges over their triangles.
 *
 * @param labelLeftOf what lies to the left of a constrained half-edge
 * @param outside the label where nothing bounds a triangle
 */
export function floodLabels(
	t: Triangulation,
	labelLeftOf: (halfEdge: number) => number,
	outside: number,
): void {
	const unset = -32768;
	t.label.fill(unset, 0, t.nTriangles);
	const queue: number[] = [];
	for (let e = 0; e < 3 * t.nTriangles; e++) {
		if (t.segment[e] === 0) continue;
		const triangle = Math.floor(e / 3);
		if (t.label[triangle] !== unset) continue;
		t.label[triangle] = labelLeftOf(e);
		queue.push(triangle);
		while (queue.length > 0) {
			const at = queue.pop()!;
			for (let k = 3 * at; k < 3 * at + 3; k++) {
				const other = t.twin[k]!;
				if (other < 0 || t.segment[k] !== 0) continue;
				const neighbour = Math.floor(other / 3);
				if (t.label[neighbour] !== unset) continue;
				t.label[neighbour] = t.label[at]!;
				queue.push(neighbour);
			}
		}
	}
	for (let i = 0; i < t.nTriangles; i++) if (t.label[i] === unset) t.label[i] = outside;
}
