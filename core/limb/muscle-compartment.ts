import type { Point } from "./limb.ts";
import type { Outline } from "./outline.ts";

/**
 * What lies within a fat layer of even thickness: for each direction from the limb's centre the farthest place
 * that is still at least `fatThickness` from the skin all the way out from the centre.
 */
export interface MuscleCompartment {
	/** Centre of area of the skin outline. */
	readonly centre: Point;
	/** Mean over all directions, m. */
	readonly meanRadius: number;
	/** Least over all directions, m. */
	readonly leastRadius: number;
	/** Distance from the centre to the fat along a ray, m. Radians from +x, anticlockwise. */
	radiusAt(radians: number): number;
}

/** @throws RangeError when the layer is not a positive number or leaves too little inside */
export function insideFat(outline: Outline, fatThickness: number): MuscleCompartment {
	if (!(fatThickness > 0 && fatThickness < Infinity)) {
		throw new RangeError(`limb: the fat layer must be a positive number of metres, got ${fatThickness}`);
	}
	const [cx, cy] = outline.centroid;
	const samples = 1024;
	const skin = new Float64Array(2 * samples);
	for (let i = 0; i < samples; i++) {
		const [x, y] = outline.pointAt((i / samples) * outline.circumference);
		skin[2 * i] = x - cx;
		skin[2 * i + 1] = y - cy;
	}
	const radiusAt = (radians: number): number => {
		const ux = Math.cos(radians);
		const uy = Math.sin(radians);
		let radius = Infinity;
		for (let i = 0; i < samples; i++) {
			// A skin point keeps the ray out of a disc as wide as the layer.
			const along = skin[2 * i]! * ux + skin[2 * i + 1]! * uy;
			const across = skin[2 * i]! * uy - skin[2 * i + 1]! * ux;
			const half = fatThickness * fatThickness - across * across;
			if (half < 0) continue;
			const entry = along - Math.sqrt(half);
			if (along + Math.sqrt(half) > 0 && entry < radius) radius = entry;
		}
		return radius;
	};

	const limbRadius = Math.sqrt(outline.area / Math.PI);
	let sum = 0;
	let least = Infinity;
	const directions = 120;
	for (let i = 0; i < directions; i++) {
		const radius = radiusAt((2 * Math.PI * i) / directions);
		if (!(radius > LEAST_SHARE * limbRadius && radius < Infinity)) {
			throw new RangeError(
				`limb: a fat layer of ${(1000 * fatThickness).toFixed(1)} mm leaves too little room for muscle; ` +
					"enter a thinner layer or a rounder, longer outline",
			);
		}
		sum += radius;
		least = Math.min(least, radius);
	}
	return { centre: [cx, cy], meanRadius: sum / directions, leastRadius: least, radiusAt };
}

/** Muscle must reach at least this far from the centre, as a share of the limb's radius. */
const LEAST_SHARE = 0.3;
