import type { Clock } from "../../app/session/clock.ts";

/** A clock that the test turns. */
export interface FakeClock extends Clock {
	/** Runs what falls due within so many ms, in order. */
	turn(milliseconds: number): void;
	/** The computer's clock is set: nothing falls due by it. */
	set(milliseconds: number): void;
	readonly waiting: number;
}

interface Timer {
	due: number;
	readonly every: number | null;
	readonly run: () => void;
}

export function createFakeClock(start = Date.UTC(2026, 2, 1, 9, 0, 0)): FakeClock {
	const timers = new Set<Timer>();
	let now = start;

	function add(milliseconds: number, every: number | null, run: () => void): () => void {
		const timer = { due: now + milliseconds, every, run };
		timers.add(timer);
		return () => timers.delete(timer);
	}

	return {
		now: () => now,
		after: (milliseconds, run) => add(milliseconds, null, run),
		every: (milliseconds, run) => add(milliseconds, milliseconds, run),
		turn(milliseconds) {
			const until = now + milliseconds;
			for (;;) {
				let next: Timer | null = null;
				for (const timer of timers) {
					if (timer.due <= until && (next === null || timer.due < next.due)) next = timer;
				}
				if (next === null) break;
				now = Math.max(now, next.due);
				if (next.every === null) timers.delete(next);
				else next.due += next.every;
				next.run();
			}
			now = until;
		},
		set(milliseconds) {
			now += milliseconds;
			for (const timer of timers) timer.due += milliseconds;
		},
		get waiting() {
			return timers.size;
		},
	};
}
