import type { Fault } from "../contract.ts";
import { type LiveBand, ohmPerUnit } from "./live-band.ts";

/** A band's rest as it was taken. */
export interface OhmRest {
	/** [its readings] Ω */
	readonly rest: Float64Array;
	/** [its readings] standard deviation, Ω */
	readonly noise: Float64Array;
	/** [its readings] 0 for readings that told nothing then; null for none */
	readonly kept: Float64Array | null;
}

/** @param band with a rest */
export function restInOhm({ baseline, watch }: LiveBand): OhmRest {
	if (baseline === null) throw new TypeError("volume: a band has no rest");
	const ohm = ohmPerUnit(baseline.configuration);
	return {
		rest: baseline.rest.median.map((value) => ohm * value),
		noise: baseline.rest.noise.map((value) => ohm * value),
		kept: watch.leftOut.keptAtRest,
	};
}

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
 * @param bands in the order of their readings
 * @param modelRest [nReadings] Ω
 * @returns the number of the band, from 0, whose rest does not fit the model at all: readings of the opposite sign
 */
export function fitToModel(bands: readonly OhmRest[], modelRest: Float64Array): FittedRest | number {
	const scale = new Float64Array(modelRest.length);
	const fitted = new Float64Array(modelRest.length);
	let squares = 0;
	let at = 0;
	let counted = 0;
	for (const [b, { rest, noise, kept }] of bands.entries()) {
		let both = 0;
		let square = 0;
		const isKnown = (i: number): boolean => kept?.[i] !== 0 && Number.isFinite(rest[i]! * noise[i]!);
		for (let i = 0; i < rest.length; i++) {
			if (!isKnown(i)) continue;
			both += modelRest[at + i]! * rest[i]!;
			square += modelRest[at + i]! ** 2;
		}
		const factor = square / both;
		if (!(factor > 0 && factor < Infinity)) return b;
		for (let i = 0; i < rest.length; i++) {
			scale[at + i] = factor;
			fitted[at + i] = factor * rest[i]!;
			if (!isKnown(i)) continue;
			squares += (factor * noise[i]!) ** 2;
			counted++;
		}
		at += rest.length;
	}
	return { scale, rest: fitted, noise: Math.sqrt(squares / counted) };
}

/** @param band its number from 0 */
export function misfitFault(band: number): Fault {
	return {
		kind: "invalid-argument",
		path: "setUp",
		expected: "readings at rest that fit the set-up",
		got: `readings of band ${band + 1} of the opposite sign: its first electrode or its direction may be another`,
	};
}
