/** Numbers that look random and are the same for the same seed. */
export interface SeededRandom {
	/** Even over 0 ≤ x < 1. */
	next(): number;
	/** Even over low ≤ x < high. */
	between(low: number, high: number): number;
	/** Normal with mean 0 and standard deviation 1. */
	normal(): number;
	chance(share: number): boolean;
	pick<T>(choices: readonly T[]): T;
}

/** Mulberry32 (public domain, T. Ettinger), normal by Box & Muller, Ann. Math. Statist. 29:610, 1958. */
export function createSeededRandom(seed: number): SeededRandom {
	let state = seed | 0;
	const next = () => {
		state = (state + 0x6d2b79f5) | 0;
		let t = Math.imul(state ^ (state >>> 15), 1 | state);
		t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
		return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
	};
	return {
		next,
		between: (low, high) => low + (high - low) * next(),
		normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
		chance: (share) => next() < share,
		pick: (choices) => {
			if (choices.length === 0) throw new RangeError("pick: nothing to choose from");
			return choices[Math.floor(next() * choices.length)]!;
		},
	};
}
