/** Round values for an axis. */
import { coarseSteps, stepAtLeast } from "./auto-range.ts";

/** About `count` ticks at round values from at most `low` to at least `high`; ends are ticks. @throws RangeError unless
 *  `high` is above `low`. */
export function axisTicks(low: number, high: number, count: number): number[] {
	if (!(high > low)) throw new RangeError("axis: the upper end must be above the lower");
	const step = stepAtLeast((high - low) / count, coarseSteps);
	// The tolerance keeps 0.3 / 0.1 from becoming three steps and a bit.
	const first = Math.floor(low / step + 1e-9);
	const last = Math.ceil(high / step - 1e-9);
	return Array.from({ length: last - first + 1 }, (_, i) => rounded((first + i) * step, step));
}

/** Days at which a new week begins, counted from day 0, thinned to at most `most`: every 1, 2, 4, 8 … weeks. */
export function weekTicks(lastDay: number, most: number): number[] {
	let weeks = 1;
	while (Math.floor(lastDay / (7 * weeks)) + 1 > most) weeks *= 2;
	return Array.from({ length: Math.floor(lastDay / (7 * weeks)) + 1 }, (_, i) => 7 * weeks * i);
}

/** Without the digits that binary fractions add. */
function rounded(value: number, step: number): number {
	const decimals = Math.max(0, -Math.floor(Math.log10(step)));
	return Number(value.toFixed(Math.min(100, decimals)));
}
