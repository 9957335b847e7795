import type { GraphEdge } from "./outline-graph.ts";

/** A directed edge and the label on either side. */
export interface SidedEdge {
	readonly from: number;
	readonly to: number;
	readonly left: number;
	readonly right: number;
}

/** Label beyond the skin; 0 is inside but in no region, i + 1 in region i. */
export const OUTSIDE = -1;

interface Graph {
	readonly x: readonly number[];
	readonly y: readonly number[];
	readonly edges: readonly GraphEdge[];
}

/** Finds what lies on either side of each edge and keeps those where it differs. */
export function edgesWithSides({ x, y, edges }: Graph): SidedEdge[] {
	const kept: SidedEdge[] = [];
	for (const run of runsOfEqualMask(edges)) {
		// The longest edge of a run is the safest to look from.
		let best = run[0]!;
		let longest = 0;
		for (const i of run) {
			const { a, b } = edges[i]!;
			const length = Math.hypot(x[b]! - x[a]!, y[b]! - y[a]!);
			if (length > longest) {
				longest = length;
				best = i;
			}
		}
		const { a, b, mask } = edges[best]!;
		const dx = x[b]! - x[a]!;
		const dy = y[b]! - y[a]!;
		const upright = Math.abs(dy) >= Math.abs(dx);
		const seen = maskBeyond(x, y, edges, best, upright);
		const seenIsRight = upright ? dy > 0 : dx < 0;
		const right = labelOf(seenIsRight ? seen : seen ^ mask);
		const left = labelOf(seenIsRight ? seen ^ mask : seen);
		if (left === right) continue;
		// All edges of a run have the same two sides, but each has its own direction.
		const sides = new Map<number, boolean>([[best, true]]);
		orientRun(edges, run, best, sides);
		for (const i of run) {
			const e = edges[i]!;
			kept.push(sides.get(i) ? { from: e.a, to: e.b, left, right } : { from: e.b, to: e.a, left, right });
		}
	}
	return kept;
}

/** Groups edges into runs between branching points along which the mask does not change. */
function runsOfEqualMask(edges: readonly GraphEdge[]): number[][] {
	const around = edgesAround(edges);
	const done = new Uint8Array(edges.length);
	const runs: number[][] = [];
	for (let i = 0; i < edges.length; i++) {
		if (done[i]) continue;
		const run = [i];
		done[i] = 1;
		const open = [edges[i]!.a, edges[i]!.b];
		while (open.length > 0) {
			const v = open.pop()!;
			const here = around.get(v)!;
			if (here.length !== 2) continue;
			for (const k of here) {
				if (done[k] || edges[k]!.mask !== edges[i]!.mask) continue;
				done[k] = 1;
				run.push(k);
				open.push(edges[k]!.a === v ? edges[k]!.b : edges[k]!.a);
			}
		}
		runs.push(run);
	}
	return runs;
}

function edgesAround(edges: readonly GraphEdge[]): Map<number, number[]> {
	const around = new Map<number, number[]>();
	for (const [i, { a, b }] of edges.entries()) {
		for (const v of [a, b]) {
			const list = around.get(v);
			if (list) list.push(i);
			else around.set(v, [i]);
		}
	}
	return around;
}

/** Decides for each edge of a run whether it points the way edge `from` does along the run. */
function orientRun(
	edges: readonly GraphEdge[],
	run: readonly number[],
	from: number,
	forward: Map<number, boolean>,
): void {
	const local = new Map<number, number[]>();
	for (const i of run) {
		for (const v of [edges[i]!.a, edges[i]!.b]) {
			const list = local.get(v);
			if (list) list.push(i);
			else local.set(v, [i]);
		}
	}
	const open = [from];
	while (open.length > 0) {
		const i = open.pop()!;
		const e = edges[i]!;
		const isForward = forward.get(i)!;
		for (const v of [e.a, e.b]) {
			const here = local.get(v)!;
			if (here.length !== 2) continue;
			for (const k of here) {
				if (forward.has(k)) continue;
				const sameWay = v === e.b ? edges[k]!.a === v : edges[k]!.b === v;
				forward.set(k, sameWay ? isForward : !isForward);
				open.push(k);
			}
		}
	}
}

/** Which outlines hold the point just beyond the middle of an edge, towards +x (`upright`) or +y: each outline
 *  that a ray from there crosses an odd number of times. */
function maskBeyond(
	x: readonly number[],
	y: readonly number[],
	edges: readonly GraphEdge[],
	from: number,
	upright: boolean,
): bigint {
	const [u, v] = upright ? [x, y] : [y, x];
	const { a, b } = edges[from]!;
	const mu = (u[a]! + u[b]!) / 2;
	const mv = (v[a]! + v[b]!) / 2;
	let mask = 0n;
	for (let i = 0; i < edges.length; i++) {
		if (i === from) continue;
		const e = edges[i]!;
		const v0 = v[e.a]!;
		const v1 = v[e.b]!;
		if (v0 > mv === v1 > mv) continue;
		const u0 = u[e.a]!;
		const u1 = u[e.b]!;
		if (u0 + ((mv - v0) / (v1 - v0)) * (u1 - u0) > mu) mask ^= e.mask;
	}
	return mask;
}

function labelOf(mask: bigint): number {
	if ((mask & 1n) === 0n) return OUTSIDE;
	let regions = mask >> 1n;
	let label = 0;
	while (regions > 0n) {
		label++;
		regions >>= 1n;
	}
	return label;
}
