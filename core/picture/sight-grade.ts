import type { RegionSight } from "./region-sight.ts";

/** A region in one word, for people who place a band. */
export type SightGrade = "well" | "poorly" | "not";

/** Less of a change than this is shown as good as nothing. No source. */
export const LEAST_SEEN = 0.2;
/** A mean that stands fewer deviations above the noise is taken for it now and then: the usual limit of detection
 *  (three deviations; common practice, IUPAC Gold Book, "limit of detection", from memory). */
export const LEAST_DETECTED = 3;

/** `well` as in `RegionSight`; `not` where hardly anything of a change is shown or noise drowns it. */
export function sightGrade({ verdict, share, signalToNoise }: RegionSight): SightGrade {
	if (verdict === "well") return "well";
	const isDrowned = signalToNoise !== null && signalToNoise < LEAST_DETECTED;
	return share < LEAST_SEEN || isDrowned ? "not" : "poorly";
}
