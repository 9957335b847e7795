/** A stream of seeded random numbers: the same seed gives the same stream on every machine. Generator sfc32 of
 *  C. Doty-Humphrey's PractRand, seeded by the finaliser of MurmurHash3 (A. Appleby); both in the public domain. */
export class Random {
	#a: number;
	#b: number;
	#c: number;
	#counter = 1;
	#spare = Number.NaN;

	/** `stream` tells apart what draws from the same seed, so that more noise does not change the exercises. */
	constructor(seed: number, stream: string) {
		let mixed = seed >>> 0;
		for (let i = 0; i < stream.length; i++) mixed = mix(mixed ^ (stream.charCodeAt(i) * 0x9e3779b1));
		this.#a = mixed;
		this.#b = mix(mixed + 1);
		this.#c = mix(mixed + 2);
		for (let i = 0; i < 12; i++) this.#next();
	}

	/** In [0, 1). */
	uniform(): number {
		return this.#next() / 2 ** 32;
	}

	/** In [least, most). */
	between(least: number, most: number): number {
		return least + (most - least) * this.uniform();
	}

	/** A whole number from 0 to `count` − 1. */
	below(count: number): number {
		return Math.floor(this.uniform() * count);
	}

	/** Standard normal, by Marsaglia's polar method (SIAM Rev. 6:260, 1964). */
	normal(): number {
		if (!Number.isNaN(this.#spare)) {
			const spare = this.#spare;
			this.#spare = Number.NaN;
			return spare;
		}
		for (;;) {
			const x = 2 * this.uniform() - 1;
			const y = 2 * this.uniform() - 1;
			const s = x * x + y * y;
			if (s >= 1 || s === 0) continue;
			const scale = Math.sqrt((-2 * Math.log(s)) / s);
			this.#spare = y * scale;
			return x * scale;
		}
	}

	#next(): number {
		const sum = (((this.#a + this.#b) | 0) + this.#counter) | 0;
		this.#counter = (this.#counter + 1) | 0;
		this.#a = this.#b ^ (this.#b >>> 9);
		this.#b = (this.#c + (this.#c << 3)) | 0;
		this.#c = ((this.#c << 21) | (this.#c >>> 11)) + sum;
		return sum >>> 0;
	}
}

function mix(value: number): number {
	let h = value | 0;
	h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
	h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
	return h ^ (h >>> 16);
}
