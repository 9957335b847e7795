import { interpolateCividis, interpolatePuOr } from "d3-scale-chromatic";

/** `change`: diverging, symmetric about zero, d3's PuOr. `size`: the magnitude of change, d3's cividis (perceptually
 *  uniform and read alike with every kind of colour vision: Nuñez, Anderton & Renslow, PLoS ONE 13:e0199239, 2018). */
export type ScaleName = "change" | "size";

/** Odd, so that one entry is exactly zero. */
export const RAMP_LENGTH = 511;

export interface ColourRamp {
	/** [RAMP_LENGTH] colours from -range to +range, in the byte order of canvas image data. */
	readonly colours: Uint32Array;
	/** CSS colour at `position` from -1 to 1 (times the range). */
	at(position: number): string;
}

export function createColourRamp(scale: ScaleName): ColourRamp {
	const at = (position: number): string => {
		const p = Math.max(-1, Math.min(1, position));
		return scale === "change" ? interpolatePuOr((p + 1) / 2) : interpolateCividis(Math.abs(p));
	};
	const bytes = new Uint8Array(4 * RAMP_LENGTH);
	for (let i = 0; i < RAMP_LENGTH; i++) {
		const [red, green, blue] = parseColour(at((2 * i) / (RAMP_LENGTH - 1) - 1));
		bytes.set([red, green, blue, 255], 4 * i);
	}
	return { colours: new Uint32Array(bytes.buffer), at };
}

/** Reads what d3 writes: `rgb(r, g, b)`. */
function parseColour(css: string): [number, number, number] {
	const match = /^rgb\((\d+), (\d+), (\d+)\)$/.exec(css);
	if (match === null) throw new TypeError(`colour ramp: cannot read ${css}`);
	return [Number(match[1]), Number(match[2]), Number(match[3])];
}
