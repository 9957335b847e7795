/** Which regions change most just now: their names stand out in the picture, so that nobody needs the trend to tell. */
export interface WorkingRegions {
	/** [nTrendRegions] 1 where it stands out. */
	readonly isWorking: Uint8Array;
	/** @param means [nTrendRegions] of the newest picture
	 *  @param range end of the colour scale, in the same unit
	 *  @returns whether another region stands out now. Allocates nothing. */
	update(means: Float32Array, range: number): boolean;
}

/** Begins at this share of the largest mean, and ends below the lower one: names must not flicker. */
const BEGINS = 0.6;
const ENDS = 0.4;
/** The least share of the colour scale's end: what is as pale as rest stands out nowhere. */
const LEAST = 0.2;
const LEAST_TO_STAY = 0.12;
/** Times a region's noise at rest. */
const NOISE_TIMES = 6;

/** @param noise [nTrendRegions] standard deviation of each mean at rest; null where it is not known */
export function createWorkingRegions(noise: readonly (number | null)[]): WorkingRegions {
	const isWorking = new Uint8Array(noise.length);
	const floor = Float64Array.from(noise, (deviation) => NOISE_TIMES * (deviation ?? 0));
	return {
		isWorking,
		update(means, range) {
			let largest = 0;
			for (let i = 0; i < isWorking.length; i++) largest = Math.max(largest, Math.abs(means[i]!));
			let isOther = false;
			for (let i = 0; i < isWorking.length; i++) {
				const size = Math.abs(means[i]!);
				const stays = isWorking[i] === 1;
				const least = Math.max((stays ? ENDS : BEGINS) * largest, (stays ? LEAST_TO_STAY : LEAST) * range);
				const next = size >= least && size > floor[i]! ? 1 : 0;
				if (next !== isWorking[i]) {
					isWorking[i] = next;
					isOther = true;
				}
			}
			return isOther;
		},
	};
}
