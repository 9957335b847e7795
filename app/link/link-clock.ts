/** The time as a link sees it, passed in so that tests can turn it. */
export interface LinkClock {
	/** ms since the epoch, with fractions; for what is stored and measured against the page. */
	now(): number;
	/** ms, never set back. */
	monotonic(): number;
	/** Calls once after `delayMs`. @returns what cancels it, harmless when it has happened. */
	after(delayMs: number, call: () => void): () => void;
}

export const systemClock: LinkClock = {
	now: () => performance.timeOrigin + performance.now(),
	monotonic: () => performance.now(),
	after(delayMs, call) {
		const timer = setTimeout(call, delayMs);
		return () => clearTimeout(timer);
	},
};
