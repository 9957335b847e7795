import { boardElectrode, electrodeText } from "../band/board-electrode.ts";
import type { DriveConfiguration } from "./frame.ts";

/**
 * What a list of readings names that its board does not have, as one sentence that counts as the protocol does; null where
 * nothing is amiss as far as is known.
 *
 * @param electrodesOf electrodes of a band, from 0; null before it has told
 */
export function strayElectrode(
	{ bandIndex, listedTerminals }: DriveConfiguration,
	bandCount: number,
	electrodesOf: (band: number) => number | null,
): string | null {
	if (listedTerminals === null) return null;
	for (const [i, number] of listedTerminals.entries()) {
		const { band, electrode } = boardElectrode(number, bandIndex);
		if (band === bandIndex) continue;
		const names = `reading ${i >> 2} in the list of band ${bandIndex} names ${electrodeText(number)}`;
		if (band >= bandCount)
			return `${names}, but the board has ${bandCount} ${bandCount === 1 ? "band" : "bands"}`;
		const count = electrodesOf(band);
		if (count !== null && electrode >= count) return `${names}, but band ${band} has ${count} electrodes`;
	}
	return null;
}
