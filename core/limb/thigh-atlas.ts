import type { Limb, OutlineShape, Point, RegionOutline, Side } from "./limb.ts";
import { insideFat, type MuscleCompartment } from "./muscle-compartment.ts";
import { createOutline, thinnedArcs } from "./outline.ts";
import { type ThighTemplate, thighAt } from "./thigh-template.ts";

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
 * size. See `thigh-template.ts` for where the positions come from
 * and how far to trust them.
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

/** Closed loops in the template's disc, clockwise there, made of borders that neighbours share point by point. */
function muscleLoops(t: ThighTemplate, boneRadius: number) {
	const onFat = (degrees: number): Point => {
		const angle = (degrees * Math.PI) / 180;
		return [Math.sin(angle), Math.cos(angle)];
	};
	const fromBone = (degrees: number, away: number): Point => {
		const [x, y] = onFat(degrees);
		return [t.femurCentre[0] + (boneRadius + away) * x, t.femurCentre[1] + (boneRadius + away) * y];
	};
	const onBone = (degrees: number): Point => fromBone(degrees, 0);
	/** Borders meet the bone squarely: a sliver between them could not be meshed with good triangles. */
	const toBone = (degrees: number): Point[] => [fromBone(degrees, 0.06), onBone(degrees)];
	const arc = (at: (degrees: number) => Point, from: number, to: number, step: number): Point[] => {
		const count = Math.max(1, Math.ceil((to - from) / step));
		return Array.from({ length: count + 1 }, (_, i) => at(from + ((to - from) * i) / count));
	};
	const fat = (from: number, to: number) => arc(onFat, from, to, 3);
	const bone = (from: number, to: number) => arc(onBone, from, to, 8);

	const { outer: o, bone: b } = t;
	const rectusLateralis = border([
		onFat(o.rectusLateralis),
		...t.rectusLateralis,
		t.rectusIntermediusLateralis,
	]);
	const medialisRectus = border([onFat(o.medialisRectus), ...t.medialisRectus, t.rectusIntermediusMedialis]);
	const rectusIntermedius = border([
		t.rectusIntermediusMedialis,
		...t.rectusIntermedius,
		t.rectusIntermediusLateralis,
	]);
	const lateralisIntermedius = border([
		t.rectusIntermediusLateralis,
		...t.lateralisIntermedius,
		...toBone(b.intermediusLateralis),
	]);
	const medialisIntermedius = border([
		t.rectusIntermediusMedialis,
		...t.medialisIntermedius,
		...toBone(b.medialisIntermedius),
	]);
	const adductorsMedialis = border([
		onFat(o.adductorsMedialis),
		...t.adductorsMedialis,
		...toBone(b.adductorsMedialis),
	]);
	const lateralisAdductors = border([
		...toBone(b.lateralisAdductors).reverse(),
		t.lateralisHamstringsAdductors,
	]);
	const lateralisHamstrings = border([
		t.lateralisHamstringsAdductors,
		...t.lateralisHamstrings,
		onFat(o.lateralisHamstrings),
	]);
	const hamstringsAdductors = border([
		t.lateralisHamstringsAdductors,
		...t.hamstringsAdductors,
		onFat(o.hamstringsAdductors),
	]);

	return {
		rectusFemoris: loop(
			fat(o.medialisRectus, o.rectusLateralis + 360),
			rectusLateralis,
			rectusIntermedius.toReversed(),
			medialisRectus.toReversed(),
		),
		vastusLateralis: loop(
			fat(o.rectusLateralis, o.lateralisHamstrings),
			lateralisHamstrings.toReversed(),
			lateralisAdductors.toReversed(),
			bone(b.intermediusLateralis, b.lateralisAdductors).reverse(),
			lateralisIntermedius.toReversed(),
			rectusLateralis.toReversed(),
		),
		vastusMedialis: loop(
			fat(o.adductorsMedialis, o.medialisRectus),
			medialisRectus,
			medialisIntermedius,
			bone(b.adductorsMedialis, b.medialisIntermedius).reverse(),
			adductorsMedialis.toReversed(),
		),
		vastusIntermedius: loop(
			rectusIntermedius,
			lateralisIntermedius,
			bone(b.medialisIntermedius, b.intermediusLateralis + 360).reverse(),
			medialisIntermedius.toReversed(),
		),
		hamstrings: loop(
			fat(o.lateralisHamstrings, o.hamstringsAdductors),
			hamstringsAdductors.toReversed(),
			lateralisHamstrings,
		),
		adductors: loop(
			fat(o.hamstringsAdductors, o.adductorsMedialis),
			adductorsMedialis,
			bone(b.lateralisAdductors, b.adductorsMedialis).reverse(),
			lateralisAdductors,
			hamstringsAdductors,
		),
		femur: loop(
			bone(b.medialisIntermedius, b.intermediusLateralis + 360),
			bone(b.intermediusLateralis, b.lateralisAdductors),
			bone(b.lateralisAdductors, b.adductorsMedialis),
			bone(b.adductorsMedialis, b.medialisIntermedius),
		),
	};
}

/** Joins pieces end to start; each piece's last point is the next one's first. */
function loop(...pieces: readonly Point[][]): Point[] {
	return pieces.flatMap((piece) => piece.slice(0, -1));
}

/** A smooth curve through points: centripetal Catmull–Rom (Barry & Goldman 1988), which neither loops nor
 *  overshoots far. */
function border(through: readonly Point[]): Point[] {
	const n = through.length;
	const at = (i: number): Point => {
		if (i < 0) return reflect(through[0]!, through[1]!);
		if (i >= n) return reflect(through[n - 1]!, through[n - 2]!);
		return through[i]!;
	};
	const points: Point[] = [];
	for (let i = 0; i + 1 < n; i++) {
		for (let k = 0; k < PIECES; k++)
			points.push(catmullRom(at(i - 1), at(i), at(i + 1), at(i + 2), k / PIECES));
	}
	points.push(through[n - 1]!);
	return points;
}

const PIECES = 8;

function reflect(about: Point, other: Point): Point {
	return [2 * about[0] - other[0], 2 * about[1] - other[1]];
}

function catmullRom(p0: Point, p1: Point, p2: Point, p3: Point, u: number): Point {
	const knot = (a: Point, b: Point) => Math.sqrt(Math.hypot(b[0] - a[0], b[1] - a[1]));
	const t1 = knot(p0, p1);
	const t2 = t1 + knot(p1, p2);
	const t3 = t2 + knot(p2, p3);
	const t = t1 + u * (t2 - t1);
	const blend = (a: Point, b: Point, ta: number, tb: number): Point => {
		const w = (t - ta) / (tb - ta);
		return [a[0] + w * (b[0] - a[0]), a[1] + w * (b[1] - a[1])];
	};
	const a1 = blend(p0, p1, 0, t1);
	const a2 = blend(p1, p2, t1, t2);
	const a3 = blend(p2, p3, t2, t3);
	return blend(blend(a1, a2, 0, t2), blend(a2, a3, t1, t3), t1, t2);
}
