/** Engagement is given as a share of the reference in percent, or, where no reference was taken, as the plain change
 *  of the region in its own unit; never mixed. */
export type EngagementUnit = "percent" | "raw";

/** Ends of a range of engagement, percent of the reference. */
export interface EngagementRange {
	readonly low: number;
	readonly high: number;
}

/**
 * One on–off cycle as the counter measured it. Times in seconds of the device's clock. Changes are from rest in the
 * direction in which the muscle changes when it works, in the unit of the signal, so that a repetition's are positive.
 */
export interface Repetition {
	/** `partial`: its peak stayed below the bar; `unended`: it did not come back to rest, so it is no repetition. */
	readonly kind: "full" | "partial" | "unended";
	/** Where the rise left rest: its change without noise passes one standard deviation of the noise at rest, as the shape of
	 *  the rise says afterwards (`onset-fit.ts`). */
	readonly onset: number;
	/** Where the fall came back to rest, found the same way. */
	readonly offset: number;
	/** Signal at rest just before it. */
	readonly restLevel: number;
	/** Largest mean over 0.25 s. */
	readonly peak: number;
	/** Mean between onset and offset. */
	readonly mean: number;
	/** From onset until the mean over 0.25 s first came within 10 % of the peak, s. Nearer to it, noise would decide when a
	 *  level hold peaks; the end of a rise is commonly set at 90 % (IEEE Std 181, from memory). */
	readonly timeToPeak: number;
	/** Above half of its own peak, s. */
	readonly holdTime: number;
	/** Within the target range, s; null without a reference or a target. */
	readonly timeInTarget: number | null;
	/** Longest time between two samples within it, s: above the frame's usual spacing, frames were lost. */
	readonly longestGap: number;
}

export function fullCountOf(repetitions: readonly Repetition[]): number {
	return repetitions.filter(({ kind }) => kind === "full").length;
}

export function partialCountOf(repetitions: readonly Repetition[]): number {
	return repetitions.filter(({ kind }) => kind === "partial").length;
}
