import type { LiveBand } from "./live-band.ts";
import { ohmPerUnit } from "./live-band.ts";

/** The newest frame of every band of a board as one frame, in ohm, band by band. */
export interface JoinedFrames {
	/** [nReadings] valid until the next `add`. */
	readonly values: Float64Array;
	/** Takes a frame of one of the bands. @param values [its readings], copied
	 *  @returns true when each band has given one since the last time: they now make a frame together */
	add(bandIndex: number, values: Float64Array): boolean;
}

/** @param bands in the order of their readings */
export function createJoinedFrames(bands: readonly LiveBand[]): JoinedFrames {
	const places = new Map<number, { readonly at: number; readonly length: number; readonly ohm: number }>();
	let total = 0;
	for (const { bandIndex, configuration } of bands) {
		places.set(bandIndex, { at: total, length: configuration.readingCount, ohm: ohmPerUnit(configuration) });
		total += configuration.readingCount;
	}
	const values = new Float64Array(total);
	const fresh = new Set<number>();
	return {
		values,
		add(bandIndex, frame) {
			const place = places.get(bandIndex);
			if (place === undefined || frame.length !== place.length) return false;
			for (let i = 0; i < place.length; i++) values[place.at + i] = frame[i]! * place.ohm;
			fresh.add(bandIndex);
			if (fresh.size < places.size) return false;
			fresh.clear();
			return true;
		},
	};
}
