/** Cross-sections without a closed solution: against meshes of half the size, which are four times as exact (by the
 *  rates of `forward-convergence.test.ts`, measured there against outside data), and against symmetries. */
import { describe, expect, test } from "vitest";
import { predictCase } from "../../core/physics/predict-case.ts";
import { readCase, relativeError } from "./forward-cases.ts";

function predicted(input: object, targetTriangles?: number): Float64Array {
	const voltages = predictCase(readCase(input), targetTriangles === undefined ? {} : { targetTriangles });
	if (!voltages.ok) throw new Error(voltages.error.got);
	return voltages.value;
}

const plain = {
	dimension: 2,
	outline: { type: "ellipse", a: 0.09, b: 0.07 },
	electrodes: { count: 16, width: 0.012, firstAngleDeg: 20 },
	contactImpedance: 3e-3,
	background: { sigma: 0.35 },
	regions: [] as object[],
	drive: "adjacent",
	current: 1,
};

const circle = (x: number, y: number, radius: number, sigma: number) => ({
	shape: "circle",
	center: [x, y],
	radius,
	sigma,
});

/** A limb-like closed line with a bulge and a flat, `count` corners. */
const limbPoints = (count: number) =>
	Array.from({ length: count }, (_, i) => {
		const angle = (2 * Math.PI * i) / count;
		const r = 0.08 * (1 + 0.1 * Math.cos(2 * angle) + 0.04 * Math.sin(3 * angle));
		return [r * Math.cos(angle), r * Math.sin(angle)];
	});

describe("other cross-sections", () => {
	test.each<[string, object]>([
		["ellipse", plain],
		[
			"long ellipse, 8 electrodes",
			{
				...plain,
				outline: { type: "ellipse", a: 0.06, b: 0.12 },
				electrodes: { count: 8, width: 0.02, firstAngleDeg: 0 },
			},
		],
		[
			"32 electrodes and two inclusions",
			{
				...plain,
				electrodes: { count: 32, width: 0.006, firstAngleDeg: 5 },
				regions: [circle(0.03, 0.01, 0.02, 0.02), circle(-0.04, -0.01, 0.015, 2)],
			},
		],
		[
			"layered ellipse, bone off centre",
			{
				...plain,
				background: { sigma: 0.02 },
				regions: [circle(0, 0, 0.06, 0.35), circle(0.01, -0.005, 0.013, 0.02)],
			},
		],
		[
			"overlapping circles, one over the skin",
			{
				...plain,
				regions: [
					circle(0.02, 0, 0.025, 0.7),
					circle(0.04, 0.01, 0.02, 0.1),
					circle(-0.08, 0.02, 0.02, 0.05),
				],
			},
		],
		[
			"polygon of 7 corners",
			{
				...plain,
				outline: { type: "polygon", points: limbPoints(7) },
				electrodes: { count: 16, width: 0.01, firstAngleDeg: 0 },
			},
		],
		["polygon of 36 corners", { ...plain, outline: { type: "polygon", points: limbPoints(36) } }],
		["polygon of 400 corners", { ...plain, outline: { type: "polygon", points: limbPoints(400) } }],
		["good contact", { ...plain, contactImpedance: 1e-4 }],
	])("%s", (_, input) => {
		expect(relativeError(predicted(input), predicted(input, 13_000))).toBeLessThan(3e-4);
	});

	const skew = { ...plain, electrodes: { count: 12, width: 0.012, firstAngleDeg: 20 } };
	const inclusions = [circle(0.03, 0.015, 0.02, 0.9), circle(-0.02, -0.03, 0.01, 0.05)];

	test("a mirrored limb with electrodes counted the other way round reads the same", () => {
		const mirrored = {
			...skew,
			electrodes: { count: 12, width: 0.012, firstAngleDeg: -20, direction: "clockwise" },
			regions: [circle(0.03, -0.015, 0.02, 0.9), circle(-0.02, 0.03, 0.01, 0.05)],
		};
		expect(relativeError(predicted(mirrored), predicted({ ...skew, regions: inclusions }))).toBeLessThan(
			1e-4,
		);
	});

	test("a limb twice the size with twice the contact impedance reads the same", () => {
		const doubled = {
			...skew,
			outline: { type: "ellipse", a: 0.18, b: 0.14 },
			electrodes: { count: 12, width: 0.024, firstAngleDeg: 20 },
			contactImpedance: 6e-3,
			regions: [circle(0.06, 0.03, 0.04, 0.9), circle(-0.04, -0.06, 0.02, 0.05)],
		};
		expect(relativeError(predicted(doubled), predicted({ ...skew, regions: inclusions }))).toBeLessThan(1e-9);
	});

	test("a region of the background's own conductivity changes nothing, and a covered one neither", () => {
		const own = [circle(0.02, 0.01, 0.03, 0.35), ...inclusions];
		const covered = [circle(0.03, 0.015, 0.012, 5), ...inclusions];
		const expected = predicted({ ...skew, regions: inclusions });
		expect(relativeError(predicted({ ...skew, regions: own }), expected)).toBeLessThan(1e-4);
		expect(relativeError(predicted({ ...skew, regions: covered }), expected)).toBeLessThan(1e-4);
	});

	test("explicit readings give what the drive's name stands for, in any column order, each with its current", () => {
		const byName = predicted(skew);
		const rows: number[][] = [];
		for (let k = 0; k < 12; k++)
			for (let m = k + 2; m <= k + 10; m++) rows.push([2e-3, (m + 1) % 12, m % 12, (k + 1) % 12, k]);
		const { drive: _, current: __, ...withoutDrive } = skew;
		const explicit = predicted({
			...withoutDrive,
			readings: { columns: ["current", "minus", "plus", "sink", "source"], rows },
		});
		expect(
			relativeError(
				explicit,
				byName.map((v) => 2e-3 * v),
			),
		).toBeLessThan(1e-12);
	});
});
