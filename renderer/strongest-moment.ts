/** Where a recording without sets has most to show. */
import type { Trends } from "../app/contract.ts";

/** Time of the largest change of any region, s; null where nothing was followed. */
export function strongestMoment({ seconds, values }: Trends): number | null {
	let at: number | null = null;
	let largest = 0;
	for (const region of values) {
		for (const [i, value] of region.entries()) {
			if (value === null || Math.abs(value) <= largest) continue;
			largest = Math.abs(value);
			at = seconds[i] ?? null;
		}
	}
	return at;
}
