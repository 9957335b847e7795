import type { VolumeMesh } from "../../../core/volume/volume-mesh.ts";
import { bandStretches, type VolumeSubject } from "../../../core/volume/volume-subject.ts";

/** When a band that slides begins to, s after it was started, and how long it takes. */
const slidesAt = 20;
const slidesFor = 1;

/** How much of its slide a band has behind it, 0 to 1. */
export function slideShare(seconds: number): number {
	return Math.min(1, Math.max(0, (seconds - slidesAt) / slidesFor));
}

/**
 * The mesh of a limb one of whose bands has slid along it: the band's layers go along, those beside it in proportion to
 * their distance, and every node stays on its line along the limb, so that the limb keeps its taper. The band slides less
 * than its distance from the next.
 *
 * @param metre towards the hip where above zero
 */
export function afterSlide(
	mesh: VolumeMesh,
	subject: VolumeSubject,
	band: number,
	metre: number,
): VolumeMesh {
	const { levels, nodesPerLevel } = mesh;
	const stretches = bandStretches(subject);
	const own = stretches[band]!;
	const edges = [levels[0]!, levels.at(-1)!, ...stretches.flatMap(({ from, to }) => [from, to])];
	const below = Math.max(...edges.filter((z) => z < own.from));
	const above = Math.min(...edges.filter((z) => z > own.to));
	const moved = levels.map((z) => {
		const share = z < own.from ? (z - below) / (own.from - below) : (above - z) / (above - own.to);
		return z + metre * Math.max(0, Math.min(1, share));
	});

	const scales = levels.map((z) => subject.taper.circumferenceAt(z));
	const thinnest = scales.indexOf(Math.min(...scales));
	const thickest = scales.indexOf(Math.max(...scales));
	const range = scales[thickest]! - scales[thinnest]!;
	const nodes = mesh.nodes.slice();
	for (const [level, z] of moved.entries()) {
		if (z === levels[level]) continue;
		const growth = range === 0 ? 0 : (subject.taper.circumferenceAt(z) - scales[level]!) / range;
		for (let v = 0; v < nodesPerLevel; v++) {
			const at = 3 * (level * nodesPerLevel + v);
			const thin = 3 * (thinnest * nodesPerLevel + v);
			const thick = 3 * (thickest * nodesPerLevel + v);
			for (let axis = 0; axis < 2; axis++)
				nodes[at + axis]! += growth * (mesh.nodes[thick + axis]! - mesh.nodes[thin + axis]!);
			nodes[at + 2] = z;
		}
	}
	return { ...mesh, nodes, levels: moved };
}
