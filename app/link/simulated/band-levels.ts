import { usualElectrodeHeightMetre } from "../../../core/band/electrode-height.ts";

/** Level of each simulated band on the thigh, as a share of its length above the knee, and the thigh's girth there against
 *  mid-thigh: it widens from about 41 cm above the knee to 62 cm at the hip (2012 Anthropometric Survey of US Army
 *  Personnel). */
const bandLevels = [0.5, 0.38, 0.62, 0.27] as const;
const girthPerLevel = 0.8;

/** @param measured level at which the limb was measured; the first band is worn there */
export function simulatedLevel(measured: number, bandIndex: number): number {
	return Math.min(0.9, Math.max(0.1, measured + bandLevels[bandIndex]! - bandLevels[0]));
}

/** Factor on the limb's girth at a level against where it was measured. */
export function girthAt(level: number, measured: number): number {
	return 1 + girthPerLevel * (level - measured);
}

/** From the knee cap's upper edge to the hip, m: a simulated person's thigh. Between the lengths of the US Army's women
 *  and men (2012 Anthropometric Survey, trochanterion height less that of the knee; rounded). */
const thighMetre = 0.4;

/** How far above the knee a level is, m. */
export function levelMetre(level: number): number {
	return level * thighMetre;
}

/** Skin between the electrodes of two bands, at least, m. */
const leastGap = 0.005;

/** Whether bands are worn so far apart that none covers another: near the ends of a thigh there is no room for all. */
export function lieApart(measured: number, bandCount: number): boolean {
	const heights = Array.from({ length: bandCount }, (_, band) => levelMetre(simulatedLevel(measured, band)));
	heights.sort((a, b) => a - b);
	return heights.every((z, i) => i === 0 || z - heights[i - 1]! >= usualElectrodeHeightMetre + leastGap);
}
