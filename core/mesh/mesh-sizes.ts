import type { PlacedElectrodes } from "../band/electrodes.ts";
import type { Outline } from "../limb/outline.ts";
import { type Arrangement, SNAP_SHARE } from "./arrangement.ts";
import type { Chain } from "./chains.ts";
import { type Demand, demandOf, type MeshSizes } from "./mesh-points.ts";
import { spacingLimits } from "./spacing-limits.ts";
import { estimateTriangles } from "./triangle-count.ts";

/** 3,200 for 16 electrodes; more electrodes need more boundary, but no finer inside. */
export function defaultTriangles(electrodeCount: number): number {
	return Math.round(3200 * Math.sqrt(electrodeCount / 16));
}

/**
 * Edge lengths in the proportions that serve accuracy best, all multiplied by `scale`. Found by trying: of 108
 * combinations with about 3,200 linear triangles, these gave the least error in the voltages of the reference
 * discs (about 0.15 %, a third of what even growth from shorter ends gave).
 */
function sizesFor(outline: Outline, electrodes: PlacedElectrodes, scale: number): MeshSizes {
	// Of pieces of electrodes that lie across each other the narrow ones ask for shorter edges by themselves.
	let width = 0;
	for (let i = 0; i < electrodes.count; i++) {
		width = Math.max(width, electrodes.end[i]! - electrodes.start[i]!);
	}
	const radius = outline.circumference / (2 * Math.PI);
	const pitch = outline.circumference / electrodes.count;
	return {
		electrodeEnd: 0.09 * width * scale,
		skin: 0.2 * pitch * scale,
		interface: 0.09 * radius * scale,
		largest: 0.11 * radius * scale,
		growth: 0.35,
	};
}

/**
 * Edge lengths with which about the wanted number of triangles results, and what the chains ask for with them.
 *
 * @param leastEdges [chains] number of edges a chain must have at least
 */
export function fitSizes(
	outline: Outline,
	electrodes: PlacedElectrodes,
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
