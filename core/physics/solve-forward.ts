import type { ReadingPattern } from "../band/band.ts";
import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "./forward.ts";
import { createForwardSolver, type ForwardSolver } from "./forward-solver.ts";
import { createQuadraticMesh } from "./quadratic-mesh.ts";

/**
 * A solver on a mesh as it is, straight sides, one conductivity per triangle. Quadratic functions (order 2) cost
 * about six times as much as linear ones and are some twenty times more exact, above all where thin layers differ
 * a lot, such as fat over muscle.
 */
export function createMeshSolver(mesh: Mesh, order: 1 | 2 = 1): ForwardSolver {
	if (order === 2) return createForwardSolver(createQuadraticMesh(mesh));
	return createForwardSolver({ order, cornerCount: mesh.nodes.length / 2, ...mesh });
}

/**
 * Potentials of the complete electrode model for unit currents, once. Where the same mesh is solved for several
 * conductivities, keep a `createMeshSolver` instead.
 *
 * @param sigma [nTriangles] S/m
 * @param contactImpedance [electrodeCount] Ω·m²
 * @throws RangeError when a value is not positive and finite, or a length does not fit the mesh
 */
export function solveForward(mesh: Mesh, sigma: Float64Array, contactImpedance: Float64Array): ForwardField {
	return createMeshSolver(mesh).solve(sigma, contactImpedance);
}

/**
 * What a pattern reads in a field: U[plus] − U[minus] while `currentAmpere` flows into the source and out of the sink.
 *
 * @param currentAmpere A (per metre of height in 2D): one number for all readings or one per reading
 * @returns [nReadings] V
 */
export function readingsFrom(
	field: Pick<ForwardField, "electrodeCount" | "transfer">,
	pattern: ReadingPattern,
	currentAmpere: number | Float64Array,
): Float64Array {
	const { electrodeCount, transfer } = field;
	if (pattern.electrodeCount !== electrodeCount)
		throw new RangeError(
			`the pattern is for ${pattern.electrodeCount} electrodes, the field has ${electrodeCount}`,
		);
	const { terminals } = pattern;
	const readings = new Float64Array(terminals.length / 4);
	for (let r = 0; r < readings.length; r++) {
		const source = terminals[4 * r]! * electrodeCount;
		const sink = terminals[4 * r + 1]! * electrodeCount;
		const plus = terminals[4 * r + 2]!;
		const minus = terminals[4 * r + 3]!;
		const ampere = typeof currentAmpere === "number" ? currentAmpere : currentAmpere[r]!;
		readings[r] =
			ampere *
			(transfer[source + plus]! -
				transfer[sink + plus]! -
				transfer[source + minus]! +
				transfer[sink + minus]!);
	}
	return readings;
}
