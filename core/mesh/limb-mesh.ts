import type { PlacedElectrodes } from "../band/electrodes.ts";
import type { RegionOutline } from "../limb/limb.ts";
import type { Outline } from "../limb/outline.ts";
import { type Arrangement, arrange, OUTSIDE, SNAP_SHARE } from "./arrangement.ts";
import { type Chain, joinChains } from "./chains.ts";
import { constrain, floodLabels } from "./constraints.ts";
import type { Mesh } from "./mesh.ts";
import {
	type Demand,
	demandOf,
	type MeshPoints,
	type MeshSegment,
	type MeshSizes,
	placePoints,
} from "./mesh-points.ts";
import { defaultTriangles, estimateTriangles, sizesFor } from "./mesh-sizes.ts";
import { refine } from "./refinement.ts";
import { smooth } from "./smoothing.ts";
import { spacingLimits } from "./spacing-limits.ts";
import {
	createTriangulation,
	insertInTriangle,
	locate,
	nextEdge,
	type Triangulation,
} from "./triangulation.ts";

export interface MeshOptions {
	readonly outline: Outline;
	/** Placed on the same outline. */
	readonly electrodes: PlacedElectrodes;
	/** A later region lies over an earlier one; parts beyond the skin are cut off. At most 254. */
	readonly regions: readonly RegionOutline[];
	/** About how many triangles; by default 3,200 for 16 electrodes, more for more. */
	readonly targetTriangles?: number;
}

/** Angles that points are added for, radians: 24° at first, and 22° where smoothing left a smaller one. */
const REFINED_ANGLE = (24 * Math.PI) / 180;
const MENDED_ANGLE = (22 * Math.PI) / 180;

/** @throws RangeError when regions cannot be meshed */
export function meshLimb(options: MeshOptions): Mesh {
	const { outline, electrodes, regions } = options;
	if (regions.length > 254) throw new RangeError(`mesh: at most 254 regions, got ${regions.length}`);
	for (const region of regions) checkRegion(region);
	const target = options.targetTriangles ?? defaultTriangles(electrodes.count);
	if (!(target >= 100 && target <= 1_000_000)) {
		throw new RangeError(`mesh: between 100 and 1,000,000 triangles can be asked for, got ${target}`);
	}

	const { circumference } = outline;
	const ends = [...electrodes.start, ...electrodes.end];
	const arrangement = arrange(outline, ends, regions);
	const wrap = (s: number) => s - circumference * Math.floor(s / circumference);
	const endSet = new Set(ends.map(wrap));
	const isFixed = (v: number) => endSet.has(arrangement.skinArc[v]!);
	const chains = joinChains(arrangement, isFixed, 5 * SNAP_SHARE * circumference);
	const electrodeOf = chains.map((chain) => electrodeUnder(arrangement, chain, electrodes, circumference));
	const leastEdges = chains.map(({ distance, isLoop }, c) => {
		if (electrodeOf[c]! < 0) return isLoop ? 8 : 1;
		const width = electrodes.end[electrodeOf[c]!]! - electrodes.start[electrodeOf[c]!]!;
		return Math.max(1, Math.round((EDGES_PER_ELECTRODE * distance[distance.length - 1]!) / width));
	});
	const { demand, sizes } = fitToTarget(options, target, arrangement, chains, leastEdges);
	const pointOn = (chain: Chain, distance: number) => pointOnChain(outline, arrangement, chain, distance);
	const points = placePoints(arrangement, chains, demand, leastEdges, sizes, pointOn);
	const t = triangulate(points);
	const labelLeft = (e: number) => {
		const { a, chain } = points.segments[t.segment[e]! - 1]!;
		const { left, right } = chains[chain]!;
		return t.origin[e] === a + 4 ? left : right;
	};
	floodLabels(t, labelLeft, OUTSIDE);

	const size = [0, 0, 0, 0, ...points.size];
	const refinement = {
		triangulation: t,
		size,
		points,
		middleOf: (segment: MeshSegment) => pointOn(chains[segment.chain]!, (segment.from + segment.to) / 2),
		isInside: (label: number) => label !== OUTSIDE,
	};
	refine(refinement, REFINED_ANGLE, true);
	smooth(t, freeVertices(t, points), size, 4);
	// Smoothing seldom leaves a triangle to mend.
	for (let round = 0; round < 3 && refine(refinement, MENDED_ANGLE, false); round++) {
		smooth(t, freeVertices(t, points), size, 2);
	}
	return pack(t, points, electrodeOf, electrodes.count);
}

