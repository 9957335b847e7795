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
