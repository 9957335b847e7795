/**
 * A limb's cross-section as the rest of the program sees it.
 *
 * Axes (both limbs, SI, origin inside the limb): +y is anterior, +x points to the person's own left. Drawn
 * unmirrored this is the view from the foot towards the hip: for a left limb lateral is +x, for a right limb
 * lateral is -x. Angles are measured from +x, anticlockwise.
 */

export type Side = "left" | "right";

export type Point = readonly [x: number, y: number];

/** Shape of the skin line. Lengths in metres. `polygon` has straight edges; `smooth` is a closed smooth curve
 *  through its points (anticlockwise or clockwise, first not repeated at the end). */
export type OutlineShape =
	| { readonly type: "circle"; readonly radius: number }
	| { readonly type: "ellipse"; readonly a: number; readonly b: number }
	| { readonly type: "polygon"; readonly points: readonly Point[] }
	| { readonly type: "smooth"; readonly points: readonly Point[] };

/** A named region as a closed outline of points in metres (anticlockwise, first not repeated). */
export interface RegionOutline {
	readonly id: string;
	readonly name: string;
	/** What it is made of: decides its conductivity at rest and whether it takes part in trends. */
	readonly tissue: "muscle" | "fat" | "bone";
	readonly points: readonly Point[];
}

export interface Limb {
	readonly side: Side;
	readonly outline: OutlineShape;
	/** Subcutaneous fat thickness, m. */
	readonly fatThickness: number;
	/** A later one lies over an earlier one. */
	readonly regions: readonly RegionOutline[];
}
