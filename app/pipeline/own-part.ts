/** A band's section is pictured from the readings that its own electrodes drive and read, whatever else a frame holds. */
import { ownReadings } from "../../core/band/board-electrode.ts";
import type { ModelRequest } from "./messages.ts";

export interface OwnPart {
	/** Of those readings alone. */
	readonly request: ModelRequest;
	/** [their count] numbers in the frame, ascending. */
	readonly readings: Uint32Array;
	/** Of the frame. */
	readonly readingCount: number;
}

/** @throws RangeError in one sentence where a band has no such readings */
export function ownPart(request: ModelRequest): OwnPart {
	const { terminals, noise, rest, bandIndex } = request;
	const readings = ownReadings(request);
	const readingCount = terminals.length / 4;
	if (readings.length === readingCount) return { request, readings, readingCount };
	if (readings.length === 0)
		throw new RangeError(
			`band ${bandIndex + 1} lists no reading of its own electrodes alone, and a section is pictured from those; let its board list some`,
		);
	const own = new Uint16Array(4 * readings.length);
	for (const [i, r] of readings.entries()) own.set(terminals.subarray(4 * r, 4 * r + 4), 4 * i);
	return {
		request: {
			...request,
			terminals: own,
			noise: noise && only(noise, readings),
			rest: rest && only(rest, readings),
		},
		readings,
		readingCount,
	};
}

/** [readings.length] */
export function only(values: Float64Array, readings: Uint32Array): Float64Array {
	return Float64Array.from(readings, (r) => values[r]!);
}
