import type { ReadingPattern } from "./band.ts";
import { type PairRule, pairOffset } from "./patterns.ts";

/**
 * - `within`: current flows between two electrodes of one band.
 * - `within-and-across`: that, and then from each electrode to the one at the same place of the next band, which sees
 *   the limb between two bands best.
 */
export type BandDrives = "within" | "within-and-across";

/**
 * The readings of one frame of several bands. Electrodes are numbered band by band.
 *
 * Every drive is read by all pairs of the first band, of the second and so on, but for pairs that it touches; pairs in
 * the order of their first electrode (`createPattern` starts at the drive instead). So two bands of 16 `adjacent`
 * electrodes give 32 · (13 + 16) = 928 readings. Drives go band by band, those across bands last.
 *
 * @param counts electrodes of each band
 * @throws RangeError when a band is too small for the rule, or bands to be driven across differ in their counts
 */
export function createBandsPattern(
	counts: readonly number[],
	rule: PairRule,
	drives: BandDrives = "within",
): ReadingPattern {
	const reading: PairRule = rule === "opposite" ? "adjacent" : rule;
	const firsts = counts.map((_, band) => counts.slice(0, band).reduce((sum, count) => sum + count, 0));
	const rows: number[] = [];
	const readAll = (source: number, sink: number, band: number): void => {
		const first = firsts[band]!;
		const count = counts[band]!;
		const offset = pairOffset(reading, count);
		const pairs = 2 * offset === count ? offset : count;
		for (let m = 0; m < pairs; m++) {
			const plus = first + m;
			const minus = first + ((m + offset) % count);
			if (plus === source || plus === sink || minus === source || minus === sink) continue;
			rows.push(source, sink, plus, minus);
		}
	};
	for (const [band, count] of counts.entries()) {
		const first = firsts[band]!;
		const offset = pairOffset(rule, count);
		const pairs = 2 * offset === count ? offset : count;
		for (let k = 0; k < pairs; k++)
			for (const other of counts.keys()) readAll(first + k, first + ((k + offset) % count), other);
	}
	if (drives === "within-and-across") {
		for (let band = 0; band + 1 < counts.length; band++) {
			if (counts[band] !== counts[band + 1])
				throw new RangeError(
					`pattern: bands ${band + 1} and ${band + 2} have ${counts[band]} and ${counts[band + 1]} electrodes; drives across need as many`,
				);
			for (let k = 0; k < counts[band]!; k++)
				for (const other of counts.keys()) readAll(firsts[band]! + k, firsts[band + 1]! + k, other);
		}
	}
	return {
		name: `${rule}/${reading}${drives === "within" ? "" : " and across"}, ${counts.length} bands`,
		electrodeCount: firsts.at(-1)! + counts.at(-1)!,
		terminals: Uint16Array.from(rows),
	};
}
