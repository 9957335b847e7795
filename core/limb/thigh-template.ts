import type { Point } from "./limb.ts";

/**
 * The thigh's muscles in cross-section, drawn in a disc of radius 1 that stands for everything inside the fat:
 * +y anterior, +x lateral. Muscles share their borders, so they can neither overlap nor leave gaps whatever limb
 * they are laid over.
 *
 * Positions are from memory of standard cross-sectional anatomy, not measured, and vary between people by 15° and
 * more. What they were checked against: the shares of each muscle in the cross-section (quadriceps about half
 * between 20 % and 80 % of thigh length; Rigakuryohogaku 21(3), about 1994) and the femur's width (26.5 mm in
 * men, 25.6 mm in women; Karakaş & Harma, Diagn Interv Radiol 14:29, 2008). Sartorius and gracilis count with the
 * adductors; vessels, nerves and the fat between muscles are not drawn.
 */
export interface ThighTemplate {
	/** Where borders meet the fat: degrees from the anterior midline, lateral positive. */
	readonly outer: {
		readonly rectusLateralis: number;
		readonly lateralisHamstrings: number;
		readonly hamstringsAdductors: number;
		readonly adductorsMedialis: number;
		readonly medialisRectus: number;
	};
	readonly femurCentre: Point;
	/** Diameter of the bone, m: it is placed in its true size, not stretched with the limb. */
	readonly femurDiameter: number;
	/** Where borders meet the bone: degrees around its centre, same sense as above. */
	readonly bone: {
		readonly intermediusLateralis: number;
		readonly lateralisAdductors: number;
		readonly adductorsMedialis: number;
		readonly medialisIntermedius: number;
	};
	/** Where three muscles meet away from fat and bone. */
	readonly rectusIntermediusLateralis: Point;
	readonly rectusIntermediusMedialis: Point;
	readonly lateralisHamstringsAdductors: Point;
	/** Points that a border passes between its two ends. */
	readonly rectusIntermedius: readonly Point[];
	readonly lateralisIntermedius: readonly Point[];
	readonly medialisIntermedius: readonly Point[];
	readonly adductorsMedialis: readonly Point[];
	readonly lateralisHamstrings: readonly Point[];
	readonly hamstringsAdductors: readonly Point[];
	readonly rectusLateralis: readonly Point[];
	readonly medialisRectus: readonly Point[];
}

/** Half way up the thigh. */
export const MID_THIGH: ThighTemplate = {
	outer: {
		rectusLateralis: 27,
		lateralisHamstrings: 112,
		hamstringsAdductors: 220,
		adductorsMedialis: 297,
		medialisRectus: 336,
	},
	femurCentre: [0.1, 0.2],
	femurDiameter: 0.0265,
	bone: {
		intermediusLateralis: 118,
		lateralisAdductors: 168,
		adductorsMedialis: 208,
		medialisIntermedius: 288,
	},
	rectusIntermediusLateralis: [0.36, 0.65],
	rectusIntermediusMedialis: [-0.3, 0.68],
	lateralisHamstringsAdductors: [0.32, -0.25],
	rectusLateralis: [[0.42, 0.77]],
	medialisRectus: [[-0.36, 0.8]],
	rectusIntermedius: [
		[-0.14, 0.62],
		[0.06, 0.6],
		[0.24, 0.61],
	],
	lateralisIntermedius: [
		[0.5, 0.5],
		[0.57, 0.3],
		[0.53, 0.13],
		[0.4, 0.06],
	],
	medialisIntermedius: [
		[-0.3, 0.54],
		[-0.22, 0.38],
	],
	adductorsMedialis: [
		[-0.8, 0.34],
		[-0.68, 0.2],
		[-0.45, 0.1],
		[-0.2, 0.04],
	],
	lateralisHamstrings: [
		[0.48, -0.35],
		[0.7, -0.38],
	],
	hamstringsAdductors: [
		[0.12, -0.34],
		[-0.14, -0.4],
		[-0.4, -0.53],
	],
};

