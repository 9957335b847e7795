import type { ReadingPattern } from "../band/band.ts";
import { foldInto, foldReadings } from "./fold.ts";

/**
 * What the straight-line model cannot explain of a strong change, as a share of the change's root mean square: 3 to 6 %
 * on simulated and on measured tanks (median, at the noise figure used). It is part of the noise that a picture has to
 * live with (modelling error, Kaipio & Somersalo, J. Comput. Appl. Math. 198:493, 2007), and keeps a drive that happens
 * to agree with itself from being trusted without bound.
 */
const MODEL_ERROR_SHARE = 0.05;

/**
 * Noise of each reading's change, from the changes themselves: readings that reciprocity ties together must agree
 * (Hartinger, Guardo, Adler & Gagnon, IEEE Trans. Biomed. Eng. 56:369, 2009, weigh readings by how well they do). What
 * is left of the readings after the least-squares fit of a reciprocal medium, divided by their degrees of freedom, is
 * ascribed to drives and to reading pairs: a reading's variance is the sum of its drive's and its pair's, so that neither
 * a weak drive nor an electrode that reads badly takes others along. (Where the same pairs drive and read, mismatch cannot
 * tell which of the two it was; both are then trusted less.) The model's own error is added.
 *
 * @param changes frames of [nReadings] changes; NaN where a reading is missing
 * @param ohmPerUnit [nReadings] as in the reconstruction
 * @returns [nReadings] standard deviation in the unit of the changes; Infinity where any frame misses the reading
 */
export function noiseFromReciprocity(
	pattern: ReadingPattern,
	changes: readonly Float64Array[],
	ohmPerUnit: Float64Array,
): Float64Array {
	const { terminals, electrodeCount } = pattern;
	const readingCount = terminals.length / 4;
	const isMissing = (r: number) => changes.some((change) => Number.isNaN(change[r]!));
	const even = ohmPerUnit.map((_, r) => (isMissing(r) ? Infinity : 1));
	const fold = foldReadings(terminals, electrodeCount, even);

	// rows of the orthonormal basis of what a reciprocal medium can show: what one unit of each reading folds to
	const basis = new Float64Array(readingCount * fold.count);
	const unit = new Float64Array(readingCount);
	for (let r = 0; r < readingCount; r++) {
		if (even[r] === Infinity) continue;
		unit[r] = 1;
		foldInto(fold, unit, basis.subarray(r * fold.count, (r + 1) * fold.count));
		unit[r] = 0;
	}

	const misfit = new Float64Array(readingCount);
	const freedom = new Float64Array(readingCount);
	const ohm = new Float64Array(readingCount);
	const folded = new Float64Array(fold.count);
	let square = 0;
	let count = 0;
	for (const change of changes) {
		for (let r = 0; r < readingCount; r++) {
			ohm[r] = even[r] === Infinity ? 0 : change[r]! * ohmPerUnit[r]!;
			square += ohm[r]! ** 2;
		}
		foldInto(fold, ohm, folded);
		for (let r = 0; r < readingCount; r++) {
			if (even[r] === Infinity) continue;
			let fitted = 0;
			let leverage = 0;
			for (let i = 0; i < fold.count; i++) {
				const b = basis[r * fold.count + i]!;
				fitted += b * folded[i]!;
				leverage += b * b;
			}
			misfit[r]! += (ohm[r]! - fitted) ** 2;
			freedom[r]! += 1 - leverage;
			count++;
		}
	}
	const floor = square === 0 ? 1 : (MODEL_ERROR_SHARE ** 2 * square) / count;
	const mismatch = varianceByPairs(
		misfit,
		freedom,
		pairsOf(terminals, electrodeCount, 0),
		pairsOf(terminals, electrodeCount, 2),
	);
	return even.map((one, r) =>
		one === Infinity ? Infinity : Math.sqrt(mismatch[r]! + floor) / Math.abs(ohmPerUnit[r]!),
	);
}

const ROUNDS = 30;
const LEAST_FREEDOM = 1e-6;

/**
 * Squares of normal deviates whose variance is a sum of two parts, one by drive and one by pair: each round multiplies a
 * part by the mean of squares over variances of its readings, as for non-negative factors (Lee & Seung, Nature 401:788,
 * 1999).
 * @returns [nReadings] variance
 */
function varianceByPairs(
	misfit: Float64Array,
	freedom: Float64Array,
	driveOf: Uint32Array,
	pairOf: Uint32Array,
): Float64Array {
	const total = freedom.reduce((sum, f) => sum + f, 0);
	const start = total > LEAST_FREEDOM ? misfit.reduce((sum, m) => sum + m, 0) / total / 2 : 0;
	if (start === 0) return new Float64Array(misfit.length);
	const ways = [driveOf, pairOf].map((of) => {
		const count = of.reduce((most, i) => Math.max(most, i), 0) + 1;
		const weight = new Float64Array(count);
		for (let r = 0; r < of.length; r++) weight[of[r]!]! += freedom[r]!;
		return { of, weight, part: new Float64Array(count).fill(start), sum: new Float64Array(count) };
	});
	const variance = (r: number) => ways.reduce((sum, { of, part }) => sum + part[of[r]!]!, 0);
	for (let round = 0; round < ROUNDS; round++) {
		for (const { of, weight, part, sum } of ways) {
			sum.fill(0);
			for (let r = 0; r < misfit.length; r++) {
				const v = variance(r);
				if (v > 0) sum[of[r]!]! += misfit[r]! / v;
			}
			for (let i = 0; i < part.length; i++) if (weight[i]! > LEAST_FREEDOM) part[i]! *= sum[i]! / weight[i]!;
		}
	}
	return Float64Array.from(misfit.keys(), variance);
}

/** [nReadings] number of the pair of electrodes that each reading has at the given terminal and the next. */
function pairsOf(terminals: Uint16Array, electrodeCount: number, first: 0 | 2): Uint32Array {
	const numbers = new Map<number, number>();
	return Uint32Array.from({ length: terminals.length / 4 }, (_, r) => {
		const key = terminals[4 * r + first]! * electrodeCount + terminals[4 * r + first + 1]!;
		const number = numbers.get(key) ?? numbers.size;
		numbers.set(key, number);
		return number;
	});
}
