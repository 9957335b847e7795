import { minimalDetectableChange, standardErrorFromPairs, stepStandardError } from "./measurement-error.ts";
import { type MeasuredValue, unsafeBetweenValues } from "./progress.ts";

/** Fewer pairs say too little about the error (our own bound: the error of an error from 5 pairs is some 35 %). */
export const FEWEST_PAIRS = 5;
/** Two sessions further apart than this may differ because the person has changed (our own bound). */
export const NEIGHBOUR_DAYS = 4;

export interface NeighbourError {
	/** Standard error of measurement, in the measure's unit. */
	readonly sem: number;
	/** Smallest change that is larger than expected by it, 95 %, in the measure's unit. */
	readonly minimalDetectableChange: number;
	readonly pairs: number;
	/** The sessions differ by less than the step to which the measure is known, which is what the error then stems from. */
	readonly isOneStep: boolean;
}

/**
 * How much a measure moves from one session to the next: the typical error of pairs of sessions that follow each other
 * within a few days and may be compared (W. G. Hopkins, Sports Med. 30:1, 2000). A common trend over all pairs is left
 * out by the formula; what the person changes within days is not, nor is putting the band on anew, so the error is
 * rather too large than too small: it must not sell noise as progress.
 * @param values in the order of time, `day` in days
 * @param step to which the measure is known at best, in its unit: no history without variation makes it better
 * @returns null with fewer than `FEWEST_PAIRS` pairs
 */
export function neighbourErrorOf(values: readonly MeasuredValue[], step: number): NeighbourError | null {
	const pairs: [first: number, second: number][] = [];
	for (let i = 1; i < values.length; i++) {
		const [first, second] = [values[i - 1]!, values[i]!];
		if (second.day - first.day > NEIGHBOUR_DAYS) continue;
		if (unsafeBetweenValues(first, second).length > 0) continue;
		pairs.push([first.value, second.value]);
	}
	if (pairs.length < FEWEST_PAIRS) return null;
	const found = standardErrorFromPairs(pairs);
	const least = stepStandardError(step);
	const sem = Math.max(found, least);
	return {
		sem,
		minimalDetectableChange: minimalDetectableChange(sem, 95),
		pairs: pairs.length,
		isOneStep: least > found,
	};
}
