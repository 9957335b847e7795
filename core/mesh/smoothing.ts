import { incircle, orient2d } from "robust-predicates";
import { flip, nextEdge, previousEdge, type Triangulation } from "./triangulation.ts";

/**
 * Moves free vertices so that the smallest angle around each grows, then makes the mesh Delaunay again; `passes`
 * times. A move that does not improve its worst triangle is not made, so quality never falls (smart Laplacian
 * smoothing; Freitag, AMD 220:37, 1997).
 *
 * @param size [vertices] wanted edge length
 * @param isFree [vertices] whether the vertex may move: it lies on no segment
 */
export function smooth(t: Triangulation, isFree: Uint8Array, size: readonly number[], passes: number): void {
	const star = new Int32Array(64);
	for (let pass = 0; pass < passes; pass++) {
		for (let v = 0; v < t.nVertices; v++) {
			if (isFree[v]) moveVertex(t, v, star, size);
		}
		makeDelaunay(t);
	}
}

function moveVertex(t: Triangulation, v: number, star: Int32Array, size: readonly number[]): void {
	const { x, y, origin, twin } = t;
	let degree = 0;
	let e = t.edgeOf[v]!;
	const first = e;
	let sumX = 0;
	let sumY = 0;
	let weights = 0;
	const x0 = x[v]!;
	const y0 = y[v]!;
	do {
		if (degree === star.length) return;
		const p = origin[nextEdge(e)]!;
		star[degree++] = e;
		// Neighbours pull the more the farther they are for the edge length wanted there.
		const dx = x[p]! - x0;
		const dy = y[p]! - y0;
		const weight = Math.sqrt(dx * dx + dy * dy) / (size[v]! + size[p]!);
		sumX += weight * dx;
		sumY += weight * dy;
		weights += weight;
		e = twin[previousEdge(e)]!;
		if (e < 0) return;
	} while (e !== first);

	const before = worstAngle(t, star, degree, x0, y0);
	let step = 1;
	for (let attempt = 0; attempt < 3; attempt++) {
		const nx = x0 + (step * sumX) / weights;
		const ny = y0 + (step * sumY) / weights;
		if (worstAngle(t, star, degree, nx, ny) > before) {
			x[v] = nx;
			y[v] = ny;
			return;
		}
		step /= 2;
	}
}

/** Largest cosine turned about: the sine-like measure grows with the smallest angle of the star's triangles if
 *  its centre were at (cx, cy); −1 where a triangle would turn over. */
function worstAngle(t: Triangulation, star: Int32Array, degree: number, cx: number, cy: number): number {
	const { x, y, origin } = t;
	let worst = 2;
	for (let i = 0; i < degree; i++) {
		const e = star[i]!;
		const p = origin[nextEdge(e)]!;
		const q = origin[previousEdge(e)]!;
		const ax = x[p]! - cx;
		const ay = y[p]! - cy;
		const bx = x[q]! - cx;
		const by = y[q]! - cy;
		const area = ax * by - ay * bx;
		if (area <= 0) return -1;
		const aa = ax * ax + ay * ay;
		const bb = bx * bx + by * by;
		const cc = (bx - ax) * (bx - ax) + (by - ay) * (by - ay);
		// Sine of the smallest angle: twice the area over the product of the two longer sides.
		const product = aa <= bb && aa <= cc ? bb * cc : bb <= cc ? aa * cc : aa * bb;
		const sine = area / Math.sqrt(product);
		if (sine < worst) worst = sine;
	}
	return worst;
}

function makeDelaunay(t: Triangulation): void {
	const { origin, twin, segment, x, y } = t;
	const stack: number[] = [];
	for (let e = 0; e < 3 * t.nTriangles; e++) if (twin[e]! > e && segment[e] === 0) stack.push(e);
	while (stack.length > 0) {
		const a = stack.pop()!;
		const b = twin[a]!;
		if (b < 0 || segment[a] !== 0) continue;
		const p = origin[a]!;
		const q = origin[b]!;
		const r = origin[previousEdge(a)]!;
		const s = origin[previousEdge(b)]!;
		if (incircle(x[p]!, y[p]!, x[q]!, y[q]!, x[r]!, y[r]!, x[s]!, y[s]!) <= 0) continue;
		// A vertex moved right up to an edge can make the four points no convex quadrilateral.
		if (orient2d(x[s]!, y[s]!, x[q]!, y[q]!, x[r]!, y[r]!) >= 0) continue;
		if (orient2d(x[r]!, y[r]!, x[p]!, y[p]!, x[s]!, y[s]!) >= 0) continue;
		flip(t, a);
		stack.push(a, b, nextEdge(a), nextEdge(b));
	}
}
