import type { TrendColumns } from "./records.ts";

/** Finds a frame's region means. */
export interface TrendLookup {
	/** The series that frame `ordinal` has region means in; null for none. */
	seriesOf(ordinal: number): TrendColumns | null;
	/** Mean of one region of that series; NaN where there is none. */
	mean(ordinal: number, regionIndex: number): number;
}

export function createTrendLookup(frameCount: number, trends: readonly TrendColumns[]): TrendLookup {
	const NONE = -1;
	const seriesAt = new Int16Array(frameCount).fill(NONE);
	const rowAt = new Int32Array(frameCount);
	trends.forEach((columns, series) => {
		columns.ordinals.forEach((ordinal, row) => {
			if (ordinal >= frameCount) return;
			seriesAt[ordinal] = series;
			rowAt[ordinal] = row;
		});
	});

	function seriesOf(ordinal: number): TrendColumns | null {
		return trends[seriesAt[ordinal] ?? NONE] ?? null;
	}

	return {
		seriesOf,
		mean(ordinal, regionIndex) {
			const columns = seriesOf(ordinal);
			if (columns === null) return Number.NaN;
			return columns.means[rowAt[ordinal]! * columns.series.regions.length + regionIndex] ?? Number.NaN;
		},
	};
}
