import type { LiveBand } from "./live-band.ts";
import { ohmPerUnit } from "./live-band.ts";

export interface FittedRest {
	/** [nReadings] factor on each reading in ohm that fits its band, at rest, to what the model reads. */
	readonly scale: Float64Array;
	/** [nReadings] rest in ohm, fitted. */
	readonly rest: Float64Array;
	/** Root mean square of the readings' noise at rest, fitted, Ω. */
	readonly noise: number;
}

/**
 * One factor for each band takes up what no set-up knows: a current a little off, tissue of another conductivity, and
 * how far current spreads along the limb.
 *
 * @param bands in the order of their readings, all with a rest; readings that told nothing then do not count
 * @param modelRest [nReadings] Ω
 * @returns the number of the band, from 0, whose rest does not fit the model at all: readings of the opposite sign
 */
export function fitToModel(bands: readonly LiveBand[], modelRest: Float64Array): FittedRest | number {
	const scale = new Float64Array(modelRest.length);
	const rest = new Float64Array(modelRest.length);
	let squares = 0;
	let at = 0;
	let counted = 0;
	for (const [b, { baseline, watch }] of bands.entries()) {
		if (baseline === null) throw new TypeError("volume: a band has no rest");
		const { keptAtRest } = watch.leftOut;
		const { median, noise } = baseline.rest;
		const ohm = ohmPerUnit(baseline.configuration);
		let both = 0;
		let square = 0;
		const isKnown = (i: number): boolean => keptAtRest?.[i] !== 0 && Number.isFinite(median[i]! * noise[i]!);
		for (let i = 0; i < median.length; i++) {
			if (!isKnown(i)) continue;
			both += modelRest[at + i]! * median[i]! * ohm;
			square += modelRest[at + i]! ** 2;
		}
		const factor = square / both;
		if (!(factor > 0 && factor < Infinity)) return b;
		for (let i = 0; i < median.length; i++) {
			scale[at + i] = factor;
			rest[at + i] = factor * ohm * median[i]!;
			if (!isKnown(i)) continue;
			squares += (factor * ohm * noise[i]!) ** 2;
			counted++;
		}
		at += median.length;
	}
	return { scale, rest, noise: Math.sqrt(squares / counted) };
}
