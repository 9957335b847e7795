import { createCholeskyWorkspace, factorise, solveFactored } from "../physics/cholesky.ts";
import type { ForwardField } from "../physics/forward.ts";
import { requirePositive, sumZeroField } from "../physics/forward-solver.ts";
import { createSparseStructure } from "../physics/sparse-structure.ts";
import { schurInverse } from "./schur-inverse.ts";
import { faceMatrices, tetrahedronMatrices } from "./volume-elements.ts";
import type { VolumeMesh } from "./volume-mesh.ts";

/** Solves on one volume for any conductivities and contact impedances. */
export interface VolumeSolver {
	/**
	 * @param sigma [nCells] S/m
	 * @param contactImpedance [electrodeCount] Ω·m²
	 * @param nodes [nNodes × 3] m: where the mesh's nodes lie meanwhile; where they were when left out
	 * @throws RangeError when a value is not positive and finite, or a length does not fit the mesh
	 */
	solve(sigma: Float64Array, contactImpedance: Float64Array, nodes?: Float64Array): ForwardField;
	/** [electrodeCount × electrodeCount] the same field's `transfer`, in two thirds of the time: potentials inside are left
	 *  out. */
	transfer(sigma: Float64Array, contactImpedance: Float64Array, nodes?: Float64Array): Float64Array;
}

/** The complete electrode model (Somersalo, Cheney & Isaacson, SIAM J. Appl. Math. 52:1023, 1992) with linear functions
 *  on tetrahedra: unknowns are the node potentials, then the electrode potentials. */
export function createVolumeSolver(mesh: VolumeMesh): VolumeSolver {
	const { nodes, tetrahedra, electrodeFaces, electrodeOfFace, electrodeCount } = mesh;
	const nodeCount = nodes.length / 3;
	const tetrahedronCount = tetrahedra.length / 4;
	const faceCount = electrodeOfFace.length;
	const unknownCount = nodeCount + electrodeCount;
	const last = electrodeCount - 1;

	// as in the plane: the last electrode alone is a clique too, for the tie that makes the matrix definite
	const cliqueStart = new Int32Array(tetrahedronCount + faceCount + 2);
	const members = new Int32Array(4 * (tetrahedronCount + faceCount) + 1);
	members.set(tetrahedra);
	for (let c = 0; c <= tetrahedronCount + faceCount; c++) cliqueStart[c] = 4 * c;
	for (let f = 0; f < faceCount; f++) {
		const at = 4 * (tetrahedronCount + f);
		members.set(electrodeFaces.subarray(3 * f, 3 * f + 3), at);
		members[at + 3] = nodeCount + electrodeOfFace[f]!;
	}
	members[members.length - 1] = nodeCount + last;
	cliqueStart[cliqueStart.length - 1] = members.length;

	const electrodes = Int32Array.from({ length: electrodeCount }, (_, m) => nodeCount + m);
	const structure = createSparseStructure(unknownCount, cliqueStart, members, placesOf(mesh), 3, electrodes);
	const workspace = createCholeskyWorkspace(structure);
	const { entryPosition, placeOf } = structure;
	const { panels } = workspace;
	const still = { bulk: tetrahedronMatrices(mesh), contact: faceMatrices(mesh) };
	const potentials = new Float64Array(unknownCount * electrodeCount);

	function factor(sigma: Float64Array, contactImpedance: Float64Array, moved?: Float64Array): void {
		requirePositive("sigma", sigma, tetrahedronCount / 3);
		requirePositive("contactImpedance", contactImpedance, electrodeCount);
		const now = moved && { ...mesh, nodes: moved };
		const { bulk, contact } = now ? { bulk: tetrahedronMatrices(now), contact: faceMatrices(now) } : still;
		panels.fill(0);
		let entry = 0;
		for (const s of sigma)
			for (let i = 0; i < 30; i++) {
				panels[entryPosition[entry]!]! += s * bulk[entry]!;
				entry++;
			}
		let tie = 0;
		for (let f = 0; f < faceCount; f++) {
			const perOhm = 1 / contactImpedance[electrodeOfFace[f]!]!;
			for (let i = 0; i < 10; i++) panels[entryPosition[entry++]!]! += perOhm * contact[10 * f + i]!;
			if (electrodeOfFace[f] === last) tie += perOhm * contact[10 * f + 9]!;
		}
		panels[entryPosition[entry]!]! += tie;
		if (!factorise(workspace))
			throw new RangeError("the volume's matrix is not positive definite: conductivities differ too much");
	}

	return {
		solve(sigma, contactImpedance, moved) {
			factor(sigma, contactImpedance, moved);
			potentials.fill(0);
			for (let m = 0; m < electrodeCount; m++) {
				const row = placeOf[nodeCount + m]! * electrodeCount;
				potentials.fill(-1 / electrodeCount, row, row + electrodeCount);
				potentials[row + m]! += 1;
			}
			solveFactored(workspace, potentials, electrodeCount);
			return sumZeroField(potentials, placeOf, nodeCount, nodeCount, electrodeCount);
		},
		transfer(sigma, contactImpedance, moved) {
			factor(sigma, contactImpedance, moved);
			const transfer = schurInverse(workspace, electrodes);
			centreRows(transfer, electrodeCount);
			return transfer;
		},
	};
}

/** Currents that sum to zero, and potentials that do: takes means off the rows and columns of a symmetric [L × L]. */
function centreRows(transfer: Float64Array, L: number): void {
	const mean = new Float64Array(L);
	let whole = 0;
	for (let l = 0; l < L; l++) {
		for (let m = 0; m < L; m++) mean[l]! += transfer[l * L + m]! / L;
		whole += mean[l]! / L;
	}
	for (let l = 0; l < L; l++) for (let m = 0; m < L; m++) transfer[l * L + m]! -= mean[l]! + mean[m]! - whole;
}

/** Where the unknowns lie: nodes at their place, an electrode's potential amid its faces. */
function placesOf({ nodes, electrodeFaces, electrodeOfFace, electrodeCount }: VolumeMesh): Float64Array {
	const places = new Float64Array(nodes.length + 3 * electrodeCount);
	places.set(nodes);
	const corners = new Float64Array(electrodeCount);
	for (let i = 0; i < electrodeFaces.length; i++) {
		const l = electrodeOfFace[Math.floor(i / 3)]!;
		corners[l]!++;
		for (let axis = 0; axis < 3; axis++)
			places[nodes.length + 3 * l + axis]! += nodes[3 * electrodeFaces[i]! + axis]!;
	}
	for (let l = 0; l < electrodeCount; l++) {
		if (corners[l] === 0) throw new RangeError(`the volume has no skin under electrode ${l}`);
		for (let axis = 0; axis < 3; axis++) places[nodes.length + 3 * l + axis]! /= corners[l]!;
	}
	return places;
}
