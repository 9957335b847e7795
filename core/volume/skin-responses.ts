import { createCholeskyWorkspace, factorise } from "../physics/cholesky.ts";
import { type ElementMesh, quadraticMasses, triangleMatrices } from "../physics/elements.ts";
import { createSparseStructure } from "../physics/sparse-structure.ts";
import type { ElectrodeArc } from "./electrode-arc.ts";
import { schurInverse } from "./schur-inverse.ts";

/**
 * Potentials at the skin under the electrodes for currents there, shape by shape along the axis: for λ (1/m²) the
 * inverse of the Schur complement of ∇·σ∇ − λσ on the electrodes' nodes.
 */
export interface SkinResponses {
	/** Nodes under all electrodes. */
	readonly count: number;
	/**
	 * @returns [count·(count + 1)/2] packed lower triangle by rows: potential at one node for a current into another,
	 * V per A per metre of height; for λ = 0 right up to a constant where currents sum to zero
	 * @throws RangeError when a conductivity is not positive
	 */
	at(lambda: number): Float64Array;
}

/** @param sigma [nTriangles] S/m */
export function createSkinResponses(
	mesh: ElementMesh,
	arcs: readonly ElectrodeArc[],
	sigma: Float64Array,
): SkinResponses {
	const { nodes, triangles } = mesh;
	const nodeCount = nodes.length / 2;
	const triangleCount = sigma.length;
	const last = Int32Array.from(arcs.flatMap((arc) => Array.from(arc.nodes)));
	const count = last.length;
	const cliqueStart = Int32Array.from({ length: triangleCount + 2 }, (_, t) =>
		t <= triangleCount ? 6 * t : 6 * triangleCount + count,
	);
	const members = new Int32Array(6 * triangleCount + count);
	members.set(triangles);
	members.set(last, 6 * triangleCount);
	const structure = createSparseStructure(nodeCount, cliqueStart, members, nodes, 2, last);
	const workspace = createCholeskyWorkspace(structure);
	const { entryPosition } = structure;
	const { panels } = workspace;
	const stiffness = triangleMatrices(mesh);
	const mass = quadraticMasses(mesh);
	let whole = 0;
	for (let t = 0; t < triangleCount; t++) whole += sigma[t]! / triangleCount;
	// with λ = 0 currents have nowhere to go but through a tie to ground, through which none flows if they sum to zero
	const tie = entryPosition[entryPosition.length - 1]!;

	return {
		count,
		at(lambda) {
			panels.fill(0);
			let entry = 0;
			for (let t = 0; t < triangleCount; t++) {
				const s = sigma[t]!;
				for (let i = 0; i < 21; i++) {
					panels[entryPosition[entry]!]! += s * (stiffness[entry]! + lambda * mass[entry]!);
					entry++;
				}
			}
			if (lambda === 0) panels[tie]! += whole;
			if (!factorise(workspace)) throw new RangeError("the cross-section's matrix is not positive definite");
			const square = schurInverse(workspace, last);
			const packed = new Float64Array((count * (count + 1)) / 2);
			for (let i = 0; i < count; i++)
				packed.set(square.subarray(i * count, i * count + i + 1), (i * (i + 1)) / 2);
			return packed;
		},
	};
}
