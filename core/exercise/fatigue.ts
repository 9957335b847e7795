import { fitStraightLine, slopeInterval } from "./straight-line.ts";

/**
 * How peak engagement goes over the repetitions of a set, with the interval that holds the true slope. Experimental:
 * that engagement falls with fatigue is not published for this measurement (the resistance of a fatiguing muscle may
 * fall: Li et al., Sensors 2016), so it is shown as a slope and never called tiredness of a muscle.
 */
export interface FatigueSlope {
	/** Change of the peak from one repetition to the next, in the peaks' unit. */
	readonly slope: number;
	readonly low: number;
	readonly high: number;
	readonly confidence: number;
	/** The same relative to the first repetition on the line, percent; null where that is not above zero. */
	readonly percentPerRepetition: number | null;
	readonly repetitions: number;
	/** `unclear` where the interval includes no change. */
	readonly trend: "falling" | "rising" | "unclear";
}

/** Three points fix a line and its error; from fewer nothing is said. */
export const FEWEST_FOR_FATIGUE = 3;

/** @param peaks of full repetitions, in order. @returns null with fewer than three */
export function fatigueOf(peaks: readonly number[], confidence = 0.95): FatigueSlope | null {
	if (peaks.length < FEWEST_FOR_FATIGUE) return null;
	const line = fitStraightLine(
		peaks.map((_, i) => i + 1),
		peaks,
	);
	if (line === null) return null;
	const [low, high] = slopeInterval(line, confidence);
	const first = line.intercept + line.slope;
	return {
		slope: line.slope,
		low,
		high,
		confidence,
		percentPerRepetition: first > 0 ? (100 * line.slope) / first : null,
		repetitions: peaks.length,
		trend: high < 0 ? "falling" : low > 0 ? "rising" : "unclear",
	};
}
