/** Time as the app sees it, so that tests can turn it. */
export interface Clock {
	/** ms since the epoch. */
	now(): number;
	/** @returns what ends it. */
	after(milliseconds: number, run: () => void): () => void;
	/** @returns what ends it. */
	every(milliseconds: number, run: () => void): () => void;
}

export const systemClock: Clock = {
	now: () => Date.now(),
	after(milliseconds, run) {
		const timer = setTimeout(run, milliseconds);
		return () => clearTimeout(timer);
	},
	every(milliseconds, run) {
		const timer = setInterval(run, milliseconds);
		return () => clearInterval(timer);
	},
};
