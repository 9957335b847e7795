import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { type BoardElectrode, numberOfOther } from "../../core/band/board-electrode.ts";
import type { DriveConfiguration } from "../../core/wire/frame.ts";
import { plainConfiguration } from "./memory-source.ts";

export const MIXED_READINGS = 464;

/** One of two bands of 16 that reads all adjacent pairs of both while its own adjacent pairs drive. */
export function mixedConfiguration(own: 0 | 1): DriveConfiguration {
	const all = createBandsPattern([16, 16], "adjacent").terminals;
	const place = (joined: number): BoardElectrode => ({
		band: Math.floor(joined / 16),
		electrode: joined % 16,
	});
	const listedTerminals = all
		.subarray(4 * MIXED_READINGS * own, 4 * MIXED_READINGS * (own + 1))
		.map((joined) => (place(joined).band === own ? joined % 16 : numberOfOther(place(joined))));
	return {
		...plainConfiguration,
		bandIndex: own,
		drive: "listed",
		readingCount: MIXED_READINGS,
		listedTerminals,
	};
}
