import { type InvalidInput, invalid } from "../invalid-input.ts";
import { circlePoints } from "../limb/region-shapes.ts";
import { meshLimb } from "../mesh/limb-mesh.ts";
import { type Result, success } from "../result.ts";
import type { Case } from "./case.ts";
import { createMiddleOfSide } from "./curved-sides.ts";
import { createFineSolver } from "./fine-solver.ts";
import { readingsFrom } from "./solve-forward.ts";

export interface PredictOptions {
	/** As in `meshLimb`; its default where left out. */
	readonly targetTriangles?: number;
}

/** The voltages that a case's readings would show, V. */
export function predictCase(
	{ outline, electrodes, regions, backgroundSigma, contactImpedance, pattern, current }: Case,
	options: PredictOptions = {},
): Result<Float64Array, InvalidInput> {
	try {
		const mesh = meshLimb({
			outline,
			electrodes,
			regions: regions.map(({ name, center, radius }, i) => ({
				id: String(i),
				name: name ?? String(i),
				tissue: "muscle",
				points: circlePoints(center, radius),
			})),
			...options,
		});
		const sigma = Float64Array.from(mesh.regionOf, (region) =>
			region === 0 ? backgroundSigma : regions[region - 1]!.sigma,
		);
		const field = createFineSolver(mesh, createMiddleOfSide(outline, regions)).solve(sigma, contactImpedance);
		return success(readingsFrom(field, pattern, current));
	} catch (error) {
		// the mesh maker and the solver refuse impossible geometry by a RangeError in one sentence
		if (error instanceof RangeError)
			return invalid("", "a cross-section that can be meshed", `"${error.message}"`);
		throw error;
	}
}
