/** Speed on a machine that others use too: the variants of one row take turns, and a row gives the median and the
 *  lower decile of each, so that one disturbed moment changes nothing. */

export interface Timing {
	/** µs */
	readonly median: number;
	/** µs, 10th percentile */
	readonly p10: number;
	readonly runs: number;
}

/** Runs `work` until `seconds` are over, at least 20 times, after a warm-up of a tenth of that. */
export function time(work: () => void, seconds = 1): Timing {
	run(work, seconds / 10, 5);
	return summarise(run(work, seconds, 20));
}

function run(work: () => void, seconds: number, least: number): number[] {
	const micros: number[] = [];
	const end = performance.now() + 1000 * seconds;
	while (performance.now() < end || micros.length < least) {
		const began = performance.now();
		work();
		micros.push(1000 * (performance.now() - began));
	}
	return micros;
}

export function summarise(micros: readonly number[]): Timing {
	const sorted = [...micros].sort((a, b) => a - b);
	return { median: quantile(sorted, 0.5), p10: quantile(sorted, 0.1), runs: sorted.length };
}

/** @param sorted ascending, not empty */
export function quantile(sorted: readonly number[], share: number): number {
	const at = Math.min(sorted.length - 1, Math.floor(share * sorted.length));
	return Number(sorted[at]!.toPrecision(4));
}
