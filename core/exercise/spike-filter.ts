/** Keeps single spikes out of a signal: each sample becomes the middle one of itself and its neighbours, at the price of one
 *  sample's delay. Allocates nothing. */
export class SpikeFilter {
	#beforePrevious = Number.NaN;
	#previous = Number.NaN;
	#previousTime = Number.NaN;
	/** What the latest `add` or `flush` let through. */
	time = Number.NaN;
	value = Number.NaN;

	/** @returns whether a sample comes out */
	add(time: number, value: number): boolean {
		const isOut = !Number.isNaN(this.#previous);
		if (isOut) {
			this.time = this.#previousTime;
			this.value = Number.isNaN(this.#beforePrevious)
				? this.#previous
				: median(this.#beforePrevious, this.#previous, value);
		}
		this.#beforePrevious = this.#previous;
		this.#previous = value;
		this.#previousTime = time;
		return isOut;
	}

	/** Nothing follows: the last sample comes out as it is, and what comes next begins anew. @returns whether there is one */
	flush(): boolean {
		const isOut = !Number.isNaN(this.#previous);
		if (isOut) {
			this.time = this.#previousTime;
			this.value = this.#previous;
		}
		this.#previous = Number.NaN;
		this.#beforePrevious = Number.NaN;
		return isOut;
	}
}

function median(a: number, b: number, c: number): number {
	return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
