import type { Mesh } from "../mesh/mesh.ts";
import { createDisplacementRows, type SolvedSection } from "./displacement-rows.ts";
import type { ImageRows } from "./image-rows.ts";
import type { Nuisance } from "./nuisance.ts";
import type { PictureSubject } from "./subject.ts";

/** Outwards and along the skin, as a share of the section's radius: a thigh's outline changes by about so much when its
 *  muscles work. Common practice, no source. */
const MOVE_SHARE = 0.01;
/** A muscle's change that a movement is weighed against, as a share of its conductivity. */
const TYPICAL_CHANGE = 0.1;

/**
 * Movement as a nuisance of the reconstruction (Soleimani, Gómez-Laberge & Adler, Physiol. Meas. 27:S103, 2006: the
 * unknowns are conductivities and displacements with a prior of their own each; only the former are pictured).
 *
 * @param regions the followed regions as rows of means
 * @param sigma [nRegions] S/m
 * @throws RangeError without regions, for then nothing says how large a change of conductivity is to be expected
 */
export function movementOf(
	subject: PictureSubject,
	section: SolvedSection,
	regions: ImageRows,
	sigma: readonly number[],
): Nuisance {
	if (regions.count === 0)
		throw new RangeError("movement: it can be told apart only where regions are followed");
	const moves = electrodeMoves(subject, section.mesh);
	const deviation = MOVE_SHARE * Math.sqrt(subject.outline.area / Math.PI);
	return {
		modeCount: 2 * subject.electrodes.count,
		rows: createDisplacementRows(
			section,
			moves.map((v) => deviation * v),
		),
		regions,
		typicalChange: Float64Array.from(sigma, (s) => TYPICAL_CHANGE * s),
	};
}

/**
 * Ways in which the skin and the band may move against the model, one unit being a metre: for each electrode outwards,
 * the skin between it and its neighbours following in proportion, and along the skin.
 *
 * An outward move takes the fat layer with it as it is; deeper, all moves in proportion to its distance from the centre.
 * A move along the skin takes only the electrodes.
 *
 * @returns [2·electrodeCount × nNodes × 2]
 */
export function electrodeMoves(subject: PictureSubject, mesh: Mesh): Float64Array {
	const { outline, electrodes, fatThickness = 0 } = subject;
	const { count } = electrodes;
	const { circumference, centroid } = outline;
	const nodeCount = mesh.nodes.length / 2;
	const centres = Float64Array.from(
		{ length: count },
		(_, l) => (electrodes.start[l]! + electrodes.end[l]!) / 2,
	);
	const order = Array.from(centres.keys()).sort((a, b) => wrap(centres[a]!) - wrap(centres[b]!));
	const moves = new Float64Array(2 * count * nodeCount * 2);
	const onSkin = skinNodes(mesh);

	/** The electrodes on both sides of an arc, and how near it is to the second. */
	function neighbours(s: number): readonly [number, number, number] {
		for (const [i, l] of order.entries()) {
			const next = order[(i + 1) % count]!;
			const gap = wrap(centres[next]! - centres[l]!) || circumference;
			const past = wrap(s - centres[l]!);
			if (past < gap) return [l, next, past / gap];
		}
		throw new RangeError("movement: an arc lies between no electrodes");
	}

	function wrap(s: number): number {
		return s - circumference * Math.floor(s / circumference);
	}

	for (let node = 0; node < nodeCount; node++) {
		const x = mesh.nodes[2 * node]! - centroid[0];
		const y = mesh.nodes[2 * node + 1]! - centroid[1];
		const distance = Math.hypot(x, y);
		if (distance === 0) continue;
		// arcs are found from the origin, which lies inside as well
		const s = outline.arcAtAngle(Math.atan2(mesh.nodes[2 * node + 1]!, mesh.nodes[2 * node]!));
		const skin = outline.pointAt(s);
		const reach = Math.hypot(skin[0] - centroid[0], skin[1] - centroid[1]);
		const depth = Math.min(1, distance / Math.max(reach - fatThickness, reach / 2));
		const [before, after, share] = neighbours(s);
		for (const [l, weight] of [
			[before, 1 - share],
			[after, share],
		] as const) {
			const at = (l * nodeCount + node) * 2;
			moves[at]! += (weight * depth * x) / distance;
			moves[at + 1]! += (weight * depth * y) / distance;
			if (onSkin[node] === 0) continue;
			const step = circumference * 1e-4;
			const [from, to] = [outline.pointAt(s - step), outline.pointAt(s + step)];
			const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
			const along = at + 2 * count * nodeCount;
			moves[along] = (weight * (to[0] - from[0])) / length;
			moves[along + 1] = (weight * (to[1] - from[1])) / length;
		}
	}
	return moves;
}

/** [nNodes] 1 for nodes of sides that belong to one triangle only. */
function skinNodes({ nodes, triangles }: Mesh): Uint8Array {
	const nodeCount = nodes.length / 2;
	const sides = new Map<number, number>();
	for (let k = 0; k < triangles.length; k += 3) {
		for (let c = 0; c < 3; c++) {
			const a = triangles[k + c]!;
			const b = triangles[k + ((c + 1) % 3)]!;
			const key = Math.min(a, b) * nodeCount + Math.max(a, b);
			sides.set(key, (sides.get(key) ?? 0) + 1);
		}
	}
	const onSkin = new Uint8Array(nodeCount);
	for (const [key, triangleCount] of sides) {
		if (triangleCount !== 1) continue;
		onSkin[key % nodeCount] = 1;
		onSkin[Math.floor(key / nodeCount)] = 1;
	}
	return onSkin;
}
