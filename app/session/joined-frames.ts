import type { Frame } from "../../core/wire/frame.ts";
import type { LiveBand } from "./live-band.ts";
import { ohmPerUnit } from "./live-band.ts";

/** Frames of several bands that lie farther apart than this, in µs of the board's clock, show nothing together. */
export const APART_MICROS = 1e6;
/** A band that has given none for so long while another did is waited for. */
const SILENT_MICROS = 2e6;

/** The newest frame of every band of a board as one frame, in ohm, band by band. */
export interface JoinedFrames {
	/** [nReadings] valid until the next `add`. */
	readonly values: Float64Array;
	/** A band gives no frames though another does. */
	readonly isWaiting: boolean;
	/** Takes a frame of one of the bands; its values are copied.
	 *  @returns true when each band has given one since the last time: they now make a frame together */
	add(frame: Pick<Frame, "bandIndex" | "timeMicros" | "values">): boolean;
}

interface Part {
	readonly at: number;
	readonly length: number;
	readonly ohm: number;
	lastMicros: number;
	isFresh: boolean;
}

/** @param bands in the order of their readings */
export function createJoinedFrames(bands: readonly LiveBand[]): JoinedFrames {
	const byBand = new Map<number, Part>();
	let total = 0;
	for (const { bandIndex, configuration } of bands) {
		const length = configuration.readingCount;
		const ohm = ohmPerUnit(configuration);
		byBand.set(bandIndex, { at: total, length, ohm, lastMicros: Number.NaN, isFresh: false });
		total += length;
	}
	const parts = [...byBand.values()];
	const values = new Float64Array(total);
	let isWaiting = false;
	let newest = Number.NaN;

	/** After a time without any band none is late yet. */
	function beginAnew(): void {
		for (const part of parts) {
			part.lastMicros = Number.NaN;
			part.isFresh = false;
		}
	}

	/** @returns whether all parts belong together */
	function review(now: number): boolean {
		let isWhole = true;
		isWaiting = false;
		for (const part of parts) {
			// none yet: from now on it is late
			if (Number.isNaN(part.lastMicros)) part.lastMicros = now;
			if (now - part.lastMicros > APART_MICROS) part.isFresh = false;
			if (now - part.lastMicros > SILENT_MICROS) isWaiting = true;
			if (!part.isFresh) isWhole = false;
		}
		return isWhole;
	}

	return {
		values,
		get isWaiting() {
			return isWaiting;
		},
		add({ bandIndex, timeMicros, values: frame }) {
			const part = byBand.get(bandIndex);
			if (part === undefined || frame.length !== part.length) return false;
			if (timeMicros - newest > SILENT_MICROS) beginAnew();
			newest = timeMicros;
			for (let i = 0; i < part.length; i++) values[part.at + i] = frame[i]! * part.ohm;
			part.lastMicros = timeMicros;
			part.isFresh = true;
			if (!review(timeMicros)) return false;
			for (const one of parts) one.isFresh = false;
			return true;
		},
	};
}
