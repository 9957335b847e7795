import type { PlacedElectrodes } from "../band/electrodes.ts";

/** Ends nearer to each other than this share of the circumference are one, 5 µm on a thigh: where one electrode begins at
 *  the place where another ends, rounding leaves 1e-16 m between them, and triangles of that size have no area. */
const SAME_SHARE = 1e-5;

/**
 * Where electrodes begin and end, each place once: arc lengths in [0, circumference), ascending.
 *
 * @throws RangeError when an electrode is too narrow to have two ends
 */
export function electrodeEnds({ count, start, end }: PlacedElectrodes, circumference: number): number[] {
	const same = SAME_SHARE * circumference;
	for (let i = 0; i < count; i++) {
		const width = end[i]! - start[i]!;
		if (!(width > same)) {
			throw new RangeError(
				`mesh: electrode ${i + 1} must be wider than ${same.toPrecision(2)} m, 1/100,000 of the circumference; got ${width}`,
			);
		}
	}
	const places = Array.from([...start, ...end], (s) => s - circumference * Math.floor(s / circumference));
	places.sort((p, q) => p - q);
	const ends: number[] = [];
	for (const s of places) if (ends.length === 0 || s - ends.at(-1)! > same) ends.push(s);
	// The first place may also be just beyond the last one.
	if (ends.length > 1 && ends[0]! + circumference - ends.at(-1)! <= same) ends.pop();
	return ends;
}
