import type { Limb, OutlineShape, Point, RegionOutline, Side } from "./limb.ts";
import { insideFat, type MuscleCompartment } from "./muscle-compartment.ts";
import { createOutline, thinnedArcs } from "./outline.ts";
import { muscleLoops } from "./thigh-loops.ts";
import { thighAt } from "./thigh-template.ts";

export interface ThighMeasures {
	readonly side: Side;
	readonly outline: OutlineShape;
	/** Taken as even all around, m. */
	readonly fatThickness: number;
	/** Where around the thigh, as a share of its length above the knee, 0 to 1. */
	readonly level: number;
}

/** Ids of a thigh's regions in their order: fat lies beneath, everything else over it. */
export const thighRegionIds = [
	"subcutaneous-fat",
	"rectus-femoris",
	"vastus-lateralis",
	"vastus-medialis",
	"vastus-intermedius",
	"hamstrings",
	"adductors",
	"femur",
] as const;

/**
 * Lays the muscles of a thigh into a measured outline.
 *
 * The first region, subcutaneous fat, is the skin outline itself; muscles and femur lie over it and tile all that
 * is deeper than `fatThickness`, so fat is the ring that stays visible. Each place of the template is found again
 * along its ray from the limb's centre, so that regions follow the measured shape; only the femur keeps its true
 * size. See `thigh-template.ts` for where the positions come from and how far to trust them.
 *
 * @throws RangeError when the outline, the fat layer or the level is impossible
 */
export function createThigh(measures: ThighMeasures): Limb {
	const { side, fatThickness, level } = measures;
	if (!(level >= 0 && level <= 1)) {
		throw new RangeError(`limb: the level must be a share of the thigh's length from 0 to 1, got ${level}`);
	}
	const outline = createOutline(measures.outline);
	const compartment = insideFat(outline, fatThickness);
	const template = thighAt(level);
	const boneRadius = Math.min(
		LARGEST_BONE,
		Math.max(SMALLEST_BONE, template.femurDiameter / 2 / compartment.meanRadius),
	);
	const placeOnLimb = createPlacement(compartment);
	const mirror = side === "left" ? 1 : -1;
	const place = ([x, y]: Point): Point => placeOnLimb([mirror * x, y]);
	const region = (
		id: string,
		name: string,
		tissue: RegionOutline["tissue"],
		loop: Point[],
	): RegionOutline => {
		const points = loop.map(place);
		// Loops run clockwise in the template (anterior to lateral); the mirror turns them around.
		return { id, name, tissue, points: side === "left" ? points.reverse() : points };
	};

	const loops = muscleLoops(template, boneRadius);
	return {
		side,
		outline: measures.outline,
		fatThickness,
		regions: [
			{
				id: "subcutaneous-fat",
				name: "Subcutaneous fat",
				tissue: "fat",
				points: thinnedArcs(outline).map((s) => outline.pointAt(s)),
			},
			region("rectus-femoris", "Rectus femoris", "muscle", loops.rectusFemoris),
			region("vastus-lateralis", "Vastus lateralis", "muscle", loops.vastusLateralis),
			region("vastus-medialis", "Vastus medialis", "muscle", loops.vastusMedialis),
			region("vastus-intermedius", "Vastus intermedius", "muscle", loops.vastusIntermedius),
			region("hamstrings", "Hamstrings", "muscle", loops.hamstrings),
			region("adductors", "Adductors", "muscle", loops.adductors),
			region("femur", "Femur", "bone", loops.femur),
		],
	};
}

/**
 * Maps the template's disc onto the muscle compartment: along rays from the centre, the disc's rim onto the fat. The
 * compartment's shape fades towards the centre, where all is round like the bone. The map never folds: with the
 * power below, distance from the centre still grows along every ray.
 */
function createPlacement({
	centre,
	meanRadius,
	leastRadius,
	radiusAt,
}: MuscleCompartment): (at: Point) => Point {
	const dent = meanRadius - leastRadius;
	const power = Math.min(1, dent > 0 ? 0.8 * (meanRadius / dent - 1) : 1);
	return ([x, y]) => {
		const share = Math.hypot(x, y);
		if (share === 0) return centre;
		const radius = meanRadius + share ** power * (radiusAt(Math.atan2(y, x)) - meanRadius);
		return [centre[0] + radius * x, centre[1] + radius * y];
	};
}

/** The bone's radius as a share of the compartment's stays in the room the template leaves for it. */
const SMALLEST_BONE = 0.1;
const LARGEST_BONE = 0.24;
