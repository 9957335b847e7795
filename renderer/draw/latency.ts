/** How long pictures took from the last byte of their frame to the screen: kept for the bench and for "About". */
export interface LatencyLog {
	/** Number of pictures drawn since the page was opened. */
	readonly count: number;
	record(milliseconds: number): void;
	/** Oldest first, ms, at most `capacity`. */
	recent(): Float64Array;
	/** ms, nearest rank (0.5 is the median); NaN while nothing is recorded. */
	quantile(share: number): number;
	clear(): void;
}

export function createLatencyLog(capacity: number): LatencyLog {
	const values = new Float64Array(capacity);
	let count = 0;

	function recent(): Float64Array {
		const held = Math.min(count, capacity);
		const copy = new Float64Array(held);
		for (let i = 0; i < held; i++) copy[i] = values[(count - held + i) % capacity]!;
		return copy;
	}

	return {
		get count() {
			return count;
		},
		record(milliseconds) {
			values[count % capacity] = milliseconds;
			count++;
		},
		recent,
		quantile(share) {
			const sorted = recent().sort();
			return (
				sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(share * sorted.length) - 1))] ?? Number.NaN
			);
		},
		clear() {
			count = 0;
		},
	};
}
