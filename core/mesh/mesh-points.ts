import { createSegmentGrid } from "../limb/segment-grid.ts";
import type { Arrangement } from "./arrangement.ts";
import type { Chain } from "./chains.ts";
import { SizeField } from "./size-field.ts";

/** Edge lengths that a mesh aims at, m. */
export interface MeshSizes {
	/** At the ends of electrodes, where the current density is singular. */
	readonly electrodeEnd: number;
	/** On the skin, far from electrode ends. */
	readonly skin: number;
	/** On region outlines. */
	readonly interface: number;
	/** Anywhere. */
	readonly largest: number;
	/** Never shorter, however narrow a gap or sharp a bend. */
	readonly least: number;
	/** Growth of size with distance. */
	readonly growth: number;
}

/** Nodes on skin and interfaces, and the segments between them. */
export interface MeshPoints {
	readonly x: number[];
	readonly y: number[];
	/** Wanted edge length at each node, m. */
	readonly size: number[];
	readonly segments: { readonly a: number; readonly b: number; readonly chain: number }[];
	readonly field: SizeField;
}

/** Edges of at most this share of the radius of curvature: 12 around a circle. */
const CURVATURE_SHARE = 0.52;
/** Edges of at most this share of the gap to the next outline: one layer of well-shaped triangles fits. */
const GAP_SHARE = 1.1;

/**
 * Places nodes along the chains: as far apart as curvature, gaps to other outlines and distance from electrode
 * ends allow.
 *
 * @param electrodeEnds [n × 2] x, y
 * @param leastEdges number of edges a chain must have at least
 * @param placeOnSkin point of the skin line at an arc length
 */
export function placePoints(
	arrangement: Arrangement,
	chains: readonly Chain[],
	electrodeEnds: Float64Array,
	sizes: MeshSizes,
	leastEdges: (chain: Chain) => number,
	placeOnSkin: (arc: number) => readonly [number, number],
	circumference: number,
): MeshPoints {
	const { x: ax, y: ay, skinArc } = arrangement;
	const limits = sizeLimits(arrangement, chains, sizes, leastEdges);
	const rough = new SizeField(sizes.growth, sizes.largest);
	for (let i = 0; i < electrodeEnds.length; i += 2) {
		rough.add(electrodeEnds[i]!, electrodeEnds[i + 1]!, sizes.electrodeEnd);
	}
	for (const [c, chain] of chains.entries()) addSources(rough, arrangement, chain, limits[c]!, sizes.growth);

	const x: number[] = [];
	const y: number[] = [];
	const nodeOf = new Map<number, number>();
	const node = (v: number): number => {
		const known = nodeOf.get(v);
		if (known !== undefined) return known;
		x.push(ax[v]!);
		y.push(ay[v]!);
		nodeOf.set(v, x.length - 1);
		return x.length - 1;
	};
	const segments: { a: number; b: number; chain: number }[] = [];
	for (const [c, chain] of chains.entries()) {
		const { vertices, distance } = chain;
		const n = vertices.length;
		// Edges are spaced evenly in the integral of 1 / size.
		const measure = new Float64Array(n);
		let before = 0;
		for (let k = 0; k < n; k++) {
			const v = vertices[k]!;
			const size = Math.min(limits[c]![k]!, rough.at(ax[v]!, ay[v]!));
			const density = 1 / size;
			if (k > 0) measure[k] = measure[k - 1]! + 0.5 * (before + density) * (distance[k]! - distance[k - 1]!);
			before = density;
		}
		const total = measure[n - 1]!;
		const count = Math.max(leastEdges(chain), Math.ceil(total - 0.25), 1);
		let from = node(vertices[0]!);
		let k = 1;
		for (let i = 1; i <= count; i++) {
			let to: number;
			if (i === count) {
				to = node(vertices[n - 1]!);
			} else {
				const wanted = (total * i) / count;
				while (k < n - 1 && measure[k]! < wanted) k++;
				const t = (wanted - measure[k - 1]!) / (measure[k]! - measure[k - 1]!);
				const p = vertices[k - 1]!;
				const q = vertices[k]!;
				let px = ax[p]! + t * (ax[q]! - ax[p]!);
				let py = ay[p]! + t * (ay[q]! - ay[p]!);
				if (chain.onSkin) {
					const s0 = skinArc[p]!;
					let s1 = skinArc[q]!;
					s1 -= circumference * Math.round((s1 - s0) / circumference);
					[px, py] = placeOnSkin(s0 + t * (s1 - s0));
				}
				x.push(px);
				y.push(py);
				to = x.length - 1;
			}
			segments.push({ a: from, b: to, chain: c });
			from = to;
		}
	}

	const size = nodeSizes(x, y, segments, rough);
	const field = new SizeField(sizes.growth, sizes.largest);
	for (let i = 0; i < x.length; i++) field.add(x[i]!, y[i]!, size[i]!);
	return { x, y, size, segments, field };
}

/** The mean length of a node's segments, but never more than the field wants there. */
function nodeSizes(
	x: number[],
	y: number[],
	segments: readonly { a: number; b: number }[],
	rough: SizeField,
): number[] {
	const sum = new Float64Array(x.length);
	const count = new Uint16Array(x.length);
	for (const { a, b } of segments) {
		const length = Math.hypot(x[b]! - x[a]!, y[b]! - y[a]!);
		sum[a]! += length;
		sum[b]! += length;
		count[a]!++;
		count[b]!++;
	}
	return Array.from(sum, (s, i) => (count[i]! > 0 ? s / count[i]! : rough.at(x[i]!, y[i]!)));
}

