/**
 * Readings that carry the same information, brought together before anything else is computed.
 *
 * The transfer resistance of a drive and a reading pair does not change when the two are swapped or turned
 * around, so reciprocal and repeated readings have equal (or opposite) rows of the sensitivity matrix. Replacing
 * each such group by its inverse-variance mean is exactly equivalent to using the readings one by one in the
 * weighted one-step reconstruction (the mean is a sufficient statistic of the group), and halves every later
 * step. Patterns with many more groups than an L-electrode ring has independent resistances, L(L − 1)/2, are
 * brought down to these in the same sense (`independent`).
 */
export interface FoldedReadings {
	/** Readings of a frame that go in. */
	readonly readingCount: number;
	/** [nReadings] noise of each reading, Infinity where it is left out. */
	readonly deviation: Float64Array;
	/** Whitened values that come out: unit variance each. */
	readonly count: number;
	/** [nProbes × 4] the transfer resistances whose sensitivities are needed. */
	readonly probes: Uint16Array;
	/** Sensitivity rows of the whitened values = `mix` · rows of the probes. */
	readonly mix: FoldMix;
	/** [count + 1], [nEntries], [nEntries]: sparse rows over readings (compressed rows). */
	readonly rowStart: Uint32Array;
	readonly reading: Uint32Array;
	readonly weight: Float64Array;
}

export type FoldMix =
	/** Whitened row i = probe row i × scale[i], and whitened value i = sparse row i. */
	| { readonly kind: "reciprocal"; readonly scale: Float64Array }
	/** Whitened rows = factorᵀ · probe rows [nProbes], and whitened values = L⁻¹ · sparse rows, where L is the
	 *  first `count` rows of factor [nProbes × count] (lower trapezoidal); inverse [count × count] holds the rows of
	 *  L⁻ᵀ. */
	| { readonly kind: "independent"; readonly factor: Float64Array; readonly inverse: Float64Array };
