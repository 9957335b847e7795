/** A cylinder with fat and a bone beside its axis, whose two bands move. */
import type { Band } from "../../core/band/band.ts";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { circlePoints } from "../../core/limb/region-shapes.ts";
import { createTaper } from "../../core/limb/taper.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { usualMove } from "../../core/volume/band-movement.ts";
import { solveExtruded } from "../../core/volume/extruded-body.ts";
import { type MovedReadings, readingsByMoves } from "../../core/volume/moved-readings.ts";
import type { VolumeSubject } from "../../core/volume/volume-subject.ts";
import { relativeError } from "../outside/forward-cases.ts";

const radius = 0.082;
const fatThickness = 0.008;
const height = 0.3;
const middles = [0.115, 0.185];
const electrodeHeight = 0.03;
const electrodeCount = 12;
const outline = createOutline({ type: "circle", radius });
const rods = [
	{ center: [0, 0], radius: radius - fatThickness, sigma: 0.35 },
	{ center: [0.008, 0.018], radius: 0.014, sigma: 0.02 },
] as const;
const contactImpedance = new Float64Array(2 * electrodeCount).fill(0.02);
const pattern = createBandsPattern([electrodeCount, electrodeCount], "adjacent", "within-and-across");
const band: Band = {
	electrodeCount,
	electrodeWidth: 0.02,
	firstAngle: Math.PI / 2,
	direction: "anticlockwise",
};
const subject: VolumeSubject = {
	outline,
	regions: rods.map((rod, i) => ({
		id: String(i),
		name: String(i),
		tissue: "muscle",
		points: circlePoints(rod.center, rod.radius),
		sigma: rod.sigma,
		inTrends: i === 0,
	})),
	fatThickness,
	backgroundSigma: 0.045,
	taper: createTaper([{ z: 0, circumference: outline.circumference }]),
	extent: { from: 0, to: height },
	bands: middles.map((z) => ({ band, z, electrodeHeight })),
	contactImpedance,
	side: null,
};

function exactReadings(slides: readonly [number, number]): Float64Array {
	const transfer = solveExtruded({
		outline,
		height,
		backgroundSigma: subject.backgroundSigma,
		rods,
		band,
		bands: middles.map((z, b) => ({
			from: z + slides[b]! / 1000 - electrodeHeight / 2,
			to: z + slides[b]! / 1000 + electrodeHeight / 2,
		})),
		contactImpedance,
	});
	return readingsFrom({ electrodeCount: 2 * electrodeCount, transfer }, pattern, 1);
}

/** Name, slides of both bands in mm, what the change may be off by. */
export const movesOfCylinder: readonly (readonly [string, readonly [number, number], number])[] = [
	["one band slides towards the other by 10 mm", [10, 0], 0.1],
	["it slides away by 10 mm", [-10, 0], 0.12],
	["both come nearer by 10 mm", [10, -10], 0.12],
];

let moved: MovedReadings | null = null;

/** Relative, of the change of all readings. @param slides of both bands, mm */
export function errorOfMove(slides: readonly [number, number]): number {
	const before = exactReadings([0, 0]);
	const exact = exactReadings(slides).map((value, i) => value - before[i]!);
	moved ??= readingsByMoves(subject, pattern, usualMove);
	const { straight, bends, forms, factors } = moved;
	const p = slides.flatMap((slide) => [slide / 1000 / usualMove.slide, 0]);
	const predicted = new Float64Array(exact.length);
	for (const [m, transfer] of straight.entries())
		for (const [r, line] of readingsFrom(
			{ electrodeCount: 2 * electrodeCount, transfer },
			pattern,
			1,
		).entries())
			predicted[r]! += p[m]! * line;
	const ofForm = Array.from({ length: forms.length / 4 }, (_, f) =>
		p.reduce((sum, x, m) => sum + forms[4 * f + m]! * x, 0),
	);
	for (const [j, bend] of bends.entries()) {
		let phi = 1;
		for (const f of factors.subarray(4 * j, 4 * j + 4)) if (f >= 0) phi *= ofForm[f]!;
		for (const [r, value] of bend.entries()) predicted[r]! += phi * value;
	}
	return relativeError(predicted, exact);
}
