import type { ReadingPattern } from "../band/band.ts";
import { ownReadings } from "../band/board-electrode.ts";
import type { FaultSign } from "./electrode-watch.ts";

/** What a picture of a frame is made without. Immutable: another state is another object. */
export interface LeftOut {
	/** By number, ascending. */
	readonly electrodes: readonly LostElectrode[];
	/** Numbers, from 0, of readings that are missing or at the converter's limit, whichever electrodes they touch;
	 *  ascending. */
	readonly readings: readonly number[];
	/** The same when rest was taken: there is nothing to count a change from. */
	readonly readingsAtRest: readonly number[];
	/** [nReadings] 0 for readings that are left out, else 1; null where none is. */
	readonly kept: Float64Array | null;
	/** [nReadings] 0 for readings that told nothing when rest was taken, else 1; null where all did. */
	readonly keptAtRest: Float64Array | null;
	/** Of the readings over the band's own electrodes, 0 to 1. */
	readonly share: number;
	/** s, for how long frames before this came into force were wrong already: so long it took to find what fails. */
	readonly wrongSeconds: number;
	/** Enough is left for region means to be believed. */
	readonly isTrustworthy: boolean;
}

export interface LostElectrode {
	/** From 0. */
	readonly electrode: number;
	readonly sign: FaultSign;
	/** It was off when rest was taken: it stays left out until rest is taken again. */
	readonly isSinceRest: boolean;
}

/** Any two of 16 electrodes may be lost, and 46 % of adjacent readings with them, with a target's place still right
 *  within a tenth of the radius (measured on simulated discs); three take 58 % or more. */
const MOST_READINGS = 0.5;

export function leaveOut(
	pattern: Pick<ReadingPattern, "terminals" | "electrodeCount">,
	parts: Pick<LeftOut, "electrodes" | "readings" | "readingsAtRest">,
	wrongSeconds = 0,
): LeftOut {
	const { terminals } = pattern;
	const { electrodes, readings, readingsAtRest } = parts;
	const now = mask(
		terminals,
		electrodes.map(({ electrode }) => electrode),
		[...readings, ...readingsAtRest],
	);
	const atRest = mask(
		terminals,
		electrodes.flatMap(({ electrode, isSinceRest }) => (isSinceRest ? [electrode] : [])),
		readingsAtRest,
	);
	const share = now === null ? 0 : lostShare(now, ownReadings(pattern));
	return {
		electrodes,
		readings,
		readingsAtRest,
		kept: now,
		keptAtRest: atRest,
		share,
		wrongSeconds,
		isTrustworthy: share <= MOST_READINGS,
	};
}

export function leaveOutNothing(pattern: ReadingPattern): LeftOut {
	return leaveOut(pattern, { electrodes: [], readings: [], readingsAtRest: [] });
}

function lostShare(kept: Float64Array, readings: Uint32Array): number {
	if (readings.length === 0) return 0;
	return readings.reduce((lost, r) => lost + 1 - kept[r]!, 0) / readings.length;
}

function mask(
	terminals: Uint16Array,
	electrodes: readonly number[],
	readings: readonly number[],
): Float64Array | null {
	if (electrodes.length === 0 && readings.length === 0) return null;
	const kept = new Float64Array(terminals.length / 4).fill(1);
	for (let i = 0; i < terminals.length; i++) if (electrodes.includes(terminals[i]!)) kept[i >> 2] = 0;
	for (const reading of readings) kept[reading] = 0;
	return kept;
}
