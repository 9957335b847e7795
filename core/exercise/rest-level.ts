/** Where a signal lies at rest and how much it moves there, in the signal's unit. */
export interface RestLevel {
	readonly level: number;
	/** Standard deviation of one sample. */
	readonly noise: number;
}

/** Turns the median absolute deviation of normal noise into its standard deviation: 1/Φ⁻¹(3/4). */
export const NORMAL_MAD = 1.4826;

/** Fewest samples of a rest; fewer do not tell noise from movement (common practice, no source). */
export const FEWEST_REST_SAMPLES = 8;

/**
 * Median and 1.4826 × median absolute deviation, which a few spikes or twitches do not move. Source of the estimator:
 * F. R. Hampel, "The influence curve and its role in robust estimation", J. Am. Stat. Assoc. 69:383, 1974.
 * Sorts `values`. Allocates nothing.
 * @throws RangeError with no values
 */
export function restOfInPlace(values: Float64Array): { level: number; noise: number } {
	const level = sortedMedian(values.sort());
	for (let i = 0; i < values.length; i++) values[i] = Math.abs(values[i]! - level);
	return { level, noise: NORMAL_MAD * sortedMedian(values.sort()) };
}

/** The same, leaving `values` as they are. */
export function restOf(values: ArrayLike<number>): RestLevel {
	return restOfInPlace(Float64Array.from(values));
}

/** A spread above this many times what neighbours differ by is movement (common practice, no source). */
const MOVING = 3;
/** Deciles of normal noise lie so many deviations apart: 2·Φ⁻¹(0.9). */
const NORMAL_DECILES = 2.5631;
/** And neighbours so many on average: 2/√π. */
const NORMAL_STEP = 1.1284;

/**
 * Whether samples that follow one another stay in one place: eight tenths of them spread about as far as neighbours
 * differ, which a shift leaves small. The ratio is J. von Neumann's, Ann. Math. Statist. 12:367, 1941, taken with
 * quantiles, which a few spikes do not move.
 * @throws RangeError with fewer than two values
 */
export function isStill(values: ArrayLike<number>): boolean {
	let steps = 0;
	for (let i = 1; i < values.length; i++) steps += Math.abs(values[i]! - values[i - 1]!);
	const neighbours = steps / (values.length - 1) / NORMAL_STEP;
	const sorted = Float64Array.from(values).sort();
	const tenth = Math.floor(sorted.length / 10);
	const spread = (sorted[sorted.length - 1 - tenth]! - sorted[tenth]!) / NORMAL_DECILES;
	return spread <= MOVING * neighbours;
}

/** @throws RangeError with no values */
export function medianOf(values: ArrayLike<number>): number {
	return sortedMedian(Float64Array.from(values).sort());
}

function sortedMedian(sorted: Float64Array): number {
	if (sorted.length === 0) throw new RangeError("median: no values");
	const middle = sorted.length >> 1;
	return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