/** One third of the thigh's length above the knee. */
export const ABOVE_KNEE: ThighTemplate = {
	outer: {
		rectusLateralis: 16,
		lateralisHamstrings: 102,
		hamstringsAdductors: 228,
		adductorsMedialis: 268,
		medialisRectus: 350,
	},
	femurCentre: [0.05, 0.16],
	femurDiameter: 0.03,
	bone: {
		intermediusLateralis: 110,
		lateralisAdductors: 165,
		adductorsMedialis: 212,
		medialisIntermedius: 298,
	},
	rectusIntermediusLateralis: [0.22, 0.78],
	rectusIntermediusMedialis: [-0.14, 0.8],
	lateralisHamstringsAdductors: [0.28, -0.16],
	rectusLateralis: [[0.26, 0.86]],
	medialisRectus: [[-0.17, 0.88]],
	rectusIntermedius: [
		[-0.05, 0.76],
		[0.04, 0.75],
		[0.14, 0.755],
	],
	lateralisIntermedius: [
		[0.4, 0.62],
		[0.5, 0.42],
		[0.49, 0.25],
		[0.39, 0.14],
	],
	medialisIntermedius: [
		[-0.2, 0.66],
		[-0.22, 0.46],
	],
	adductorsMedialis: [
		[-0.85, -0.1],
		[-0.65, -0.12],
		[-0.4, -0.08],
		[-0.18, -0.02],
	],
	lateralisHamstrings: [
		[0.46, -0.22],
		[0.72, -0.24],
	],
	hamstringsAdductors: [
		[0.1, -0.22],
		[-0.16, -0.28],
		[-0.44, -0.43],
	],
};

/** Levels the two sections stand for, as a share of thigh length above the knee. */
export const ABOVE_KNEE_LEVEL = 1 / 3;
export const MID_THIGH_LEVEL = 1 / 2;

/** The section at a level: in between by straight interpolation, beyond the two as the nearer one. */
export function thighAt(level: number): ThighTemplate {
	const share = (level - ABOVE_KNEE_LEVEL) / (MID_THIGH_LEVEL - ABOVE_KNEE_LEVEL);
	const t = Math.min(1, Math.max(0, share));
	const mix = (a: number, b: number): number => a + t * (b - a);
	const mixPoint = (a: Point, b: Point): Point => [mix(a[0], b[0]), mix(a[1], b[1])];
	const mixNumbers = <T extends Readonly<Record<string, number>>>(a: T, b: T): T =>
		Object.fromEntries(Object.keys(a).map((key) => [key, mix(a[key]!, b[key]!)])) as T;
	const mixPoints = (key: BorderName): Point[] =>
		ABOVE_KNEE[key].map((point, i) => mixPoint(point, MID_THIGH[key][i]!));
	return {
		outer: mixNumbers(ABOVE_KNEE.outer, MID_THIGH.outer),
		femurCentre: mixPoint(ABOVE_KNEE.femurCentre, MID_THIGH.femurCentre),
		femurDiameter: mix(ABOVE_KNEE.femurDiameter, MID_THIGH.femurDiameter),
		bone: mixNumbers(ABOVE_KNEE.bone, MID_THIGH.bone),
		rectusIntermediusLateralis: mixPoint(
			ABOVE_KNEE.rectusIntermediusLateralis,
			MID_THIGH.rectusIntermediusLateralis,
		),
		rectusIntermediusMedialis: mixPoint(
			ABOVE_KNEE.rectusIntermediusMedialis,
			MID_THIGH.rectusIntermediusMedialis,
		),
		lateralisHamstringsAdductors: mixPoint(
			ABOVE_KNEE.lateralisHamstringsAdductors,
			MID_THIGH.lateralisHamstringsAdductors,
		),
		rectusLateralis: mixPoints("rectusLateralis"),
		medialisRectus: mixPoints("medialisRectus"),
		rectusIntermedius: mixPoints("rectusIntermedius"),
		lateralisIntermedius: mixPoints("lateralisIntermedius"),
		medialisIntermedius: mixPoints("medialisIntermedius"),
		adductorsMedialis: mixPoints("adductorsMedialis"),
		lateralisHamstrings: mixPoints("lateralisHamstrings"),
		hamstringsAdductors: mixPoints("hamstringsAdductors"),
	};
}

export type BorderName = {
	[K in keyof ThighTemplate]: ThighTemplate[K] extends readonly Point[] ? K : never;
}[keyof ThighTemplate] &
	Exclude<
		keyof ThighTemplate,
		| "femurCentre"
		| "rectusIntermediusLateralis"
		| "rectusIntermediusMedialis"
		| "lateralisHamstringsAdductors"
	>;
