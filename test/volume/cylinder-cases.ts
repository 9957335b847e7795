/** Cylinders that are hard for a mesh, and how far the product's voltages are from those without one. */
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { predictFile } from "../../core/volume/predict-file.ts";
import { relativeError } from "../outside/forward-cases.ts";
import { type Cylinder, solveCylinder } from "./cylinder-oracle.ts";

export function caseOf(cylinder: Cylinder, more: object = {}) {
	return {
		dimension: 3,
		outline: { type: "circle", radius: cylinder.radius },
		height: cylinder.height,
		bands: cylinder.bands.map((z) => ({ z })),
		electrodes: {
			count: cylinder.electrodeCount,
			width: cylinder.electrodeWidth,
			height: cylinder.electrodeHeight,
			firstAngleDeg: 0,
		},
		contactImpedance: cylinder.contactImpedance,
		background: { sigma: cylinder.sigma },
		regions: cylinder.rod === undefined ? [] : [{ center: [0, 0], ...cylinder.rod }],
		drive: "adjacent",
		current: 1,
		...more,
	};
}

export function predicted(input: object): Float64Array {
	const voltages = predictFile(input);
	if (!voltages.ok) throw new Error(JSON.stringify(voltages.error));
	return voltages.value;
}

export const base: Cylinder = {
	radius: 0.06,
	height: 0.12,
	sigma: 0.35,
	bands: [0.04, 0.08],
	electrodeCount: 8,
	electrodeWidth: 0.015,
	electrodeHeight: 0.02,
	contactImpedance: 0.005,
};

/** Name, what is other than in `base`, degree of the oracle's polynomials. */
type CylinderCase = readonly [string, Partial<Cylinder>, number];

export const quickCylinders: readonly CylinderCase[] = [
	["poor contact", { contactImpedance: 0.1 }, 4],
	["one band, as high as the body", { bands: [0.015], height: 0.03, electrodeHeight: 0.03 }, 6],
	["bands at both ends", { bands: [0.11, 0.01], electrodeHeight: 0.02 }, 5],
	[
		"one band over muscle under fat",
		{ bands: [0.06], sigma: 0.05, rod: { radius: 0.052, sigma: 0.35 }, contactImpedance: 0.02 },
		6,
	],
];

export const hardCylinders: readonly CylinderCase[] = [
	["nearly perfect contact", { contactImpedance: 1e-4, electrodeWidth: 0.01, electrodeHeight: 0.01 }, 7],
	["three bands on a long limb", { bands: [0.05, 0.1, 0.3], height: 0.5 }, 5],
	["bone along the axis", { rod: { radius: 0.02, sigma: 0.02 } }, 5],
	["muscle under fat", { sigma: 0.05, rod: { radius: 0.052, sigma: 0.35 }, contactImpedance: 0.02 }, 7],
];

export const CYLINDER_TOLERANCE = 1e-3;

/** Relative. */
export function errorOnCylinder(change: Partial<Cylinder>, degree: number): number {
	const cylinder = { ...base, ...change };
	const pattern = createBandsPattern(
		cylinder.bands.map(() => cylinder.electrodeCount),
		"adjacent",
	);
	const waves = Math.round(400 * Math.max(1, cylinder.height / 0.12));
	const transfer = solveCylinder(cylinder, degree, 500, waves);
	const exact = readingsFrom({ electrodeCount: pattern.electrodeCount, transfer }, pattern, 1);
	return relativeError(predicted(caseOf(cylinder)), exact);
}
