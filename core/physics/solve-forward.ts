import type { ReadingPattern } from "../band/band.ts";
import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "./forward.ts";
import { createForwardSolver, type ForwardSolver } from "./forward-solver.ts";

/** A solver with linear functions on the mesh as it is, for the live model: one conductivity per triangle. Where
 *  absolute voltages matter, `createFineSolver` is far more exact. */
export function createMeshSolver(mesh: Mesh): ForwardSolver {
	return createForwardSolver({ order: 1, reportedNodes: mesh.nodes.length / 2, ...mesh });
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
