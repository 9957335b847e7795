import type { RestLevel } from "./rest-level.ts";

/**
 * What one region's reference contraction gave. `none`: not taken. `not-detected`: taken, but the region did not rise
 * clear of its noise at rest, or not always the same way; it takes no part in scores.
 */
export type RegionReference =
	| { readonly state: "none" }
	| {
			readonly state: "not-detected";
			readonly reason: "within-noise" | "directions-differ";
			readonly rest: RestLevel;
	  }
	| {
			readonly state: "taken";
			readonly rest: RestLevel;
			/** Signed change from rest, unit of the signal: the region may rise or fall when its muscle works. */
			readonly change: number;
			/** Standard deviation over mean of the contractions' changes, percent; null from a single contraction. */
			readonly variationPercent: number | null;
			readonly repeatability: "repeatable" | "not-repeatable" | "unknown";
	  };

/** A reference below this many deviations of the noise at rest is none (common practice, no source). */
export const DETECTION_DEVIATIONS = 3;

/**
 * 100·(x − rest)/(reference − rest), percent, whichever sign the reference had. It is called engagement, never force,
 * strength or muscle activity: the index of an impedance change. Normalising to a reference contraction
 * and saying which: M. Besomi et al., "CEDE amplitude normalization matrix", J. Electromyogr. Kinesiol. 53:102438, 2020.
 * @throws RangeError if the reference equals rest
 */
export function engagementPercent(value: number, rest: number, reference: number): number {
	if (reference === rest) throw new RangeError("engagement: the reference equals rest");
	return (100 * (value - rest)) / (reference - rest);
}
