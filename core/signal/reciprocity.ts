/**
 * Reciprocity: exchanging the driving and the reading pair must give the same reading in a linear medium, whatever is
 * inside (the principle as used by Meeson, Blott & Killingback, Physiol. Meas. 17:A33, 1996, and by Hartinger, Guardo,
 * Adler & Gagnon, IEEE Trans. Biomed. Eng. 2009). The error of a pair is e = 2·|Vab − Vba| / (|Vab| + |Vba|), common
 * practice.
 */
import type { ReadingPattern } from "../band/band.ts";

/** [nPairs × 2] row-major: two readings that must agree. Empty where the pattern has none. */
export function findReciprocalPairs(pattern: ReadingPattern): Uint32Array {
	const { terminals, electrodeCount: L } = pattern;
	const nReadings = terminals.length / 4;
	// A drive or reading pair as one number: exact up to 64 electrodes.
	const seen = new Map<number, number>();
	const pairs: number[] = [];
	for (let reading = 0; reading < nReadings; reading++) {
		const drive = terminals[4 * reading]! * L + terminals[4 * reading + 1]!;
		const read = terminals[4 * reading + 2]! * L + terminals[4 * reading + 3]!;
		if (drive === read) continue;
		const other = seen.get(read * L * L + drive);
		if (other !== undefined) pairs.push(other, reading);
		seen.set(drive * L * L + read, reading);
	}
	return Uint32Array.from(pairs);
}

/** Median error over the pairs, percent; null without pairs. `scratch` [nPairs] is overwritten. */
export function reciprocityPercent(
	values: Float64Array,
	pairs: Uint32Array,
	scratch: Float64Array,
): number | null {
	const nPairs = pairs.length / 2;
	if (scratch.length !== nPairs)
		throw new RangeError(`reciprocity: scratch of ${scratch.length} for ${nPairs}`);
	if (nPairs === 0) return null;
	for (let pair = 0; pair < nPairs; pair++) {
		const ab = values[pairs[2 * pair]!]!;
		const ba = values[pairs[2 * pair + 1]!]!;
		const size = Math.abs(ab) + Math.abs(ba);
		scratch[pair] = size === 0 ? 0 : (200 * Math.abs(ab - ba)) / size;
	}
	scratch.sort();
	const middle = nPairs >> 1;
	return nPairs % 2 === 1 ? scratch[middle]! : (scratch[middle - 1]! + scratch[middle]!) / 2;
}
