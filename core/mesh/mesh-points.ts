import type { Arrangement } from "./arrangement.ts";
import type { Chain } from "./chains.ts";
import type { Jitter } from "./jitter.ts";
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
	/** Growth of size with distance. */
	readonly growth: number;
}

/** A straight piece between two nodes, on a chain from distance `from` to `to`. */
export interface MeshSegment {
	readonly a: number;
	readonly b: number;
	readonly chain: number;
	readonly from: number;
	readonly to: number;
}

/** Nodes on skin and interfaces, and the segments between them. */
export interface MeshPoints {
	readonly x: number[];
	readonly y: number[];
	/** Wanted edge length at each node, m. */
	readonly size: number[];
	readonly segments: MeshSegment[];
	/** Wanted edge length anywhere. */
	readonly field: SizeField;
}

/** What the chains ask for at given sizes. */
export interface Demand {
	/** Per chain [vertices] longest edge, m. */
	readonly limits: readonly Float64Array[];
	readonly field: SizeField;
}

/**
 * @param shapeLimits from `spacingLimits`
 * @param electrodeEnds [n × 2] x, y
 */
export function demandOf(
	arrangement: Arrangement,
	chains: readonly Chain[],
	shapeLimits: readonly Float64Array[],
	electrodeEnds: Float64Array,
	sizes: MeshSizes,
): Demand {
	const field = new SizeField(sizes.growth, sizes.largest);
	for (let i = 0; i < electrodeEnds.length; i += 2) {
		field.add(electrodeEnds[i]!, electrodeEnds[i + 1]!, sizes.electrodeEnd);
	}
	const limits = chains.map((chain, c) => {
		const base = chain.onSkin ? sizes.skin : sizes.interface;
		return shapeLimits[c]!.map((limit) => Math.min(limit, base));
	});
	for (const [c, chain] of chains.entries()) {
		addSources(field, arrangement, chain, limits[c]!, sizes.growth);
	}
	return { limits, field };
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
	let last = -1;
	for (let k = 0; k < n; k++) {
		const before = k > 0 ? limit[k - 1]! + growth * (distance[k]! - distance[k - 1]!) : Infinity;
		const after = k + 1 < n ? limit[k + 1]! + growth * (distance[k + 1]! - distance[k]!) : Infinity;
		const size = limit[k]!;
		if (size > Math.min(before, after)) continue;
		// Points of nearly the same size closer than a part of it add nothing.
		if (last >= 0 && k + 1 < n) {
			const near = distance[k]! - distance[last]! < 0.6 * size;
			if (near && size > 0.95 * limit[last]!) continue;
		}
		const v = vertices[k]!;
		field.add(x[v]!, y[v]!, size);
		last = k;
	}
}

/**
 * Places nodes along the chains, evenly in the integral of 1 / size.
 *
 * @param leastEdges [chains] number of edges a chain must have at least
 */
export function placePoints(
	arrangement: Arrangement,
	chains: readonly Chain[],
	{ limits, field }: Demand,
	leastEdges: readonly number[],
	sizes: MeshSizes,
	pointOn: (chain: Chain, distance: number) => readonly [number, number],
	jitter: Jitter,
): MeshPoints {
	const x: number[] = [];
	const y: number[] = [];
	const nodeOf = new Map<number, number>();
	const nodeAt = (v: number): number => {
		let node = nodeOf.get(v);
		if (node === undefined) {
			node = x.length;
			x.push(arrangement.x[v]!);
			y.push(arrangement.y[v]!);
			nodeOf.set(v, node);
		}
		return node;
	};

	const segments: MeshSegment[] = [];
	for (const [c, chain] of chains.entries()) {
		const { vertices, distance } = chain;
		const measure = sizeMeasure(arrangement, chain, limits[c]!, field);
		const last = vertices.length - 1;
		const count = Math.max(leastEdges[c]!, Math.ceil(measure[last]! - 0.25), 1);
		let node = nodeAt(vertices[0]!);
		let from = 0;
		let k = 1;
		for (let i = 1; i <= count; i++) {
			let to = distance[last]!;
			let next: number;
			if (i === count) {
				next = nodeAt(vertices[last]!);
			} else {
				const wanted = (measure[last]! * (i + NODE_JITTER * jitter())) / count;
				while (k < last && measure[k]! < wanted) k++;
				const t = (wanted - measure[k - 1]!) / (measure[k]! - measure[k - 1]!);
				to = distance[k - 1]! + t * (distance[k]! - distance[k - 1]!);
				const [px, py] = pointOn(chain, to);
				next = x.length;
				x.push(px);
				y.push(py);
			}
			segments.push({ a: node, b: next, chain: c, from, to });
			node = next;
			from = to;
		}
	}

	const size = nodeSizes(x, y, segments);
	const fine = new SizeField(sizes.growth, sizes.largest);
	for (let i = 0; i < x.length; i++) fine.add(x[i]!, y[i]!, size[i]!);
	return { x, y, size, segments, field: fine };
}

/** Share of the spacing that a variant moves nodes along outlines by. */
const NODE_JITTER = 0.15;

/** [vertices] integral of 1 / size from the start of a chain. */
function sizeMeasure(
	{ x, y }: Arrangement,
	{ vertices, distance }: Chain,
	limit: Float64Array,
	field: SizeField,
): Float64Array {
	const measure = new Float64Array(vertices.length);
	let before = 0;
	for (let k = 0; k < vertices.length; k++) {
		const v = vertices[k]!;
		const density = 1 / Math.min(limit[k]!, field.at(x[v]!, y[v]!));
		if (k > 0) measure[k] = measure[k - 1]! + 0.5 * (before + density) * (distance[k]! - distance[k - 1]!);
		before = density;
	}
	return measure;
}

/** [nodes] mean length of the segments at each node. */
function nodeSizes(x: number[], y: number[], segments: readonly MeshSegment[]): number[] {
	const sum = new Float64Array(x.length);
	const count = new Uint16Array(x.length);
	for (const { a, b } of segments) {
		const length = Math.hypot(x[b]! - x[a]!, y[b]! - y[a]!);
		sum[a]! += length;
		sum[b]! += length;
		count[a]!++;
		count[b]!++;
	}
	return Array.from(sum, (s, i) => s / count[i]!);
}