/** Largest edge length at each vertex of each chain that its own shape, its gaps and its kind allow. */
function sizeLimits(
	arrangement: Arrangement,
	chains: readonly Chain[],
	sizes: MeshSizes,
	leastEdges: (chain: Chain) => number,
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

	return chains.map((chain, c) => {
		const { vertices, distance } = chain;
		const n = vertices.length;
		const length = distance[n - 1]!;
		const base = Math.min(chain.onSkin ? sizes.skin : sizes.interface, length / leastEdges(chain));
		const limit = new Float64Array(n);
		for (let k = 0; k < n; k++) {
			const v = vertices[k]!;
			const bend = curvatureAt(arrangement, chain, k, 0.5 * base);
			let least = Math.min(base, bend > 0 ? CURVATURE_SHARE / bend : base);
			const px = x[v]!;
			const py = y[v]!;
			const reach = least / GAP_SHARE;
			grid.forEachNear(px - reach, py - reach, px + reach, py + reach, (s) => {
				const d = distanceToSegment(segments, s, px, py);
				if (GAP_SHARE * d >= least) return;
				const other = chainOf[s]!;
				if (other === c) {
					// The same line further along is no neighbour unless it comes back much nearer than it ran.
					const here = distance[k]!;
					let apart = Math.max(0, alongStart[s]! - here, here - alongEnd[s]!);
					if (chain.isLoop) {
						apart = Math.min(apart, length - here + alongStart[s]!, length - alongEnd[s]! + here);
					}
					if (apart <= 3 * d) return;
				} else if (meetNearby(arrangement, chain, chains[other]!, px, py, 1.5 * d)) {
					return;
				}
				least = Math.max(Math.min(least, GAP_SHARE * d), sizes.least);
			});
			limit[k] = Math.max(least, sizes.least);
		}
		return limit;
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
	for (const v of [p.vertices[0]!, p.vertices[p.vertices.length - 1]!]) {
		if (v !== q.vertices[0] && v !== q.vertices[q.vertices.length - 1]) continue;
		if (Math.hypot(x[v]! - px, y[v]! - py) <= within) return true;
	}
	return false;
}

function distanceToSegment(ends: Float64Array, s: number, px: number, py: number): number {
	const ax = ends[4 * s]!;
	const ay = ends[4 * s + 1]!;
	const dx = ends[4 * s + 2]! - ax;
	const dy = ends[4 * s + 3]! - ay;
	const t = Math.min(1, Math.max(0, ((px - ax) * dx + (py - ay) * dy) / (dx * dx + dy * dy)));
	return Math.hypot(ax + t * dx - px, ay + t * dy - py);
}

/** Curvature (1/m) from the circle through a vertex and the two about `reach` away along the chain. */
function curvatureAt({ x, y }: Arrangement, chain: Chain, k: number, reach: number): number {
	const { vertices, distance, isLoop } = chain;
	const n = vertices.length;
	const step = (from: number, sign: 1 | -1): number => {
		let i = from;
		let walked = 0;
		while (walked < reach) {
			let next = i + sign;
			if (isLoop && next < 0) next = n - 2;
			if (isLoop && next >= n) next = 1;
			if (next < 0 || next >= n || next === from) break;
			walked += Math.abs(distance[next]! - distance[i]!) % distance[n - 1]!;
			i = next;
		}
		return i;
	};
	const p = vertices[step(k, -1)]!;
	const v = vertices[k]!;
	const q = vertices[step(k, 1)]!;
	const a = Math.hypot(x[v]! - x[p]!, y[v]! - y[p]!);
	const b = Math.hypot(x[q]! - x[v]!, y[q]! - y[v]!);
	const c = Math.hypot(x[q]! - x[p]!, y[q]! - y[p]!);
	if (a === 0 || b === 0 || c === 0) return 0;
	const cross = (x[v]! - x[p]!) * (y[q]! - y[p]!) - (x[q]! - x[p]!) * (y[v]! - y[p]!);
	return Math.abs((2 * cross) / (a * b * c));
}

/** Adds the vertices of a chain that limit the size more than their neighbours on it already do. */
function addSources(
	field: SizeField,
	{ x, y }: Arrangement,
	{ vertices, distance }: Chain,
	limit: Float64Array,
	growth: number,
): void {
	const n = vertices.length;
	let lastX = Number.NaN;
	let lastY = Number.NaN;
	let lastSize = 0;
	for (let k = 0; k < n; k++) {
		const before = k > 0 ? limit[k - 1]! + growth * (distance[k]! - distance[k - 1]!) : Infinity;
		const after = k + 1 < n ? limit[k + 1]! + growth * (distance[k + 1]! - distance[k]!) : Infinity;
		const size = limit[k]!;
		if (size > Math.min(before, after)) continue;
		const v = vertices[k]!;
		// Points of nearly the same size closer than a fraction of it add nothing.
		if (
			Math.abs(size - lastSize) < 0.02 * size &&
			Math.hypot(x[v]! - lastX, y[v]! - lastY) < 0.5 * size &&
			k + 1 < n
		) {
			continue;
		}
		field.add(x[v]!, y[v]!, size);
		lastX = x[v]!;
		lastY = y[v]!;
		lastSize = size;
	}
}
