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
 * is left of each drive's readings after the least-squares fit of a reciprocal medium, divided by its degrees of
 * freedom, is that drive's variance; the model's own error is added.
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

	const driveOf = drivesOf(terminals, electrodeCount);
	const driveCount = Math.max(...driveOf) + 1;
	const misfit = new Float64Array(driveCount);
	const freedom = new Float64Array(driveCount);
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
			misfit[driveOf[r]!]! += (ohm[r]! - fitted) ** 2;
			freedom[driveOf[r]!]! += 1 - leverage;
			count++;
		}
	}
	const floor = square === 0 ? 1 : (MODEL_ERROR_SHARE ** 2 * square) / count;
	return even.map((one, r) => {
		if (one === Infinity) return Infinity;
		const drive = driveOf[r]!;
		const mismatch = freedom[drive]! > 1e-6 ? misfit[drive]! / freedom[drive]! : 0;
		return Math.sqrt(mismatch + floor) / Math.abs(ohmPerUnit[r]!);
	});
}

/** [nReadings] number of the drive that each reading belongs to. */
function drivesOf(terminals: Uint16Array, electrodeCount: number): Uint32Array {
	const numbers = new Map<number, number>();
	return Uint32Array.from({ length: terminals.length / 4 }, (_, r) => {
		const key = terminals[4 * r]! * electrodeCount + terminals[4 * r + 1]!;
		const number = numbers.get(key) ?? numbers.size;
		numbers.set(key, number);
		return number;
	});
}
