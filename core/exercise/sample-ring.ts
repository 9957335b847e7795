/**
 * The newest samples of one signal with their times. Index 0 is the first sample ever added and numbers go on rising;
 * samples older than the capacity are gone. Allocates only when made.
 */
export class SampleRing {
	readonly capacity: number;
	readonly #times: Float64Array;
	readonly #values: Float64Array;
	readonly #mask: number;
	/** One past the newest. */
	end = 0;

	/** @throws RangeError unless `capacity` is a power of two */
	constructor(capacity: number) {
		if (!Number.isInteger(Math.log2(capacity))) {
			throw new RangeError(`sample ring: the capacity must be a power of two, got ${capacity}`);
		}
		this.capacity = capacity;
		this.#times = new Float64Array(capacity);
		this.#values = new Float64Array(capacity);
		this.#mask = capacity - 1;
	}

	/** The oldest sample that is still here. */
	get begin(): number {
		return Math.max(0, this.end - this.capacity);
	}

	push(time: number, value: number): void {
		this.#times[this.end & this.#mask] = time;
		this.#values[this.end & this.#mask] = value;
		this.end++;
	}

	timeAt(index: number): number {
		return this.#times[index & this.#mask]!;
	}

	valueAt(index: number): number {
		return this.#values[index & this.#mask]!;
	}

	/** Index of the first sample at or after `time`, `end` if there is none. */
	firstAtOrAfter(time: number): number {
		let low = this.begin;
		let high = this.end;
		while (low < high) {
			const middle = (low + high) >> 1;
			if (this.timeAt(middle) < time) low = middle + 1;
			else high = middle;
		}
		return low;
	}

	/** Mean of the samples within `seconds` up to and including `index`. */
	meanUpTo(index: number, seconds: number): number {
		const from = this.timeAt(index) - seconds;
		let sum = 0;
		let n = 0;
		for (let i = index; i >= this.begin && this.timeAt(i) > from; i--) {
			sum += this.valueAt(i);
			n++;
		}
		return sum / n;
	}
}
