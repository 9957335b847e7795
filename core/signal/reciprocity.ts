/**
 * Reciprocity: exchanging the driving and the reading pair must give the same reading in a linear medium, whatever is
 * inside (the principle as used by Meeson, Blott & Killingback, Physiol. Meas. 17:A33, 1996, and by Hartinger, Guardo,
 * Adler & Gagnon, IEEE Trans. Biomed. Eng. 2009). The error of a pair is e = 2·|Vab − Vba| / (|Vab| + |Vba|), common
 * practice.
 */
import type { ReciprocalPairs } from "../band/reciprocity.ts";

/** Error of each pair, percent. @param errors [pairs.count] overwritten. @throws RangeError on its length */
export function reciprocityErrorsInto(
	values: Float64Array,
	{ count, first, second, sign }: ReciprocalPairs,
	errors: Float64Array,
): void {
	if (errors.length !== count)
		throw new RangeError(`reciprocity: room for ${errors.length} of ${count} pairs`);
	for (let pair = 0; pair < count; pair++) {
		const ab = values[first[pair]!]!;
		const ba = sign[pair]! * values[second[pair]!]!;
		const size = Math.abs(ab) + Math.abs(ba);
		errors[pair] = size === 0 ? 0 : (200 * Math.abs(ab - ba)) / size;
	}
}

/** Median error over the pairs, percent; null without pairs. `scratch` [pairs.count] is overwritten. `kept` [nReadings]
 *  is 0 for readings that are not looked at; null where all are.
 *  @throws RangeError on a wrong length of `scratch`. */
export function reciprocityPercent(
	values: Float64Array,
	pairs: ReciprocalPairs,
	scratch: Float64Array,
	kept: Float64Array | null = null,
): number | null {
	reciprocityErrorsInto(values, pairs, scratch);
	const { count, first, second } = pairs;
	let used = 0;
	for (let pair = 0; pair < count; pair++) {
		if (kept !== null && (kept[first[pair]!] === 0 || kept[second[pair]!] === 0)) continue;
		scratch[used++] = scratch[pair]!;
	}
	if (used === 0) return null;
	scratch.fill(Number.POSITIVE_INFINITY, used).sort();
	const middle = used >> 1;
	return used % 2 === 1 ? scratch[middle]! : (scratch[middle - 1]! + scratch[middle]!) / 2;
}
