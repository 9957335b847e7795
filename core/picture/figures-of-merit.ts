import type { Point } from "../limb/limb.ts";

/**
 * How faithfully a picture shows a small round target: the figures of merit of the consensus on linear reconstruction
 * (Adler, Arnold, Bayford et al., Physiol. Meas. 30:S35, 2009; definitions from memory). All are made from x_q, the cells
 * that reach a quarter of the picture's maximum, and the circle C of the same area around its centroid.
 */
export interface FiguresOfMerit {
	/** AR: the picture's sum over the target's true one; wanted: the same at all places. */
	readonly amplitude: number;
	/** PE: how much nearer to the centre x_q's centroid is than the target, as a share of the medium's radius (that of a
	 *  disc of its area); negative where it is pushed outwards. Wanted: small, the same at all places. */
	readonly positionError: number;
	/** RES: √(area of x_q / area of the medium). Wanted: small, the same at all places. */
	readonly resolution: number;
	/** SD: share of x_q that lies outside of C. Wanted: small. */
	readonly shapeDeformation: number;
	/** RNG: what is of the opposite sign outside of C over what lies inside. Wanted: small. */
	readonly ringing: number;
}

export interface PictureCells {
	/** [nCells × 2] m */
	readonly centres: ArrayLike<number>;
	/** [nCells] m² */
	readonly areas: ArrayLike<number>;
	/** [nCells] S/m */
	readonly change: ArrayLike<number>;
}

export interface RoundTarget {
	readonly centre: Point;
	/** m² */
	readonly area: number;
	/** S/m; of either sign. */
	readonly change: number;
}

/** @param middle the medium's centre. Not a number where the picture shows nothing of the target's sign. */
export function figuresOfMerit(cells: PictureCells, target: RoundTarget, middle: Point): FiguresOfMerit {
	const { centres, areas, change } = cells;
	const sign = Math.sign(target.change);
	let largest = 0;
	let total = 0;
	let medium = 0;
	for (let k = 0; k < change.length; k++) {
		largest = Math.max(largest, sign * change[k]!);
		total += sign * change[k]! * areas[k]!;
		medium += areas[k]!;
	}
	if (largest <= 0) {
		const none = Number.NaN;
		return { amplitude: none, positionError: none, resolution: none, shapeDeformation: none, ringing: none };
	}
	const isShown = (k: number) => sign * change[k]! >= largest / 4;
	let shown = 0;
	let x = 0;
	let y = 0;
	for (let k = 0; k < change.length; k++) {
		if (!isShown(k)) continue;
		shown += areas[k]!;
		x += areas[k]! * centres[2 * k]!;
		y += areas[k]! * centres[2 * k + 1]!;
	}
	x /= shown;
	y /= shown;
	const circleRadius = Math.sqrt(shown / Math.PI);
	let outside = 0;
	let inside = 0;
	let opposite = 0;
	for (let k = 0; k < change.length; k++) {
		const value = sign * change[k]! * areas[k]!;
		if (Math.hypot(centres[2 * k]! - x, centres[2 * k + 1]! - y) <= circleRadius) inside += value;
		else {
			if (isShown(k)) outside += areas[k]!;
			if (value < 0) opposite -= value;
		}
	}
	const fromMiddle = (px: number, py: number) => Math.hypot(px - middle[0], py - middle[1]);
	return {
		amplitude: total / (target.area * Math.abs(target.change)),
		positionError: (fromMiddle(...target.centre) - fromMiddle(x, y)) / Math.sqrt(medium / Math.PI),
		resolution: Math.sqrt(shown / medium),
		shapeDeformation: outside / shown,
		ringing: opposite / inside,
	};
}
