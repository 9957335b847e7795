const BINS_PER_OCTAVE = 8;
const OCTAVES = 48;
/** 2⁻³² (a quarter of a nanosiemens a metre) to 2¹⁶: what lies beyond counts in the end bins. */
const LOWEST_OCTAVE = -32;
const bins = new Uint32Array(BINS_PER_OCTAVE * OCTAVES);

/**
 * The magnitude that all but a `share` of the values stay below, to within one bin (9 %, rounded up). A few nodes right
 * at an electrode hold far larger values than the rest, so the largest magnitude alone would dim the whole picture.
 * NaN counts as nothing. Allocates nothing.
 */
export function magnitudeBelow(values: Float32Array, share: number): number {
	bins.fill(0);
	let counted = 0;
	for (let i = 0; i < values.length; i++) {
		const size = Math.abs(values[i]!);
		if (!(size > 0 && size < Infinity)) continue;
		const bin = Math.floor(BINS_PER_OCTAVE * (Math.log2(size) - LOWEST_OCTAVE));
		bins[Math.max(0, Math.min(bins.length - 1, bin))]!++;
		counted++;
	}
	if (counted === 0) return 0;
	let above = 0;
	let bin = bins.length - 1;
	for (; bin > 0; bin--) {
		above += bins[bin]!;
		if (above > share * values.length) break;
	}
	return 2 ** ((bin + 1) / BINS_PER_OCTAVE + LOWEST_OCTAVE);
}
