/** Successive numbers in (−1, 1). */
export type Jitter = () => number;

/** Always 0 without a variant; with one, a stream of its own that is the same on every machine (a counter mixed by
 *  the finaliser of MurmurHash3, A. Appleby, public domain). */
export function createJitter(variant: number | undefined): Jitter {
	if (variant === undefined) return () => 0;
	let counter = Math.imul(variant | 0, 0x9e3779b1);
	return () => {
		counter = (counter + 0x6d2b79f5) | 0;
		let h = counter;
		h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
		h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
		return (h ^ (h >>> 16)) / 2 ** 31;
	};
}
