import type { Trends } from "../contract.ts";

/** Region means over time as columns that grow; a row of NaN is a gap. */
export interface TrendLog {
	readonly rows: number;
	/** Copies `means` [nRegions]. `seconds` must not run backwards. */
	append(seconds: number, means: Float32Array, afterGap: boolean): void;
	/** At most about `points` rows of the last `seconds`; see `thin`. */
	last(seconds: number, points: number): Trends;
}

type Regions = Trends["regions"];

const FIRST_CAPACITY = 4096;

/** Keeps at least `keepSeconds`; what is older goes in one move when the space is used up. */
export function createTrendLog(regions: Regions, keepSeconds: number): TrendLog {
	const nRegions = regions.length;
	let capacity = FIRST_CAPACITY;
	let times = new Float64Array(capacity);
	let means = new Float32Array(capacity * nRegions);
	let rows = 0;

	function makeRoom(): void {
		if (rows < capacity) return;
		const from = rowAt(times, rows, times[rows - 1]! - keepSeconds);
		// Moving less than half would come round again too soon.
		if (from < rows / 2) capacity *= 2;
		const nextTimes = new Float64Array(capacity);
		const nextMeans = new Float32Array(capacity * nRegions);
		nextTimes.set(times.subarray(from, rows));
		nextMeans.set(means.subarray(from * nRegions, rows * nRegions));
		rows -= from;
		times = nextTimes;
		means = nextMeans;
	}

	return {
		get rows() {
			return rows;
		},
		append(seconds, values, afterGap) {
			if (values.length !== nRegions)
				throw new RangeError(`trend log: ${values.length} of ${nRegions} regions`);
			if (afterGap && rows > 0) {
				makeRoom();
				times[rows] = (times[rows - 1]! + seconds) / 2;
				means.fill(Number.NaN, rows * nRegions, (rows + 1) * nRegions);
				rows++;
			}
			makeRoom();
			times[rows] = seconds;
			means.set(values, rows * nRegions);
			rows++;
		},
		last(seconds, points) {
			const from = rows === 0 ? 0 : rowAt(times, rows, times[rows - 1]! - seconds);
			return thin(
				regions,
				times.subarray(from, rows),
				means.subarray(from * nRegions, rows * nRegions),
				points,
			);
		},
	};
}

/** First of the `rows` rows at or after `seconds`. */
function rowAt(times: Float64Array, rows: number, seconds: number): number {
	let low = 0;
	let high = rows;
	while (low < high) {
		const middle = (low + high) >> 1;
		if (times[middle]! < seconds) low = middle + 1;
		else high = middle;
	}
	return low;
}

/**
 * At most about `points` rows: where there are more, runs of equal length become two rows that hold each region's
 * lowest and highest value in the order in which they came, so that no peak is lost. Gaps stay gaps.
 *
 * @param seconds [nRows] ascending
 * @param means [nRows × nRegions] row-major; NaN is a gap
 */
export function thin(regions: Regions, seconds: Float64Array, means: Float32Array, points: number): Trends {
	const nRows = seconds.length;
	const nRegions = regions.length;
	const run = nRows <= points ? 1 : Math.ceil((2 * nRows) / points);
	const columns = { seconds: [] as number[], values: regions.map(() => [] as (number | null)[]) };
	for (let start = 0; start < nRows; start += run) {
		const end = Math.min(start + run, nRows);
		if (end - start === 1) {
			columns.seconds.push(seconds[start]!);
			for (let region = 0; region < nRegions; region++) {
				columns.values[region]!.push(numberOrNull(means[start * nRegions + region]!));
			}
			continue;
		}
		columns.seconds.push(seconds[start]!, seconds[end - 1]!);
		let hasGap = false;
		for (let region = 0; region < nRegions; region++) {
			let low = start;
			let high = start;
			for (let row = start; row < end; row++) {
				const value = means[row * nRegions + region]!;
				if (Number.isNaN(value)) hasGap = true;
				// Written so that a NaN at `start` gives way to the first number.
				if (!(means[low * nRegions + region]! <= value)) low = Number.isNaN(value) ? low : row;
				if (!(means[high * nRegions + region]! >= value)) high = Number.isNaN(value) ? high : row;
			}
			const first = Math.min(low, high);
			const second = Math.max(low, high);
			columns.values[region]!.push(
				numberOrNull(means[first * nRegions + region]!),
				numberOrNull(means[second * nRegions + region]!),
			);
		}
		if (hasGap) {
			columns.seconds.push(seconds[end - 1]!);
			for (const column of columns.values) column.push(null);
		}
	}
	return { regions, ...columns };
}

function numberOrNull(value: number): number | null {
	return Number.isNaN(value) ? null : value;
}
