/** The time as a link sees it, passed in so that tests can turn it. */
export interface LinkClock {
	/** ms since the epoch, with fractions; for what is stored and measured against the page. */
	now(): number;
	/** ms, never set back. */
	monotonic(): number;
	/** Calls once after `delayMs`. @returns what cancels it, harmless when it has happened. */
	after(delayMs: number, call: () => void): () => void;
}

/** A difference below this is a correction of the computer's clock, not a sleep. */
const shortestSleepMs = 2000;

/**
 * The counter that timers go by stands still while a Linux or Mac computer sleeps, the time of day does not: what that
 * went on alone is added, so that a sleep shows as time that has passed. (A clock that somebody sets ahead looks the
 * same; all that comes of it is that the board is asked anew.)
 *
 * @param running ms of a counter that is never set back
 * @param timeOfDay ms since the epoch
 * @param zero the time of day at the counter's zero
 */
export function createLinkClock(
	running: () => number,
	timeOfDay: () => number,
	zero: number,
): Pick<LinkClock, "now" | "monotonic"> {
	let asleep = 0;
	let setBack = 0;
	const followed = (): number => {
		const count = running();
		const ahead = timeOfDay() - (zero - setBack + count + asleep);
		if (ahead > shortestSleepMs) asleep += ahead;
		else if (ahead < -shortestSleepMs) setBack -= ahead;
		return count + asleep;
	};
	return { now: () => followed() + zero - setBack, monotonic: followed };
}

export const systemClock: LinkClock = {
	...createLinkClock(() => performance.now(), Date.now, performance.timeOrigin),
	after(delayMs, call) {
		const timer = setTimeout(call, delayMs);
		return () => clearTimeout(timer);
	},
};