/** Edge lengths with which about the wanted number of triangles results, and what the chains ask for with them. */
function fitToTarget(
	{ outline, electrodes }: MeshOptions,
	target: number,
	arrangement: Arrangement,
	chains: readonly Chain[],
	leastEdges: readonly number[],
): { demand: Demand; sizes: MeshSizes } {
	const ends = Float64Array.from(
		[...electrodes.start, ...electrodes.end].flatMap((s) => [...outline.pointAt(s)]),
	);
	const skin = Float64Array.from(
		Array.from({ length: 256 }, (_, i) => outline.pointAt((i / 256) * outline.circumference)).flat(),
	);
	let scale = Math.sqrt(defaultTriangles(electrodes.count) / target);
	let sizes = sizesFor(outline, electrodes, scale);
	const cap = 1.5 * Math.max(sizes.skin, sizes.interface);
	const least = 0.5 * SNAP_SHARE * outline.circumference * Math.min(1, scale);
	const shapeLimits = spacingLimits(arrangement, chains, cap, least, leastEdges);
	let demand = demandOf(arrangement, chains, shapeLimits, ends, sizes);
	// Secant steps in the logarithms, because outlines ask for some triangles at any scale.
	let power = -2;
	let lastScale = 0;
	let lastCount = 0;
	for (let round = 0; round < 5; round++) {
		const count = estimateTriangles(skin, demand.field);
		if (Math.abs(count / target - 1) < 0.03) break;
		if (round > 0 && count !== lastCount) {
			power = Math.min(-0.3, Math.max(-3, Math.log(count / lastCount) / Math.log(scale / lastScale)));
		}
		lastScale = scale;
		lastCount = count;
		scale *= Math.min(3, Math.max(1 / 3, (target / count) ** (1 / power)));
		sizes = sizesFor(outline, electrodes, scale);
		demand = demandOf(arrangement, chains, shapeLimits, ends, sizes);
	}
	return { demand, sizes };
}

function checkRegion(region: RegionOutline): void {
	if (region.points.length < 3) {
		throw new RangeError(`mesh: region ${region.id} needs at least 3 points, got ${region.points.length}`);
	}
	for (const [i, [x, y]] of region.points.entries()) {
		if (!(Number.isFinite(x) && Number.isFinite(y))) {
			throw new RangeError(`mesh: point ${i} of region ${region.id} is not a pair of finite numbers`);
		}
	}
}

/** Point at a distance along a chain: on the skin line itself where the chain is skin. */
function pointOnChain(
	outline: Outline,
	{ x, y, skinArc }: Arrangement,
	{ vertices, distance, onSkin }: Chain,
	at: number,
): readonly [number, number] {
	let low = 0;
	let high = distance.length - 1;
	while (high - low > 1) {
		const middle = (low + high) >> 1;
		if (distance[middle]! <= at) low = middle;
		else high = middle;
	}
	const t = (at - distance[low]!) / (distance[high]! - distance[low]!);
	const p = vertices[low]!;
	const q = vertices[high]!;
	if (!onSkin) return [x[p]! + t * (x[q]! - x[p]!), y[p]! + t * (y[q]! - y[p]!)];
	const from = skinArc[p]!;
	let to = skinArc[q]!;
	to -= outline.circumference * Math.round((to - from) / outline.circumference);
	return outline.pointAt(from + t * (to - from));
}

