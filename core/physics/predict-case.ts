import { type InvalidInput, invalid } from "../invalid-input.ts";
import { circlePoints } from "../limb/region-shapes.ts";
import { meshLimb } from "../mesh/limb-mesh.ts";
import type { Mesh } from "../mesh/mesh.ts";
import { type Result, success } from "../result.ts";
import type { Case } from "./case.ts";
import { createMiddleOfSide } from "./curved-sides.ts";
import { createForwardSolver } from "./forward-solver.ts";
import { createQuadraticMesh } from "./quadratic-mesh.ts";
import { refineAtNodes } from "./refine-mesh.ts";
import { readingsFrom } from "./solve-forward.ts";

/** Triangles at the ends of electrodes become 2⁻⁶ of the mesh's size there, since the current density is singular
 *  at the ends as the contact impedance vanishes and steep over σz otherwise; those under electrodes half. */
const END_HALVINGS = 6;
const ELECTRODE_HALVINGS = 1;

export interface PredictOptions {
	/** As in `meshLimb`; its default where left out. */
	readonly targetTriangles?: number;
}

/**
 * The voltages that a case's readings would show, V: complete electrode model with curved quadratic triangles that
 * follow outline and regions.
 */
export function predictCase(
	{ outline, electrodes, regions, backgroundSigma, contactImpedance, pattern, current }: Case,
	options: PredictOptions = {},
): Result<Float64Array, InvalidInput> {
	let base: Mesh;
	try {
		base = meshLimb({
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
	} catch (error) {
		if (error instanceof RangeError)
			return invalid("", "a cross-section that can be meshed", `"${error.message}"`);
		throw error;
	}
	const middleOfSide = createMiddleOfSide(outline, regions);
	const under = refineAtNodes(base, new Set(base.electrodeEdges), ELECTRODE_HALVINGS, middleOfSide);
	const mesh = refineAtNodes(under, electrodeEnds(under), END_HALVINGS, middleOfSide);
	const sigma = Float64Array.from(mesh.regionOf, (region) =>
		region === 0 ? backgroundSigma : regions[region - 1]!.sigma,
	);
	const field = createForwardSolver(createQuadraticMesh(mesh, middleOfSide)).solve(sigma, contactImpedance);
	return success(readingsFrom(field, pattern, current));
}

/** Nodes where an electrode begins or ends. */
function electrodeEnds({ electrodeEdges, electrodeOfEdge }: Mesh): Set<number> {
	const once = new Set<string>();
	for (let i = 0; i < electrodeEdges.length; i++) {
		const end = `${electrodeOfEdge[i >> 1]} ${electrodeEdges[i]}`;
		if (!once.delete(end)) once.add(end);
	}
	return new Set([...once].map((end) => Number(end.split(" ")[1])));
}
