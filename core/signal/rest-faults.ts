import type { ReadingPattern } from "../band/band.ts";
import { findReciprocalPairs } from "../band/reciprocity.ts";

/** Most pairs of an electrode beyond 5 % make it suspect (common practice, no source); a board that is that far off as a
 *  whole is measured against itself. */
const SUSPECT_SHARE = 0.05;
const TYPICAL_TIMES = 4;
/** A failing electrode spoils half of its neighbours' readings, too, but not three quarters. */
const SPOILED = 0.25;

/**
 * Electrodes, from 0, that were failing while rest was taken: their readings change when driving and reading are swapped.
 * Those of contacts that are off and of missing readings are known by other signs.
 *
 * @param median [nReadings] readings at rest
 */
export function electrodesOffAtRest(pattern: ReadingPattern, median: Float64Array): number[] {
	const { terminals, electrodeCount } = pattern;
	const pairs = findReciprocalPairs(pattern);
	const errors: { readonly error: number; readonly electrodes: ReadonlySet<number> }[] = [];
	for (let p = 0; p < pairs.count; p++) {
		const a = pairs.first[p]!;
		const one = median[a]!;
		const other = pairs.sign[p]! * median[pairs.second[p]!]!;
		const size = (Math.abs(one) + Math.abs(other)) / 2;
		if (size > 0)
			errors.push({
				error: Math.abs(one - other) / size,
				electrodes: new Set(terminals.subarray(4 * a, 4 * a + 4)),
			});
	}
	const least = Math.max(SUSPECT_SHARE, TYPICAL_TIMES * quantile(errors, 0.5));
	const found: number[] = [];
	for (let round = 0; round < electrodeCount / 2; round++) {
		let worst = -1;
		let largest = least;
		for (let e = 0; e < electrodeCount; e++) {
			const own = errors.filter(
				({ electrodes }) => electrodes.has(e) && !found.some((other) => electrodes.has(other)),
			);
			const error = found.includes(e) ? 0 : quantile(own, SPOILED);
			if (error > largest) {
				largest = error;
				worst = e;
			}
		}
		if (worst < 0) break;
		found.push(worst);
	}
	return found;
}

function quantile(errors: readonly { readonly error: number }[], share: number): number {
	const sorted = errors.map(({ error }) => error).sort((a, b) => a - b);
	return sorted[Math.floor(share * (sorted.length - 1))] ?? 0;
}
