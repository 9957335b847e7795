import type { TrendColumns } from "../store/records.ts";

export interface TrendRows {
	/** [n] s since the session's first frame. */
	readonly seconds: Float64Array;
	/** [n × nRegions] row-major; a row of NaN is a gap. */
	readonly means: Float32Array;
}

const GAP_SECONDS = 1;

/** Series one after another, with a gap wherever a second or more has no means. */
export function joinTrends(parts: readonly TrendColumns[], nRegions: number): TrendRows {
	const seconds: number[] = [];
	const means: number[] = [];
	for (const part of parts) {
		for (let row = 0; row < part.seconds.length; row++) {
			const at = part.seconds[row]!;
			const last = seconds.at(-1);
			if (last !== undefined && at - last > GAP_SECONDS) {
				seconds.push((at + last) / 2);
				for (let region = 0; region < nRegions; region++) means.push(Number.NaN);
			}
			seconds.push(at);
			for (let region = 0; region < nRegions; region++) means.push(part.means[row * nRegions + region]!);
		}
	}
	return { seconds: Float64Array.from(seconds), means: Float32Array.from(means) };
}
