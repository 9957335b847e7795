/** Records of different bands may be sent a little out of order; more than this backwards is another clock. */
const disorderMicros = 1_000_000;

/**
 * Unwraps the board's 32-bit µs counter, which starts again at 0 every 71 min 35 s, into a count that never runs
 * backwards over a restart. A step of less than half the range is taken as forward: a board tells its status every
 * second, so half an hour of silence means that the link is gone and `restart` has been called. Allocates nothing.
 */
export class DeviceClock {
	/** Latest unwrapped time, µs. */
	#latest = 0;
	#latestRaw = -1;

	/** Whether `raw` can only come from a clock that was started afresh. */
	ranBackwards(raw: number): boolean {
		return this.#latestRaw >= 0 && ((raw - this.#latestRaw) | 0) < -disorderMicros;
	}

	/** Unwrapped time of a record, µs; call `ranBackwards` before and `restart` if it did. */
	unwrap(raw: number): number {
		if (this.#latestRaw < 0) {
			// The first reading starts the count; after a restart the count goes on from where it was.
			if (this.#latest === 0) this.#latest = raw;
			this.#latestRaw = raw;
			return this.#latest;
		}
		const step = (raw - this.#latestRaw) | 0;
		const time = this.#latest + step;
		if (step > 0) {
			this.#latest = time;
			this.#latestRaw = raw;
		}
		return Math.max(0, time);
	}

	/** The board's clock starts afresh, `elapsedMicros` after its latest record. */
	restart(elapsedMicros: number): void {
		if (this.#latestRaw >= 0) this.#latest += Math.max(1, Math.round(elapsedMicros));
		this.#latestRaw = -1;
	}
}
