import type { BandSetup } from "../../contract.ts";
import { muscleIds } from "./exercises.ts";
import type { Random } from "./random.ts";

/** The frequency that the limb is modelled at, Hz. */
export const modelHertz = 50_000;

/** Its number among `muscleIds`; −1 for other tissue. */
export function muscleOfRegion({ id, tissue }: { readonly id: string; readonly tissue: string }): number {
	if (tissue !== "muscle") return -1;
	const muscle = (muscleIds as readonly string[]).indexOf(id);
	if (muscle < 0) throw new RangeError(`no muscle ${id} in the scenarios`);
	return muscle;
}

type Sewn = Pick<BandSetup, "positions" | "electrodeCount">;

/** Where the electrodes are meant to be, as shares of the circumference. */
function meantPositions({ positions, electrodeCount }: Sewn): readonly number[] {
	return positions ?? Array.from({ length: electrodeCount }, (_, i) => i / electrodeCount);
}

/** From an electrode to the next, at least, as a share of the circumference. */
export function smallestPitch(band: Sewn): number {
	const sorted = [...meantPositions(band)].sort((a, b) => a - b);
	return Math.min(...sorted.map((share, i) => (sorted[i + 1] ?? sorted[0]! + 1) - share));
}

/** Where the electrodes really are, as shares of the circumference: each sewn on half a millimetre off (one standard
 *  deviation), or less where they are so close that they would touch. */
export function sewnPositions(band: BandSetup, circumference: number, random: Random): number[] {
	const gap = smallestPitch(band) * circumference - band.electrodeWidth;
	const error = Math.min(0.0005, gap / 12);
	return meantPositions(band).map((share) => {
		const position = share + (error * random.normal()) / circumference;
		return position - Math.floor(position);
	});
}
