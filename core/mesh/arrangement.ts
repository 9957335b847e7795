import type { RegionOutline } from "../limb/limb.ts";
import type { Outline } from "../limb/outline.ts";
import { OutlineGraph } from "./outline-graph.ts";
import { edgesWithSides, type SidedEdge } from "./sides.ts";

/**
 * Skin line and region outlines cut into pieces that meet only at their ends. Only pieces with different things
 * on their two sides are kept.
 */
export interface Arrangement {
	/** Positions, m. */
	readonly x: number[];
	readonly y: number[];
	/** Arc length of each vertex on the skin line; NaN off the skin. */
	readonly skinArc: number[];
	/** Directed edges: from, to, and the label on either side. */
	readonly edges: readonly SidedEdge[];
}

/** Points nearer than this share of the circumference are one point: 0.1 mm on a thigh. */
export const SNAP_SHARE = 2e-4;

/**
 * @param fixedArcs arc lengths that must be vertices of the skin line
 * @throws RangeError when the outlines cannot be untangled
 */
export function arrange(
	outline: Outline,
	fixedArcs: readonly number[],
	regions: readonly RegionOutline[],
): Arrangement {
	const snap = SNAP_SHARE * outline.circumference;
	const graph = new OutlineGraph(outline, snap);
	graph.addSkin(fixedArcs);
	for (const [i, region] of regions.entries()) graph.addRegion(region, 1n << BigInt(i + 1));
	graph.untangle();
	return { x: graph.x, y: graph.y, skinArc: graph.skinArc, edges: edgesWithSides(graph) };
}