/** Under each electrode at least, however coarse the mesh. */
const EDGES_PER_ELECTRODE = 4;

function electrodeUnder(
	{ skinArc }: Arrangement,
	{ onSkin, vertices }: Chain,
	electrodes: PlacedElectrodes,
	circumference: number,
): number {
	if (!onSkin) return -1;
	const s0 = skinArc[vertices[0]!]!;
	let s1 = skinArc[vertices[1]!]!;
	s1 -= circumference * Math.round((s1 - s0) / circumference);
	const middle = (s0 + s1) / 2;
	for (let i = 0; i < electrodes.count; i++) {
		const from = middle - electrodes.start[i]!;
		const wrapped = from - circumference * Math.floor(from / circumference);
		if (wrapped < electrodes.end[i]! - electrodes.start[i]!) return i;
	}
	return -1;
}

function triangulate(points: MeshPoints): Triangulation {
	const { x, y, segments } = points;
	let minX = Infinity;
	let maxX = -Infinity;
	let minY = Infinity;
	let maxY = -Infinity;
	for (let i = 0; i < x.length; i++) {
		minX = Math.min(minX, x[i]!);
		maxX = Math.max(maxX, x[i]!);
		minY = Math.min(minY, y[i]!);
		maxY = Math.max(maxY, y[i]!);
	}
	const t = createTriangulation(minX, minY, maxX, maxY, 4 * x.length);
	let last = 0;
	for (let i = 0; i < x.length; i++) {
		const where = locate(t, last, x[i]!, y[i]!, false);
		const v = insertInTriangle(t, where, x[i]!, y[i]!);
		if (v !== i + 4) throw new Error("mesh: two nodes coincide");
		last = Math.floor(t.edgeOf[v]! / 3);
	}
	for (const [s, { a, b }] of segments.entries()) {
		if (!constrain(t, a + 4, b + 4, s)) throw new Error("mesh: two outlines cross between their nodes");
	}
	return t;
}

function freeVertices(t: Triangulation, points: MeshPoints): Uint8Array {
	const free = new Uint8Array(t.nVertices).fill(1);
	free.fill(0, 0, 4);
	for (const { a, b } of points.segments) {
		free[a + 4] = 0;
		free[b + 4] = 0;
	}
	return free;
}

function pack(
	t: Triangulation,
	points: MeshPoints,
	electrodeOf: readonly number[],
	electrodeCount: number,
): Mesh {
	const numbers = new Int32Array(t.nVertices).fill(-1);
	const nodes: number[] = [];
	const triangles: number[] = [];
	const regionOf: number[] = [];
	const edges: [number, number, number][] = [];
	for (let i = 0; i < t.nTriangles; i++) {
		if (t.label[i] === OUTSIDE) continue;
		for (let e = 3 * i; e < 3 * i + 3; e++) {
			const v = t.origin[e]!;
			if (numbers[v]! < 0) {
				numbers[v] = nodes.length / 2;
				nodes.push(t.x[v]!, t.y[v]!);
			}
			triangles.push(numbers[v]!);
		}
		regionOf.push(t.label[i]!);
	}
	for (let e = 0; e < 3 * t.nTriangles; e++) {
		if (t.segment[e] === 0 || t.label[Math.floor(e / 3)] === OUTSIDE) continue;
		const electrode = electrodeOf[points.segments[t.segment[e]! - 1]!.chain]!;
		if (electrode >= 0) edges.push([electrode, numbers[t.origin[e]!]!, numbers[t.origin[nextEdge(e)]!]!]);
	}
	edges.sort((p, q) => p[0] - q[0]);
	return {
		nodes: Float64Array.from(nodes),
		triangles: Uint32Array.from(triangles),
		regionOf: Uint8Array.from(regionOf),
		electrodeEdges: Uint32Array.from(edges.flatMap(([, a, b]) => [a, b])),
		electrodeOfEdge: Uint16Array.from(edges.map(([electrode]) => electrode)),
		electrodeCount,
	};
}
