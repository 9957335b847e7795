import type { TrendRing } from "./trend-ring.ts";

/** What the plot is handed: [0] seconds, then one column per region; null is a gap, for the plot would draw a line
 *  through NaN. */
export type TrendColumns = [number[], ...(number | null)[][]];

export function createTrendColumns(regionCount: number): TrendColumns {
	return [[], ...Array.from({ length: regionCount }, () => [])];
}

/**
 * Fills `columns` with the samples from `from` to `to` (s), the seconds counted from `origin`. When there are more than
 * `limit`, runs of 2ⁿ samples are replaced by their two extremes in the order they came, so no peak is lost; runs begin
 * at multiples of their length, so a scrolling line keeps its shape. One sample beyond each end is included, so lines
 * reach the edges.
 */
export function fillColumns(
	columns: TrendColumns,
	ring: TrendRing,
	from: number,
	to: number,
	origin: number,
	limit: number,
): void {
	const begin = Math.max(ring.first, ring.sampleAt(from) - 1);
	const end = Math.min(ring.end, ring.sampleAt(to) + 1);
	let run = 1;
	while ((end - begin) / run > limit / (run === 1 ? 1 : 2)) run *= 2;
	const [seconds, ...lines] = columns;
	let rows = 0;
	for (let start = begin - (begin % run); start < end; start += run) {
		const low = Math.max(start, ring.first);
		const high = Math.min(start + run, ring.end) - 1;
		if (low > high) continue;
		seconds[rows] = ring.secondsAt(low) - origin;
		if (run > 1) seconds[rows + 1] = ring.secondsAt(high) - origin;
		for (let r = 0; r < lines.length; r++) {
			if (run === 1) lines[r]![rows] = orNull(ring.valueAt(r, low));
			else writeExtremes(lines[r]!, rows, ring, r, low, high);
		}
		rows += run === 1 ? 1 : 2;
	}
	for (const column of columns) column.length = rows;
}

function writeExtremes(
	line: (number | null)[],
	row: number,
	ring: TrendRing,
	region: number,
	low: number,
	high: number,
): void {
	let lowest = Number.NaN;
	let highest = Number.NaN;
	let lowestAt = low;
	let highestAt = low;
	for (let sample = low; sample <= high; sample++) {
		const value = ring.valueAt(region, sample);
		if (Number.isNaN(value)) continue;
		if (!(value >= lowest)) {
			lowest = value;
			lowestAt = sample;
		}
		if (!(value <= highest)) {
			highest = value;
			highestAt = sample;
		}
	}
	line[row] = orNull(lowestAt <= highestAt ? lowest : highest);
	line[row + 1] = orNull(lowestAt <= highestAt ? highest : lowest);
}

function orNull(value: number): number | null {
	return Number.isNaN(value) ? null : value;
}
