import type { EngagementRange } from "./repetition.ts";
import type { RestLevel } from "./rest-level.ts";

/**
 * When a change counts, published because detectors that use other thresholds disagree (P. W. Hodges & B. H. Bui, EEG
 * Clin. Neurophysiol. 101:511, 1996). Three deviations above rest to begin, 1.5 to 2 to end, at least 0.3 to 0.5 s on
 * and 0.3 s off, and 30 % of the reference for a full repetition are common practice at 10 to 50 frames a second,
 * without a published source; so are the shares of peak and reference, which let the level at rest drift.
 */
export const countingRule = {
	/** Begins above this many deviations of the noise at rest … */
	onsetDeviations: 3,
	/** … and this share of the reference (of the session's typical peak where there is none). */
	onsetShare: 0.05,
	/** Ends below this many deviations … */
	releaseDeviations: 1.75,
	/** … or below this share of its own peak, whichever is higher. */
	releaseShare: 0.2,
	/** Going above this share of its peak again, before it has ended, is one repetition with two peaks. */
	returnShare: 0.3,
	/** A mean over 0.25 s that stays below this share of the peak for so long has ended as well: rest may have risen. */
	lowShare: 0.3,
	lowSeconds: 0.8,
	minimumOnSeconds: 0.3,
	minimumOffSeconds: 0.3,
	/** A peak below this share of the reference is partial. */
	fullShare: 0.3,
	/** A peak below this share is movement, no attempt. */
	attemptShare: 0.08,
	/** Nor is one below this many deviations where neither a reference nor an earlier repetition says how high one is. */
	firstDeviations: 4.5,
} as const;

/** What a session teaches the counter: given to the next set's counter. Plain data. */
export interface CounterLearning {
	/** +1 where the signal rises when the muscle works, −1 where it falls; null before anything was seen. */
	readonly direction: 1 | -1 | null;
	/** Peaks of the session's latest repetitions, unit of the signal; at most `KEPT_PEAKS`. */
	readonly peaks: readonly number[];
	/** Standard deviation between repetitions. */
	readonly noise: number;
}

export interface CounterOptions {
	/** Taken just before the set, of the same signal. */
	readonly rest: RestLevel;
	/** Signed change of the reference contraction from rest; null where none was taken or detected. */
	readonly referenceChange: number | null;
	/** Percent of the reference. */
	readonly target: EngagementRange | null;
	/** From an earlier set of the session, with the same band where it was. */
	readonly learned: CounterLearning | null;
	/** A change that lasts longer is no repetition: the band has slipped, or rest has changed. s */
	readonly longestSeconds: number;
}

export const KEPT_PEAKS = 20;

/** @throws RangeError on what a counter cannot work with */
export function checkCounterOptions({ rest, referenceChange, longestSeconds }: CounterOptions): void {
	if (!(Number.isFinite(rest.level) && rest.noise >= 0 && rest.noise < Number.POSITIVE_INFINITY)) {
		throw new RangeError("repetition counter: rest needs a level and a noise of at least zero");
	}
	if (referenceChange !== null && !(Math.abs(referenceChange) > 0 && Number.isFinite(referenceChange))) {
		throw new RangeError("repetition counter: the reference change must not be zero; pass null for none");
	}
	if (!(longestSeconds > 0)) throw new RangeError("repetition counter: longestSeconds must be positive");
}
