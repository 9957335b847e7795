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
		lateralisHamstrings: 113,
		hamstringsAdductors: 220,
		adductorsMedialis: 296,
		medialisRectus: 336,
	},
	femurCentre: [0.1, 0.2],
	femurDiameter: 0.0265,
	bone: {
		intermediusLateralis: 118,
		lateralisAdductors: 153,
		adductorsMedialis: 240,
		medialisIntermedius: 289,
	},
	rectusIntermediusLateralis: [0.39, 0.67],
	rectusIntermediusMedialis: [-0.31, 0.71],
	lateralisHamstringsAdductors: [0.34, -0.24],
	rectusLateralis: [[0.43, 0.79]],
	medialisRectus: [[-0.36, 0.82]],
	rectusIntermedius: [
		[-0.16, 0.64],
		[0.04, 0.615],
		[0.24, 0.625],
	],
	lateralisIntermedius: [
		[0.53, 0.54],
		[0.63, 0.37],
		[0.64, 0.17],
		[0.55, 0.03],
		[0.43, 0.01],
	],
	medialisIntermedius: [
		[-0.345, 0.57],
		[-0.33, 0.43],
		[-0.26, 0.325],
	],
	adductorsMedialis: [
		[-0.8, 0.33],
		[-0.67, 0.2],
		[-0.45, 0.08],
		[-0.24, 0.01],
	],
	lateralisHamstrings: [
		[0.5, -0.33],
		[0.7, -0.375],
	],
	hamstringsAdductors: [
		[0.14, -0.31],
		[-0.14, -0.39],
		[-0.41, -0.54],
	],
};

/** One third of the thigh's length above the knee. */
export const ABOVE_KNEE: ThighTemplate = {
	outer: {
		rectusLateralis: 15,
		lateralisHamstrings: 98,
		hamstringsAdductors: 235,
		adductorsMedialis: 273,
		medialisRectus: 350,
	},
	femurCentre: [0.05, 0.17],
	femurDiameter: 0.03,
	bone: {
		intermediusLateralis: 108,
		lateralisAdductors: 142,
		adductorsMedialis: 238,
		medialisIntermedius: 292,
	},
	rectusIntermediusLateralis: [0.23, 0.8],
	rectusIntermediusMedialis: [-0.15, 0.82],
	lateralisHamstringsAdductors: [0.29, -0.15],
	rectusLateralis: [[0.25, 0.88]],
	medialisRectus: [[-0.17, 0.9]],
	rectusIntermedius: [
		[-0.06, 0.775],
		[0.04, 0.76],
		[0.14, 0.765],
	],
	lateralisIntermedius: [
		[0.4, 0.7],
		[0.55, 0.51],
		[0.57, 0.28],
		[0.48, 0.09],
		[0.4, 0.05],
	],
	medialisIntermedius: [
		[-0.27, 0.68],
		[-0.34, 0.48],
		[-0.3, 0.32],
	],
	adductorsMedialis: [
		[-0.85, 0],
		[-0.65, -0.05],
		[-0.45, -0.06],
		[-0.29, -0.05],
	],
	lateralisHamstrings: [
		[0.47, -0.17],
		[0.72, -0.165],
	],
	hamstringsAdductors: [
		[0.12, -0.19],
		[-0.16, -0.25],
		[-0.46, -0.39],
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

type BorderName = {
	[K in keyof ThighTemplate]: ThighTemplate[K] extends readonly Point[] ? K : never;
}[keyof ThighTemplate];
