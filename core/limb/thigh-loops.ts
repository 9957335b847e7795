import type { Point } from "./limb.ts";
import type { ThighTemplate } from "./thigh-template.ts";

type LoopName =
	| "rectusFemoris"
	| "vastusLateralis"
	| "vastusMedialis"
	| "vastusIntermedius"
	| "hamstrings"
	| "adductors"
	| "femur";

/** Closed loops in the template's disc, clockwise there, made of borders that neighbours share point by point. */
export function muscleLoops(t: ThighTemplate, boneRadius: number): Record<LoopName, Point[]> {
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
