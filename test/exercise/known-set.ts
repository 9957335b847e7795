/** Simulated sets and what is known of them, whoever made them. */

export interface KnownRepetition {
	/** Where the rise begins and the fall ends, s; a fall without end is cut where nothing is left of it. */
	readonly onset: number;
	readonly offset: number;
	readonly peak: number;
	readonly isPartial: boolean;
	/** Whether its begin and end were recorded: not before the set was counted, nor in a gap of lost frames. */
	readonly isBeginSeen: boolean;
	readonly isEndSeen: boolean;
	/** Change from rest without noise, above zero, unit of the signal. */
	readonly changeAt: (time: number) => number;
	readonly curve: string;
}

export interface KnownSet {
	readonly seed: number;
	readonly kind: string;
	readonly framesPerSecond: number;
	/** [nSamples] device time, s, rising */
	readonly times: Float64Array;
	/** [nSamples] */
	readonly values: Float64Array;
	/** Rest is measured before this, s. */
	readonly restUntil: number;
	/** The set is counted from here on, s. */
	readonly countFrom: number;
	/** Signed, as a reference contraction would have measured it. */
	readonly referenceChange: number;
	/** Standard deviation of the signal at rest, with breath and pulse, without drift. */
	readonly restDeviation: number;
	readonly repetitions: readonly KnownRepetition[];
}
