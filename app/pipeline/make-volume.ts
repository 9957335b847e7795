/** From a request for a volume's model to the model. Runs in the volume worker, and only where none was kept. */
import { usualElectrodeHeightMetre } from "../../core/band/electrode-height.ts";
import { bandOf } from "../../core/band/measured-band.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { failure, type Result, success } from "../../core/result.ts";
import { buildVolumeModel, type VolumeStep } from "../../core/volume/volume-model.ts";
import { limbVolume } from "../../core/volume/volume-subject.ts";
import type { Fault } from "../contract.ts";
import { madeVolume } from "./volume-geometry.ts";
import type { MadeVolume, VolumeRequest } from "./volume-messages.ts";

/** More readings than this take over 2 GB and minutes: 1856 of two bands of 32 took 1.2 GB, 3712 of four 3.4 GB. */
const MOST_READINGS = 2400;

/** As shown to people while they wait. */
const stepTexts: Readonly<Record<VolumeStep, string>> = {
	mesh: "Making the mesh of the limb",
	field: "Computing how current flows through the limb",
	movement: "Computing what bands would read elsewhere",
	matrix: "Computing the reconstruction matrix",
};

export function makeVolume(
	request: VolumeRequest,
	onStep: (step: string, share: number) => void,
): Result<MadeVolume, Fault> {
	try {
		const { limb, band, places, terminals, frequencyHertz } = request;
		const readings = terminals.length / 4;
		if (readings > MOST_READINGS)
			throw new RangeError(
				`volume: ${readings} readings of all bands are more than a volume is made of, ${MOST_READINGS}; wear fewer bands, or bands of fewer electrodes`,
			);
		const worn = bandOf(band);
		const model = buildVolumeModel(
			{
				subject: limbVolume(
					createThigh(limb),
					places.map(({ aboveKnee, circumference }) => ({ z: aboveKnee, circumference })),
					places.map(({ aboveKnee }) => ({
						band: worn,
						z: aboveKnee,
						electrodeHeight: usualElectrodeHeightMetre,
					})),
					frequencyHertz,
				),
				pattern: { name: "", electrodeCount: places.length * band.electrodeCount, terminals },
				ohmPerUnit: 1,
				// Noise and rest are of one morning; without them a model is good for all, see `modelRest`.
				noise: null,
				rule: "noise-figure",
				values: "nodes",
				movement: readsAcross(terminals, band.electrodeCount),
			},
			{ onProgress: (step, share) => onStep(stepTexts[step], share) },
		);
		if (model === null) throw new TypeError("volume: stopped though nobody stops it");
		return success(madeVolume(model, request));
	} catch (error) {
		// What `core` throws for a limb or bands that cannot be is one sentence for people; anything else is our defect.
		if (!(error instanceof RangeError)) throw error;
		return failure({
			kind: "invalid-argument",
			path: "setUp",
			expected: "a limb and bands that fit each other",
			got: error.message,
		});
	}
}

/** Whether any reading is of electrodes of several bands: without, no band's place against another can be told. */
function readsAcross(terminals: Uint16Array, electrodesPerBand: number): boolean {
	for (let i = 0; i < terminals.length; i += 4) {
		const own = Math.floor(terminals[i]! / electrodesPerBand);
		for (let k = 1; k < 4; k++) if (Math.floor(terminals[i + k]! / electrodesPerBand) !== own) return true;
	}
	return false;
}
