import { createOutline } from "../../core/limb/outline.ts";
import type { BandPlace, LimbSetup } from "../contract.ts";
import { girthAt, levelMetre, simulatedLevel } from "../link/simulated/band-levels.ts";

/**
 * Where bands sit along the limb.
 *
 * @param entered what the set-up says; counts only when it is for as many bands
 * @param isSimulated whether the bands are simulated ones, whose places are known
 * @returns null where several bands' places are not known
 */
export function placesOf(
	limb: LimbSetup,
	bandCount: number,
	entered: readonly BandPlace[] | undefined,
	isSimulated: boolean,
): readonly BandPlace[] | null {
	if (entered?.length === bandCount) return entered;
	const circumference = circumferenceOf(limb.outline);
	if (isSimulated) {
		return Array.from({ length: bandCount }, (_, bandIndex) => {
			const level = simulatedLevel(limb.level, bandIndex);
			return {
				aboveKnee: rounded(levelMetre(level)),
				circumference: rounded(circumference * girthAt(level, limb.level)),
			};
		});
	}
	// One band looks at a slab of limb, wherever along it that is.
	return bandCount === 1 ? [{ aboveKnee: rounded(levelMetre(limb.level)), circumference }] : null;
}

/** The state asks for it ten times a second. */
const known = new WeakMap<LimbSetup["outline"], number>();

function circumferenceOf(shape: LimbSetup["outline"]): number {
	const circumference = known.get(shape) ?? createOutline(shape).circumference;
	known.set(shape, circumference);
	return circumference;
}

/** As a tape reads, to the millimetre. */
function rounded(metre: number): number {
	return Math.round(1000 * metre) / 1000;
}
