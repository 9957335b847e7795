import { placeElectrodes } from "../../core/band/electrodes.ts";
import { bandOf } from "../../core/band/measured-band.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import type { BandSetup, Fault, LimbSetup } from "../contract.ts";

/** Fat that a tape and a skinfold may have missed: a simulated limb has a little more than was measured. */
const FAT_MARGIN = 1.06;

/** Why no picture can be made of this limb and band, though each number is allowed by itself; null when one can. */
export function impossibleSetUp(setUp: { readonly limb: LimbSetup; readonly band: BandSetup }): Fault | null {
	const { limb, band } = setUp;
	const steps: readonly (readonly [path: string, build: () => void])[] = [
		["limb.outline", () => createOutline(limb.outline)],
		["limb.fatThickness", () => createThigh({ ...limb, fatThickness: FAT_MARGIN * limb.fatThickness })],
		["band", () => placeElectrodes(createOutline(limb.outline), bandOf(band))],
	];
	for (const [path, build] of steps) {
		try {
			build();
		} catch (error) {
			if (!(error instanceof RangeError)) throw error;
			return { kind: "invalid-argument", path, expected: "a limb and a band that fit", got: error.message };
		}
	}
	return null;
}
