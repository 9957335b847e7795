import type { ReadingPattern } from "./band.ts";
import { MAX_ELECTRODES } from "./electrodes.ts";

const PER_BAND = MAX_ELECTRODES;

/** An electrode of a board, by band and number within it, both from 0. */
export interface BoardElectrode {
	readonly band: number;
	readonly electrode: number;
}

/** What stands for another band's electrode in a band's pattern: 64·(band + 1) + electrode, above all of the band's own,
 *  whose numbers stay what they are without other bands. */
export function numberOfOther({ band, electrode }: BoardElectrode): number {
	return PER_BAND * (band + 1) + electrode;
}

/** @param number in the pattern of band `own` */
export function boardElectrode(number: number, own: number): BoardElectrode {
	if (number < PER_BAND) return { band: own, electrode: number };
	return { band: Math.floor(number / PER_BAND) - 1, electrode: number % PER_BAND };
}

/** As lists of readings are written: `5`, or `1:5` for electrode 5 of another band, which is band 1. */
export function electrodeText(number: number): string {
	if (number < PER_BAND) return String(number);
	const { band, electrode } = boardElectrode(number, 0);
	return `${band}:${electrode}`;
}

type Terminals = Pick<ReadingPattern, "terminals" | "electrodeCount">;

/** Whether a reading drives and reads only electrodes of the pattern's own band. */
export function isOwnReading({ terminals, electrodeCount }: Terminals, reading: number): boolean {
	for (let i = 4 * reading; i < 4 * reading + 4; i++) if (terminals[i]! >= electrodeCount) return false;
	return true;
}

/** Numbers of the readings that drive and read only electrodes of the pattern's own band, ascending: what a section is
 *  pictured from, and an electrode or a band judged by. */
export function ownReadings(pattern: Terminals): Uint32Array {
	return Uint32Array.from({ length: pattern.terminals.length / 4 }, (_, r) => r).filter((r) =>
		isOwnReading(pattern, r),
	);
}
