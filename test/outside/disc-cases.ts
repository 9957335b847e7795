/** Discs that are hard for a mesh, and how far the product's voltages are from those without one. */
import { predictCase } from "../../core/physics/predict-case.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { type LayeredDisc, solveDisc } from "../physics/disc-oracle.ts";
import { readCase, relativeError } from "./forward-cases.ts";

export function caseOf(disc: LayeredDisc, more: object = {}) {
	return readCase({
		dimension: 2,
		outline: { type: "circle", radius: disc.radius },
		electrodes: { count: disc.electrodeCount, width: disc.electrodeWidth, firstAngleDeg: 0 },
		contactImpedance: disc.contactImpedance,
		background: { sigma: disc.sigma },
		regions: disc.layers.map(({ radius, sigma }) => ({ shape: "circle", center: [0, 0], radius, sigma })),
		drive: "adjacent",
		current: 1,
		...more,
	});
}

export function predicted(input: ReturnType<typeof readCase>): Float64Array {
	const voltages = predictCase(input);
	if (!voltages.ok) throw new Error(voltages.error.got);
	return voltages.value;
}

/** Relative. @param degree of the polynomials under each electrode that the oracle takes */
export function errorOnDisc(disc: LayeredDisc, degree: number): number {
	const input = caseOf(disc);
	const { electrodeCount } = disc;
	const transfer = solveDisc(disc, degree);
	return relativeError(predicted(input), readingsFrom({ electrodeCount, transfer }, input.pattern, 1));
}

interface DiscCase {
	readonly name: string;
	readonly disc: LayeredDisc;
	readonly degree: number;
	readonly tolerance: number;
}

const limbs = (
	[
		[16, 0.02, 0.01, 5e-3],
		[16, 0.02, 0.005, 1e-3],
		[8, 0.03, 0.01, 1e-2],
		[32, 0.01, 0.005, 1e-3],
	] as const
).map(
	([electrodeCount, width, fat, z]): DiscCase => ({
		name: `limb of fat, muscle and bone: ${electrodeCount} electrodes of ${width} m over ${fat} m of fat`,
		disc: {
			radius: 0.085,
			sigma: 0.02,
			layers: [
				{ radius: 0.085 - fat, sigma: 0.35 },
				{ radius: 0.013, sigma: 0.02 },
			],
			electrodeCount,
			electrodeWidth: width,
			contactImpedance: new Array<number>(electrodeCount).fill(z),
		},
		degree: 32,
		tolerance: 5e-4,
	}),
);

export const discCases: readonly DiscCase[] = [
	...limbs,
	{
		name: "nearly perfect contact, as of metal in salt water",
		disc: {
			radius: 0.14,
			sigma: 0.03,
			layers: [],
			electrodeCount: 8,
			electrodeWidth: 0.05,
			contactImpedance: new Array<number>(8).fill(1e-4),
		},
		degree: 80,
		tolerance: 3e-4,
	},
];
