import type { ReadingPattern } from "../../../core/band/band.ts";
import { numberOfOther } from "../../../core/band/board-electrode.ts";

/** From every so many electrodes current flows to the next band, too: they see along the limb what pairs of one band see
 *  least, and more of them add little (region means of a volume then have no less noise). */
const ACROSS_EVERY = 4;

/** More electrodes than this on two bands, or in all, and a host works minutes on its model of the volume. */
const MOST_ON_BAND = 24;
const MOST_IN_ALL = 64;

/** Up to here two bands read each other's every pair; beyond, and with more bands, every second of the next one's. */
const ALL_PAIRS_ON_BAND = 16;

export function mayReadAcross(electrodeCount: number, bandCount: number): boolean {
	return bandCount > 1 && electrodeCount <= MOST_ON_BAND && bandCount * electrodeCount <= MOST_IN_ALL;
}

/**
 * What one of several bands of `electrodeCount` electrodes each drives and reads: its adjacent pairs, read by its own and
 * by those of the band beside it, and then the current from every fourth of its electrodes to the one at the same place of
 * the next band, read by the pairs of both. Pairs that a drive touches are left out. Two bands of 16 so have 928 readings of
 * currents within a band and 112 of currents across.
 *
 * @returns electrodes numbered over all bands, band by band
 */
export function acrossPattern(electrodeCount: number, bandCount: number, own: number): ReadingPattern {
	const readsAll = bandCount === 2 && electrodeCount <= ALL_PAIRS_ON_BAND;
	const rows: number[] = [];
	const at = (band: number, place: number): number => band * electrodeCount + (place % electrodeCount);
	const read = (source: number, sink: number, band: number, every: number): void => {
		for (let m = 0; m < electrodeCount; m += every) {
			const [plus, minus] = [at(band, m), at(band, m + 1)];
			if ([plus, minus].some((electrode) => electrode === source || electrode === sink)) continue;
			rows.push(source, sink, plus, minus);
		}
	};
	const others = (readsAll ? [own - 1, own + 1] : [own + 1]).filter((band) => band >= 0 && band < bandCount);
	const every = readsAll ? 1 : 2;
	for (let k = 0; k < electrodeCount; k++) {
		read(at(own, k), at(own, k + 1), own, 1);
		for (const band of others) read(at(own, k), at(own, k + 1), band, every);
	}
	if (own + 1 < bandCount) {
		for (let k = 0; k < electrodeCount; k += ACROSS_EVERY)
			for (const band of [own, own + 1]) read(at(own, k), at(own + 1, k), band, every);
	}
	return {
		name: "across bands",
		electrodeCount: bandCount * electrodeCount,
		terminals: Uint16Array.from(rows),
	};
}

/** As the board lists it for band `own`. */
export function listedFor(own: number, electrodeCount: number, { terminals }: ReadingPattern): Uint16Array {
	return terminals.map((joined) => {
		const band = Math.floor(joined / electrodeCount);
		const electrode = joined % electrodeCount;
		return band === own ? electrode : numberOfOther({ band, electrode });
	});
}
