/** Readings of an invented thigh under two bands of eight, at rest and with a tensed muscle, from a coarser mesh than
 *  volumes are made of. */
import type { BandPlace, BandSetup, LimbSetup } from "../../app/contract.ts";
import { inventedBand, inventedLimb } from "../../app/link/simulated/invented-person.ts";
import { usualElectrodeHeightMetre } from "../../core/band/electrode-height.ts";
import { bandOf } from "../../core/band/measured-band.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { limbVolume } from "../../core/volume/volume-subject.ts";

export const volumeSetUp: {
	readonly limb: LimbSetup;
	readonly band: BandSetup;
	readonly places: BandPlace[];
} = {
	limb: inventedLimb,
	band: inventedBand(8),
	places: [
		{ aboveKnee: 0.2, circumference: 0.52 },
		{ aboveKnee: 0.13, circumference: 0.47 },
	],
};

export const READINGS_OF_EIGHT = 40;

export interface VolumeReadings {
	/** [bands] each [40] V at 1 mA */
	readonly rest: readonly Float64Array[];
	/** The same with 10 % less conductivity in one muscle. */
	tensed(regionId: string): readonly Float64Array[];
}

export function createVolumeReadings(): VolumeReadings {
	const { limb, band, places } = volumeSetUp;
	const worn = bandOf(band);
	const subject = limbVolume(
		createThigh(limb),
		places.map(({ aboveKnee, circumference }) => ({ z: aboveKnee, circumference })),
		places.map(({ aboveKnee }) => ({ band: worn, z: aboveKnee, electrodeHeight: usualElectrodeHeightMetre })),
		50_000,
	);
	const mesh = meshVolume(subject, 6000);
	const solver = createVolumeSolver(mesh);
	const sigma = restSigmaOf(subject, mesh);
	const one = createPattern(8, "adjacent", "four-terminal").terminals;
	const terminals = Uint16Array.from([...one, ...one.map((electrode) => electrode + 8)]);
	const pattern = { name: "two bands", electrodeCount: 16, terminals };

	function readings(own: Float64Array): Float64Array[] {
		const all = readingsFrom(solver.solve(own, subject.contactImpedance), pattern, 1e-3);
		return [all.slice(0, READINGS_OF_EIGHT), all.slice(READINGS_OF_EIGHT)];
	}

	return {
		rest: readings(sigma),
		tensed(regionId) {
			const label = subject.regions.findIndex(({ id }) => id === regionId) + 1;
			return readings(
				sigma.map((value, k) => (mesh.regionOf[k % mesh.regionOf.length] === label ? 0.9 * value : value)),
			);
		},
	};
}
