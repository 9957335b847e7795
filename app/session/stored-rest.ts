/** Which rest a stored frame is compared with, in the unit that pictures are made of. */
import type { StoredBaseline, StoredConfiguration } from "../store/records.ts";

/** [nReadings] Ω (Ω·m for a plane set-up) for each unit of a value. */
export function ohmPerUnitOf(configuration: StoredConfiguration): Float64Array {
	const { voltsPerUnit, currentMilliamp, readingCurrentAmpere, pattern } = configuration;
	const scale = new Float64Array(pattern.length / 4);
	for (let i = 0; i < scale.length; i++) {
		scale[i] = voltsPerUnit / (readingCurrentAmpere?.[i] ?? currentMilliamp / 1000);
	}
	return scale;
}

/**
 * What a model is made of a rest. Readings that told nothing when it was taken tell nothing of the limb; for the time when
 * they are back, with another rest, their noise counts as that of the others.
 *
 * @param scale [nReadings] to the unit that pictures are made of
 * @param kept [nReadings] 0 for those readings; null for none
 */
export function restForModel(
	{ median, noise }: { readonly median: Float64Array; readonly noise: Float64Array },
	scale: (reading: number) => number,
	kept: Float64Array | null,
): { readonly rest: Float64Array; readonly noise: Float64Array } {
	const rest = median.map((value, r) => value * scale(r));
	const deviation = noise.map((value, r) => Math.abs(value * scale(r)));
	if (kept === null) return { rest, noise: deviation };
	const known = deviation.filter((_, r) => kept[r] !== 0).sort();
	const typical = known[known.length >> 1];
	// with nothing known there is nothing better to make a model of
	if (typical === undefined) return { rest, noise: deviation };
	return {
		rest: rest.map((value, r) => (kept[r] === 0 ? Number.NaN : value)),
		noise: deviation.map((value, r) => (kept[r] === 0 ? typical : value)),
	};
}

/**
 * The newest baseline of the frame's configuration that holds for it. Frames from before the first one are compared with
 * that first one: a rest that came later is as good a reference, and a recording may begin before it was taken.
 *
 * @param baselines of one band, in order of `fromOrdinal`
 * @returns its place in `baselines`; -1 for none
 */
export function restOf(
	baselines: readonly StoredBaseline[],
	configurationId: number,
	ordinal: number,
): number {
	let first = -1;
	let found = -1;
	for (let i = 0; i < baselines.length; i++) {
		const baseline = baselines[i]!;
		if (baseline.configurationId !== configurationId) continue;
		if (first < 0) first = i;
		if (baseline.fromOrdinal <= ordinal) found = i;
	}
	return found >= 0 ? found : first;
}
