/** Below this many standard deviations at rest a change is not told from noise (common practice, no source). */
const DETECTION_TIMES = 3;

export interface RegionChange {
	readonly trend: number;
	readonly change: number;
}

/** Regions whose means are told from noise, those that change most first.
 *  @param means [trends], null where unknown @param noise [trends] standard deviations at rest; empty where unknown */
export function changesMost(means: readonly (number | null)[], noise: readonly number[]): RegionChange[] {
	return means
		.flatMap((change, trend) => (change === null ? [] : [{ trend, change }]))
		.filter(({ trend, change }) => Math.abs(change) >= DETECTION_TIMES * (noise[trend] ?? 0))
		.sort((a, b) => Math.abs(b.change) - Math.abs(a.change));
}
