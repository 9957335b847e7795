/**
 * The region means of the last `capacity` frames, in memory made once. Sample numbers count from the first ever
 * pushed and stay valid until the sample is overwritten, so that a scrolling view can cut at the same places each time.
 */
export interface TrendRing {
	readonly regionCount: number;
	/** Samples are held from `first` (included) to `end`. */
	readonly first: number;
	readonly end: number;
	/** `means` [regionCount]; NaN is a gap. Seconds must not go back. Allocates nothing. */
	push(seconds: number, means: ArrayLike<number>): void;
	/** Ends every line at the last sample. */
	pushGap(): void;
	secondsAt(sample: number): number;
	valueAt(region: number, sample: number): number;
	/** Number of the first sample not before `seconds`; `end` when there is none. */
	sampleAt(seconds: number): number;
	clear(): void;
}

/** @throws RangeError unless both counts are positive integers. */
export function createTrendRing(regionCount: number, capacity: number): TrendRing {
	if (!(Number.isInteger(regionCount) && regionCount > 0)) throw new RangeError("trend ring: no regions");
	if (!(Number.isInteger(capacity) && capacity > 1)) throw new RangeError("trend ring: no capacity");
	const times = new Float64Array(capacity);
	// One run of `capacity` values per region: a line is drawn region by region.
	const values = new Float32Array(regionCount * capacity);
	let first = 0;
	let end = 0;

	function advance(seconds: number): number {
		const at = end % capacity;
		times[at] = seconds;
		end++;
		if (end - first > capacity) first = end - capacity;
		return at;
	}

	return {
		regionCount,
		get first() {
			return first;
		},
		get end() {
			return end;
		},
		push(seconds, means) {
			if (means.length !== regionCount) throw new RangeError("trend ring: wrong number of regions");
			const at = advance(seconds);
			for (let r = 0; r < regionCount; r++) values[r * capacity + at] = means[r]!;
		},
		pushGap() {
			if (end === first) return;
			const at = advance(times[(end - 1) % capacity]!);
			for (let r = 0; r < regionCount; r++) values[r * capacity + at] = Number.NaN;
		},
		secondsAt(sample) {
			return times[sample % capacity]!;
		},
		valueAt(region, sample) {
			return values[region * capacity + (sample % capacity)]!;
		},
		sampleAt(seconds) {
			let low = first;
			let high = end;
			while (low < high) {
				const middle = (low + high) >>> 1;
				if (times[middle % capacity]! < seconds) low = middle + 1;
				else high = middle;
			}
			return low;
		},
		clear() {
			first = end;
		},
	};
}
