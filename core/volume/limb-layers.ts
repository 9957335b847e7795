import type { AxisBand } from "./axis-pieces.ts";

export interface LayerSizes {
	/** Thickness of a layer at the edges of electrodes, m. */
	readonly near: number;
	/** The thickest, m. */
	readonly far: number;
}

/** How much thicker a layer may be for each metre that it lies farther from a band. */
const GROWTH = 0.35;

/** Layers under an electrode, at least. */
const LEAST_UNDER_ELECTRODE = 2;

/**
 * Cuts a stretch of limb into layers: thin at bands, thick away from them, with boundaries at the edges of all
 * electrodes.
 *
 * @returns [nLayers + 1] ascending, m
 */
export function cutLayers(
	from: number,
	to: number,
	bands: readonly AxisBand[],
	sizes: LayerSizes,
): Float64Array {
	const edges = bands.flatMap((band) => [band.from, band.to]);
	const stops = [...new Set([from, ...edges, to])].filter((z) => z >= from && z <= to).sort((a, b) => a - b);
	const sizeAt = (z: number): number => {
		const distance = Math.min(...edges.map((edge) => Math.abs(z - edge)));
		return Math.min(sizes.far, sizes.near + GROWTH * distance);
	};
	const cuts = [from];
	for (let i = 0; i + 1 < stops.length; i++) {
		const [low, high] = [stops[i]!, stops[i + 1]!];
		const isUnder = bands.some((band) => band.from <= low && band.to >= high);
		for (const z of evenly(low, high, sizeAt, isUnder ? LEAST_UNDER_ELECTRODE : 1)) cuts.push(z);
	}
	return Float64Array.from(cuts);
}

const SAMPLES = 200;

/** Ends of layers from low to high such that each is as thick as the size there, all by one factor. */
function evenly(low: number, high: number, sizeAt: (z: number) => number, least: number): number[] {
	const step = (high - low) / SAMPLES;
	const passed = new Float64Array(SAMPLES + 1);
	for (let k = 0; k < SAMPLES; k++) passed[k + 1] = passed[k]! + step / sizeAt(low + (k + 0.5) * step);
	const total = passed[SAMPLES]!;
	const count = Math.max(least, Math.round(total));
	const ends: number[] = [];
	let k = 0;
	for (let i = 1; i < count; i++) {
		const wanted = (total * i) / count;
		while (passed[k + 1]! < wanted) k++;
		ends.push(low + step * (k + (wanted - passed[k]!) / (passed[k + 1]! - passed[k]!)));
	}
	ends.push(high);
	return ends;
}
