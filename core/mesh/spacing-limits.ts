import { createSegmentGrid } from "../limb/segment-grid.ts";
import type { Arrangement } from "./arrangement.ts";
import type { Chain } from "./chains.ts";

/** Edges of at most this share of the radius of curvature: 12 around a circle. */
const CURVATURE_SHARE = 0.52;
/** Edges of at most this share of the gap to the next outline: one layer of well-shaped triangles fits. */
const GAP_SHARE = 1.1;
/** A vertex nearer to the last one judged than this share of its limit gets the same limit. */
const RESTING_SHARE = 0.1;

/**
 * The longest edge that the shape allows at each vertex of each chain, m: bends, narrow gaps to other outlines
 * and short pieces ask for short edges.
 *
 * @param cap no limit above this is of interest
 * @param least no limit falls below this
 * @param leastEdges [chains] number of edges a chain must have at least
 * @returns per chain [vertices]
 */
export function spacingLimits(
	arrangement: Arrangement,
	chains: readonly Chain[],
	cap: number,
	least: number,
	leastEdges: readonly number[],
): Float64Array[] {
	const { x, y } = arrangement;
	const ends: number[] = [];
	const chainOf: number[] = [];
	const alongStart: number[] = [];
	const alongEnd: number[] = [];
	for (const [c, { vertices, distance }] of chains.entries()) {
		for (let k = 0; k + 1 < vertices.length; k++) {
			const a = vertices[k]!;
			const b = vertices[k + 1]!;
			ends.push(x[a]!, y[a]!, x[b]!, y[b]!);
			chainOf.push(c);
			alongStart.push(distance[k]!);
			alongEnd.push(distance[k + 1]!);
		}
	}
	const segments = Float64Array.from(ends);
	const grid = createSegmentGrid(segments);

	let px = 0;
	let py = 0;
	let here = 0;
	let limit = 0;
	let at = 0;
	const narrowByGap = (s: number): void => {
		const d = distanceToSegment(segments, s, px, py);
		if (GAP_SHARE * d >= limit) return;
		const other = chainOf[s]!;
		const chain = chains[at]!;
		if (other === at) {
			// The same line further along is no neighbour unless it comes back much nearer than it ran.
			const length = chain.distance[chain.distance.length - 1]!;
			let apart = Math.max(0, alongStart[s]! - here, here - alongEnd[s]!);
			if (chain.isLoop) {
				apart = Math.min(apart, length - here + alongStart[s]!, length - alongEnd[s]! + here);
			}
			if (apart <= 3 * d) return;
		} else if (meetNearby(arrangement, chain, chains[other]!, px, py, 1.5 * d)) {
			return;
		}
		limit = Math.max(Math.min(limit, GAP_SHARE * d), least);
	};

	return chains.map((chain, c) => {
		const { vertices, distance } = chain;
		const n = vertices.length;
		const base = Math.min(cap, distance[n - 1]! / leastEdges[c]!);
		const limits = new Float64Array(n);
		at = c;
		let judged = -1;
		for (let k = 0; k < n; k++) {
			// Limits change little within a small part of themselves.
			if (judged >= 0 && k < n - 1 && distance[k]! - distance[judged]! < RESTING_SHARE * limits[judged]!) {
				limits[k] = limits[judged]!;
				continue;
			}
			judged = k;
			const v = vertices[k]!;
			px = x[v]!;
			py = y[v]!;
			here = distance[k]!;
			const bend = curvatureAt(arrangement, chain, k, 0.25 * cap);
			limit = bend * base > CURVATURE_SHARE ? CURVATURE_SHARE / bend : base;
			const reach = limit / GAP_SHARE;
			const near = grid.collect(px - reach, py - reach, px + reach, py + reach);
			for (let f = 0; f < near; f++) narrowByGap(grid.found[f]!);
			limits[k] = Math.max(limit, least);
		}
		return limits;
	});
}

/** Whether two chains share an end so near that the gap between them is the angle at which they part. */
function meetNearby(
	{ x, y }: Arrangement,
	p: Chain,
	q: Chain,
	px: number,
	py: number,
	within: number,
): boolean {
	const qFirst = q.vertices[0]!;
	const qLast = q.vertices[q.vertices.length - 1]!;
	const near = (v: number): boolean =>
		(v === qFirst || v === qLast) && Math.hypot(x[v]! - px, y[v]! - py) <= within;
	return near(p.vertices[0]!) || near(p.vertices[p.vertices.length - 1]!);
}

function distanceToSegment(ends: Float64Array, s: number, px: number, py: number): number {
	const ax = ends[4 * s]! - px;
	const ay = ends[4 * s + 1]! - py;
	const dx = ends[4 * s + 2]! - px - ax;
	const dy = ends[4 * s + 3]! - py - ay;
	const t = Math.min(1, Math.max(0, -(ax * dx + ay * dy) / (dx * dx + dy * dy)));
	const x = ax + t * dx;
	const y = ay + t * dy;
	return Math.sqrt(x * x + y * y);
}

/** Curvature (1/m) from the circle through a vertex and the two about `reach` away along the chain. */
function curvatureAt({ x, y }: Arrangement, chain: Chain, k: number, reach: number): number {
	const p = chain.vertices[stepAlong(chain, k, -1, reach)]!;
	const v = chain.vertices[k]!;
	const q = chain.vertices[stepAlong(chain, k, 1, reach)]!;
	const a = Math.hypot(x[v]! - x[p]!, y[v]! - y[p]!);
	const b = Math.hypot(x[q]! - x[v]!, y[q]! - y[v]!);
	const c = Math.hypot(x[q]! - x[p]!, y[q]! - y[p]!);
	if (a === 0 || b === 0 || c === 0) return 0;
	const cross = (x[v]! - x[p]!) * (y[q]! - y[p]!) - (x[q]! - x[p]!) * (y[v]! - y[p]!);
	return Math.abs((2 * cross) / (a * b * c));
}

/** The vertex about `reach` further along, but no further than a quarter of the chain. */
function stepAlong({ distance, isLoop }: Chain, from: number, sign: 1 | -1, reach: number): number {
	const n = distance.length;
	const far = Math.min(reach, distance[n - 1]! / 4);
	let at = from;
	let walked = 0;
	while (walked < far) {
		let next = at + sign;
		if (next < 0 || next >= n) {
			if (!isLoop) break;
			// The first and last entry are the same vertex.
			at = next < 0 ? n - 1 : 0;
			next = at + sign;
		}
		walked += Math.abs(distance[next]! - distance[at]!);
		at = next;
	}
	return at;
}
