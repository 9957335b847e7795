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

/** Where the electrodes really are, as shares of the circumference: each sewn on a little off. */
export function sewnPositions(
	{ positions, electrodeCount, electrodeWidth }: BandSetup,
	circumference: number,
	random: Random,
): number[] {
	const sewnAt = positions ?? Array.from({ length: electrodeCount }, (_, i) => i / electrodeCount);
	const error = sewingError(sewnAt, electrodeWidth, circumference);
	return sewnAt.map((share) => {
		const position = share + (error * random.normal()) / circumference;
		return position - Math.floor(position);
	});
}

/** Standard deviation of an electrode's place on the band, m: half a millimetre, or less where they are so close that
 *  they would touch. */
function sewingError(positions: readonly number[], width: number, circumference: number): number {
	const sorted = [...positions].sort((a, b) => a - b);
	const pitches = sorted.map((share, i) => (sorted[i + 1] ?? sorted[0]! + 1) - share);
	return Math.min(0.0005, (Math.min(...pitches) * circumference - width) / 12);
}
