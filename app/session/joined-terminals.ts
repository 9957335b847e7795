import { boardElectrode } from "../../core/band/board-electrode.ts";

/** Terminals of all bands' readings one after another, electrodes numbered band by band.
 *
 * @param bands all of the board, in order and alike; `terminals` [nReadings × 4] as in `ReadingPattern`
 * @param electrodeCount of each */
export function joinedTerminals(
	bands: readonly { readonly bandIndex: number; readonly terminals: Uint16Array }[],
	electrodeCount: number,
): Uint16Array {
	return Uint16Array.from(
		bands.flatMap(({ terminals, bandIndex }) =>
			Array.from(terminals, (number) => {
				const { band, electrode } = boardElectrode(number, bandIndex);
				return band * electrodeCount + electrode;
			}),
		),
	);
}
