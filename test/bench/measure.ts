/** Speed on a machine that others use too. Rows that compare count processor time, which others cannot take, let the two
 *  sides take turns and keep the best turn of each; rows about waiting count time on the wall. */

export interface Timing {
	/** µs */
	readonly median: number;
	/** µs, 10th percentile */
	readonly p10: number;
	readonly runs: number;
}

/** Shorter work is run several times for one reading of the clock. */
const LEAST_MICROS = 500;

/** Processor time of `work`, all threads of the process together: what helps it is counted, too. Runs until `seconds` are
 *  over, at least 20 times, after a warm-up of a tenth of that. */
export function time(work: () => void, seconds = 1): Timing {
	const warm = run(work, seconds / 10, 5, 1);
	const each = Math.max(1, Math.ceil(LEAST_MICROS / Math.max(1, Math.min(...warm))));
	return summarise(run(work, seconds, 20, each));
}

function run(work: () => void, seconds: number, least: number, each: number): number[] {
	const micros: number[] = [];
	const end = performance.now() + 1000 * seconds;
	while (performance.now() < end || micros.length < least) {
		const began = processorMicros();
		for (let i = 0; i < each; i++) work();
		micros.push((processorMicros() - began) / each);
	}
	return micros;
}

/** µs of processor time that this process has used. */
export function processorMicros(): number {
	const { user, system } = process.cpuUsage();
	return user + system;
}

export interface Comparison {
	/** µs, least of all turns */
	readonly ours: number;
	/** µs; null where it could not be run */
	readonly yardstick: number | null;
	/** `ours` by `yardstick` */
	readonly ratio: number | null;
}

/** Takes turns. @param ours, yardstick µs of one turn, each */
export function compare(ours: () => number, yardstick: () => number | null, turns = 3): Comparison {
	let least = Number.POSITIVE_INFINITY;
	let leastYardstick = Number.POSITIVE_INFINITY;
	for (let turn = 0; turn < turns; turn++) {
		least = Math.min(least, ours());
		const other = yardstick();
		if (other === null) return { ours: least, yardstick: null, ratio: null };
		leastYardstick = Math.min(leastYardstick, other);
	}
	return { ours: least, yardstick: leastYardstick, ratio: Number((least / leastYardstick).toFixed(3)) };
}

export interface Judged {
	readonly value: number | null;
	readonly limit: number;
	/** Null where there is nothing to judge. */
	readonly passes: boolean | null;
}

/** A figure beside the most that it may be. */
export function atMost(limit: number, value: number | null): Judged {
	return { value, limit, passes: value === null ? null : value <= limit };
}

export function summarise(micros: readonly number[]): Timing {
	const sorted = [...micros].sort((a, b) => a - b);
	return { median: quantile(sorted, 0.5), p10: quantile(sorted, 0.1), runs: sorted.length };
}

/** @param sorted ascending, not empty */
export function quantile(sorted: readonly number[], share: number): number {
	const at = Math.min(sorted.length - 1, Math.floor(share * sorted.length));
	return rounded(sorted[at]!, 4);
}

export function rounded(value: number, digits = 3): number {
	return Number(value.toPrecision(digits));
}
