/** Region means of a set with their times, kept so that co-contraction and ratios can be computed when the counter has
 *  found its repetitions. Grows by doubling and keeps its capacity. */
export class SetTraces {
	readonly #nRegions: number;
	#times = new Float64Array(2048);
	/** [region][capacity] */
	#columns: Float64Array[];
	#begin = 0;
	#count = 0;

	constructor(nRegions: number) {
		this.#nRegions = nRegions;
		this.#columns = Array.from({ length: nRegions }, () => new Float64Array(2048));
	}

	/** @throws RangeError on the number of regions */
	add(time: number, means: ArrayLike<number>): void {
		if (means.length !== this.#nRegions) {
			throw new RangeError(`set traces: ${this.#nRegions} regions were expected`);
		}
		if (this.#count === this.#times.length) this.#makeRoom();
		this.#times[this.#count] = time;
		for (let i = 0; i < this.#nRegions; i++) this.#columns[i]![this.#count] = means[i]!;
		this.#count++;
	}

	/** What came before `time` is not needed any more. */
	keepFrom(time: number): void {
		this.#begin = this.#indexOf(time);
	}

	clear(): void {
		this.#begin = 0;
		this.#count = 0;
	}

	/** View, valid until the next call of `add` or `clear`; so are the others. */
	times(): Float64Array {
		return this.#times.subarray(this.#begin, this.#count);
	}

	values(region: number): Float64Array {
		return this.#columns[region]!.subarray(this.#begin, this.#count);
	}

	valuesFrom(region: number, time: number): Float64Array {
		return this.#columns[region]!.subarray(this.#indexOf(time), this.#count);
	}

	#indexOf(time: number): number {
		let index = this.#count;
		while (index > this.#begin && this.#times[index - 1]! >= time) index--;
		return index;
	}

	#makeRoom(): void {
		const grow = (column: Float64Array) => {
			const larger = new Float64Array(2 * column.length);
			larger.set(column);
			return larger;
		};
		this.#times = grow(this.#times);
		this.#columns = this.#columns.map(grow);
	}
}
