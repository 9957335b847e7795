/** Readings of bands that slid and twisted, on a mesh that holds all places of electrodes and so stays as it is: no error
 *  of the mesh passes for a movement, and nothing is taken from how a model foresees one. */
import type { ReadingPattern } from "../../core/band/band.ts";
import { cutRing } from "../../core/band/ring-parts.ts";
import { meshLimb } from "../../core/mesh/limb-mesh.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { cutLayers } from "../../core/volume/limb-layers.ts";
import { restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { sectionPlaces } from "../../core/volume/section-places.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { stackSection, type VolumeMesh } from "../../core/volume/volume-mesh.ts";
import { bandStretches, placeBands, type VolumeSubject } from "../../core/volume/volume-subject.ts";

/** Of each band in turn: slide, mm along the limb, and twist, degrees anticlockwise. */
export type Movement = readonly number[];

export interface MovedBands {
	readonly meshes: readonly [before: VolumeMesh, after: VolumeMesh];
	readonly restSigma: Float64Array;
	/** @param sigma [nCells] S/m */
	readings(which: "before" | "after", sigma: Float64Array): Float64Array;
}

export function createMovedBands(
	subject: VolumeSubject,
	pattern: ReadingPattern,
	movement: Movement,
	targetTriangles = 640,
	near = 0.002,
): MovedBands {
	const { outline, taper, regions } = subject;
	const moved: VolumeSubject = {
		...subject,
		bands: subject.bands.map((one, b) => ({
			...one,
			z: one.z + movement[2 * b]! / 1000,
			band: { ...one.band, firstAngle: one.band.firstAngle + (movement[2 * b + 1]! * Math.PI) / 180 },
		})),
	};
	const states = [subject, moved] as const;
	const stretches = states.map(bandStretches);
	const radius = (1.25 * taper.circumferenceAt(subject.bands[0]!.z)) / (2 * Math.PI);
	const all = stretches.flat();
	const from = Math.min(...all.map((stretch) => stretch.from)) - radius;
	const to = Math.max(...all.map((stretch) => stretch.to)) + radius;
	const levels = cutLayers(from, to, all, { near, far: 0.03 });
	const ring = cutRing(states.flatMap(placeBands), outline.circumference, 0.05);
	const section = meshLimb({ outline, electrodes: ring.parts, regions, targetTriangles });
	let electrodeCount = 0;
	const firsts = subject.bands.map(({ band }) => {
		electrodeCount += band.electrodeCount;
		return electrodeCount - band.electrodeCount;
	});
	const meshes = states.map((_, state) =>
		stackSection({
			section,
			places: sectionPlaces(section.nodes, outline, subject.fatThickness),
			levels,
			scales: levels.map((z) => taper.circumferenceAt(z) / outline.circumference),
			electrodeOver: Array.from({ length: levels.length - 1 }, (_, k) => {
				const middle = (levels[k]! + levels[k + 1]!) / 2;
				const b = stretches[state]!.findIndex((stretch) => middle > stretch.from && middle < stretch.to);
				if (b < 0) return null;
				const over = ring.electrodeOver[state * subject.bands.length + b]!;
				return over.map((electrode) => (electrode < 0 ? -1 : firsts[b]! + electrode));
			}),
			electrodeCount,
		}),
	) as [VolumeMesh, VolumeMesh];
	const solvers = meshes.map(createVolumeSolver);
	return {
		meshes,
		restSigma: restSigmaOf(subject, meshes[0]),
		readings: (which, sigma) =>
			readingsFrom(solvers[which === "before" ? 0 : 1]!.solve(sigma, subject.contactImpedance), pattern, 1),
	};
}
