/** Frames and losses over the last seconds, from the times at which frames arrived. */
export interface RateMeter {
	/** `at` in ms on any clock; where it is set back, the window begins anew. `lost` frames were missing just before this one. */
	count(at: number, lost: number): void;
	/** Frames per second over the window that ends at `now`; 0 when none arrived in it. */
	framesPerSecond(now: number): number;
	/** Share of the frames in the window that were lost, 0 to 1. */
	lostShare(now: number): number;
	clear(): void;
}

/** Counts in slots of a tenth of the window, so that nothing grows with the rate. */
export function createRateMeter(windowMilliseconds: number): RateMeter {
	const SLOTS = 10;
	const slotLength = windowMilliseconds / SLOTS;
	// One slot more than the window holds: the newest is not full yet.
	const good = new Uint32Array(SLOTS + 1);
	const lost = new Uint32Array(SLOTS + 1);
	let newest = Number.NEGATIVE_INFINITY;
	let first = Number.NaN;

	function clear(): void {
		good.fill(0);
		lost.fill(0);
		newest = Number.NEGATIVE_INFINITY;
		first = Number.NaN;
	}

	function advance(at: number): number {
		const slot = Math.floor(at / slotLength);
		if (slot < newest) clear();
		if (slot - newest > SLOTS) {
			good.fill(0);
			lost.fill(0);
			newest = slot;
		}
		while (newest < slot) {
			newest++;
			good[newest % (SLOTS + 1)] = 0;
			lost[newest % (SLOTS + 1)] = 0;
		}
		return slot % (SLOTS + 1);
	}

	return {
		count(at, lostBefore) {
			const slot = advance(at);
			if (Number.isNaN(first)) first = at;
			good[slot] = good[slot]! + 1;
			lost[slot] = lost[slot]! + lostBefore;
		},
		framesPerSecond(now) {
			advance(now);
			const frames = total(good);
			if (frames === 0) return 0;
			// The window's oldest slot is whole, its newest only as old as `now` says.
			const spanned = SLOTS * slotLength + (now - newest * slotLength);
			return (1000 * frames) / Math.max(Math.min(spanned, now - first), slotLength);
		},
		lostShare(now) {
			advance(now);
			const missing = total(lost);
			return missing === 0 ? 0 : missing / (missing + total(good));
		},
		clear,
	};
}

function total(counts: Uint32Array): number {
	let sum = 0;
	for (let i = 0; i < counts.length; i++) sum += counts[i]!;
	return sum;
}
