const pausesMs = [250, 500, 1000, 2000, 4000, 5000] as const;

/** How long to wait, ms, before a lost connection is tried again for the time of that number, from 0. */
export function reconnectPause(attempt: number): number {
	return pausesMs[Math.min(attempt, pausesMs.length - 1)]!;
}
