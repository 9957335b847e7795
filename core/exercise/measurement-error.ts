/**
 * How much a measure moves by itself. Formulas: J. P. Weir & W. J. Vincent, Statistics in Kinesiology (Human Kinetics);
 * J. P. Weir, J. Strength Cond. Res. 19:231, 2005; Z. Dvir, J. Exerc. Rehabil. 11:67, 2015.
 */

/**
 * Standard error of measurement, in the measure's unit, from one measure taken twice in people who had not changed: the
 * standard deviation of the differences over √2 (W. G. Hopkins, Sports Med. 30:1, 2000, "typical error").
 * @throws RangeError on fewer than two pairs
 */
export function standardErrorFromPairs(pairs: readonly (readonly [first: number, second: number])[]): number {
	if (pairs.length < 2) throw new RangeError("standard error: at least two pairs");
	const differences = pairs.map(([first, second]) => second - first);
	const mean = differences.reduce((sum, d) => sum + d, 0) / pairs.length;
	const variance = differences.reduce((sum, d) => sum + (d - mean) ** 2, 0) / (pairs.length - 1);
	return Math.sqrt(variance / 2);
}

/**
 * The least standard error of a span whose two ends are each known to one step, such as a time to one frame or a count to
 * one repetition: an end has the variance step²/12 (JCGM 100:2008, F.2.2.1), both together step²/6. Averaging over
 * repetitions is not counted in its favour, because their ends fall on the same frames.
 */
export function stepStandardError(step: number): number {
	return step / Math.sqrt(6);
}

const QUANTILES = { 90: 1.645, 95: 1.96 } as const;

/** Minimal detectable change: z·√2·SEM, with z = 1.96 for 95 % and 1.645 for 90 %. */
export function minimalDetectableChange(sem: number, confidence: 90 | 95): number {
	return QUANTILES[confidence] * Math.SQRT2 * sem;
}

/** Where the true value lies with 95 %: value ± 1.96·SEM. */
export function errorBand(value: number, sem: number): readonly [low: number, high: number] {
	return [value - QUANTILES[95] * sem, value + QUANTILES[95] * sem];
}
