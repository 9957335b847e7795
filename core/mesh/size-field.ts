/**
 * Wanted edge length as a function of place: at each source its own size, growing with distance at a fixed rate,
 * capped. Being a minimum of cones it changes by no more than the rate anywhere.
 */
export class SizeField {
	readonly #growth: number;
	readonly #largest: number;
	#x = new Float64Array(256);
	#y = new Float64Array(256);
	#size = new Float64Array(256);
	#count = 0;

	/** @param growth change of size per metre; @param largest size far from every source, m */
	constructor(growth: number, largest: number) {
		this.#growth = growth;
		this.#largest = largest;
	}

	add(x: number, y: number, size: number): void {
		if (this.#count === this.#x.length) {
			const larger = (old: Float64Array) => {
				const made = new Float64Array(2 * old.length);
				made.set(old);
				return made;
			};
			this.#x = larger(this.#x);
			this.#y = larger(this.#y);
			this.#size = larger(this.#size);
		}
		this.#x[this.#count] = x;
		this.#y[this.#count] = y;
		this.#size[this.#count++] = size;
	}

	/** Wanted edge length at a point, m. */
	at(x: number, y: number): number {
		let least = this.#largest;
		const growth = this.#growth;
		for (let i = 0; i < this.#count; i++) {
			const room = least - this.#size[i]!;
			if (room <= 0) continue;
			const dx = x - this.#x[i]!;
			const dy = y - this.#y[i]!;
			const square = growth * growth * (dx * dx + dy * dy);
			if (square < room * room) least = this.#size[i]! + Math.sqrt(square);
		}
		return least;
	}
}
