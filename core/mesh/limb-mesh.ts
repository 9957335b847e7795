import type { PlacedElectrodes } from "../band/electrodes.ts";
import type { RegionOutline } from "../limb/limb.ts";
import type { Outline } from "../limb/outline.ts";
import { type Arrangement, arrange, SNAP_SHARE } from "./arrangement.ts";
import { type Chain, electrodeOver, joinChains, pointOnChain } from "./chains.ts";
import { electrodeEnds } from "./electrode-ends.ts";
import { createJitter, type Jitter } from "./jitter.ts";
import type { Mesh } from "./mesh.ts";
import { type Demand, type MeshPoints, type MeshSizes, placePoints } from "./mesh-points.ts";
import { defaultTriangles, fitSizes } from "./mesh-sizes.ts";
import { SQUARE_CORNERS, triangulateOutlines } from "./outline-triangulation.ts";
import { packMesh } from "./pack-mesh.ts";
import { type Refinement, refine } from "./refinement.ts";
import { smooth } from "./smoothing.ts";
import type { Triangulation } from "./triangulation.ts";

export interface MeshOptions {
	readonly outline: Outline;
	/** Placed on the same outline. */
	readonly electrodes: PlacedElectrodes;
	/** A later region lies over an earlier one; parts beyond the skin are cut off. At most 254. */
	readonly regions: readonly RegionOutline[];
	/** About how many triangles; by default 3,200 for 16 electrodes, more for more. */
	readonly targetTriangles?: number;
	/** Under each electrode at least so many edges; by default 4. */
	readonly edgesPerElectrode?: number;
	/** Any whole number: another one gives another mesh of the same fineness. Without it nodes lie most evenly. */
	readonly variant?: number;
}

/**
 * Triangles over a limb's cross-section: fine at the ends of electrodes, coarse inside, with edges along every
 * region's outline. Nodes on the skin lie on the outline, nodes between regions on the regions' outlines; outlines
 * nearer to each other than 0.02 % of the circumference (0.1 mm on a thigh) are taken for one, and so are ends of
 * electrodes nearer than 0.001 %. No angle is below 20° but where outlines meet each other, or themselves, at less than
 * that.
 *
 * The same options give the same mesh.
 *
 * @throws RangeError when an option is impossible or outlines are too tangled
 */
export function meshLimb(options: MeshOptions): Mesh {
	const { outline, electrodes, regions } = options;
	if (regions.length > 254) throw new RangeError(`mesh: at most 254 regions, got ${regions.length}`);
	for (const region of regions) checkRegion(region);
	const target = options.targetTriangles ?? defaultTriangles(electrodes.count);
	if (!(target >= 100 && target <= 1_000_000)) {
		throw new RangeError(`mesh: between 100 and 1,000,000 triangles can be asked for, got ${target}`);
	}
	const jitter = createJitter(options.variant);

	const { circumference } = outline;
	const ends = electrodeEnds(electrodes, circumference);
	const arrangement = arrange(outline, ends, regions);
	const isElectrodeEnd = new Set(ends);
	const chains = joinChains(
		arrangement,
		(v) => isElectrodeEnd.has(arrangement.skinArc[v]!),
		CORNER_REACH * SNAP_SHARE * circumference,
	);
	const electrodeOf = chains.map((chain) => electrodeOver(arrangement, chain, electrodes, circumference));
	const perElectrode = options.edgesPerElectrode ?? EDGES_PER_ELECTRODE;
	const leastEdges = chains.map((chain, c) => leastEdgesOf(chain, electrodeOf[c]!, electrodes, perElectrode));
	const { demand, sizes } = fitSizes(outline, electrodes, target, arrangement, chains, leastEdges);
	const pointOn = (chain: Chain, at: number) => pointOnChain(outline, arrangement, chain, at);
	const { points, triangulation } = layOut(arrangement, chains, demand, leastEdges, sizes, pointOn, jitter);

	improveInside({
		triangulation,
		size: [...new Array<number>(SQUARE_CORNERS).fill(0), ...points.size],
		points,
		middleOf: ({ chain, from, to }) => pointOn(chains[chain]!, (from + to) / 2),
		jitter,
	});
	return packMesh(triangulation, electrodes.count, (s) => {
		const { chain, from } = points.segments[s]!;
		const electrode = electrodeOf[chain]!;
		if (electrode < 0) return null;
		const past = arrangement.skinArc[chains[chain]!.vertices[0]!]! - electrodes.start[electrode]!;
		// Half a snap of slack, for the electrode's own start.
		const wraps = Math.floor(past / circumference + SNAP_SHARE / 2);
		return { electrode, offset: past - wraps * circumference + from };
	});
}

/** A turn is judged over this many snapping distances, so that snapping makes no corners. */
const CORNER_REACH = 5;

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

/** Under each electrode at least, however coarse the mesh. */
const EDGES_PER_ELECTRODE = 4;
const EDGES_PER_LOOP = 8;

function leastEdgesOf(
	{ distance, isLoop }: Chain,
	electrode: number,
	{ start, end }: PlacedElectrodes,
	perElectrode: number,
): number {
	if (electrode < 0) return isLoop ? EDGES_PER_LOOP : 1;
	const width = end[electrode]! - start[electrode]!;
	return Math.max(1, Math.round((perElectrode * distance[distance.length - 1]!) / width));
}

/** Places nodes on the outlines and triangulates them; where straight pieces would cut across each other, because
 *  outlines bend away from each other very slowly, their nodes are set closer. */
function layOut(
	arrangement: Arrangement,
	chains: readonly Chain[],
	demand: Demand,
	leastEdges: readonly number[],
	sizes: MeshSizes,
	pointOn: (chain: Chain, at: number) => readonly [number, number],
	jitter: Jitter,
): { points: MeshPoints; triangulation: Triangulation } {
	for (let attempt = 0; attempt < 40; attempt++) {
		const points = placePoints(arrangement, chains, demand, leastEdges, sizes, pointOn, jitter);
		const triangulation = triangulateOutlines(points, chains);
		if (typeof triangulation !== "number") return { points, triangulation };
		const limit = demand.limits[triangulation]!;
		for (let k = 0; k < limit.length; k++) limit[k]! /= 2;
	}
	throw new RangeError(
		"mesh: two outlines run too close together; move them apart or let them share the line",
	);
}

/** Angles that points are added for, radians: 24° at first, and 22° where smoothing left a smaller one. */
const REFINED_ANGLE = (24 * Math.PI) / 180;
const MENDED_ANGLE = (22 * Math.PI) / 180;

function improveInside(refinement: Refinement): void {
	const { triangulation, size, points } = refinement;
	refine(refinement, REFINED_ANGLE, true);
	smooth(triangulation, freeVertices(triangulation, points), size, 4);
	// Smoothing seldom leaves a triangle to mend.
	for (let round = 0; round < 3 && refine(refinement, MENDED_ANGLE, false); round++) {
		smooth(triangulation, freeVertices(triangulation, points), size, 2);
	}
}

/** [vertices] 1 where a vertex lies on no outline. */
function freeVertices(t: Triangulation, points: MeshPoints): Uint8Array {
	const free = new Uint8Array(t.nVertices).fill(1);
	free.fill(0, 0, SQUARE_CORNERS);
	for (const { a, b } of points.segments) {
		free[a + SQUARE_CORNERS] = 0;
		free[b + SQUARE_CORNERS] = 0;
	}
	return free;
}
