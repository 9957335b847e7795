import { createCholeskyWorkspace, factorise, solveFactored } from "./cholesky.ts";
import { type ElementMesh, edgeMatrices, triangleMatrices } from "./elements.ts";
import type { ForwardField } from "./forward.ts";
import { createSparseStructure } from "./sparse-structure.ts";

/** Solves on one mesh for any conductivities and contact impedances; the work that depends only on the mesh was
 *  done when it was made. */
export interface ForwardSolver {
	/**
	 * @returns potentials of the electrodes and of the mesh's `reportedNodes`
	 * @param sigma [nTriangles] S/m, positive
	 * @param contactImpedance [electrodeCount] Ω·m², positive
	 * @throws RangeError when a value is not positive and finite, or a length does not fit the mesh
	 */
	solve(sigma: Float64Array, contactImpedance: Float64Array): ForwardField;
}

/**
 * The complete electrode model (Somersalo, Cheney & Isaacson, SIAM J. Appl. Math. 52:1023, 1992) by finite
 * elements: unknowns are the node potentials, then the electrode potentials.
 */
export function createForwardSolver(mesh: ElementMesh): ForwardSolver {
	const { order, nodes, reportedNodes, triangles, electrodeEdges, electrodeOfEdge, electrodeCount } = mesh;
	const nodeCount = nodes.length / 2;
	const perTriangle = order === 1 ? 3 : 6;
	const perEdge = order + 1;
	const triangleCount = triangles.length / perTriangle;
	const edgeCount = electrodeOfEdge.length;
	const unknownCount = nodeCount + electrodeCount;
	const last = electrodeCount - 1;

	// Cliques: triangles, electrode edges with their electrode, and the last electrode alone, which is tied to
	// 0 V by a conductor: since the currents sum to zero none flows through it, and the matrix becomes definite.
	const cliqueStart = new Int32Array(triangleCount + edgeCount + 2);
	const members = new Int32Array(triangles.length + edgeCount * (perEdge + 1) + 1);
	members.set(triangles);
	let member = triangles.length;
	for (let t = 0; t < triangleCount; t++) cliqueStart[t + 1] = perTriangle * (t + 1);
	for (let e = 0; e < edgeCount; e++) {
		for (let i = 0; i < perEdge; i++) members[member++] = electrodeEdges[perEdge * e + i]!;
		members[member++] = nodeCount + electrodeOfEdge[e]!;
		cliqueStart[triangleCount + e + 1] = member;
	}
	members[member++] = nodeCount + last;
	cliqueStart[triangleCount + edgeCount + 1] = member;

	const structure = createSparseStructure(unknownCount, cliqueStart, members, placesOf(mesh));
	const workspace = createCholeskyWorkspace(structure);
	const { entryPosition, placeOf } = structure;
	const { panels } = workspace;
	const bulk = triangleMatrices(mesh);
	const contact = edgeMatrices(mesh);
	const bulkEntries = bulk.length / triangleCount;
	const contactEntries = contact.length / edgeCount;
	const potentials = new Float64Array(unknownCount * electrodeCount);

	return {
		solve(sigma, contactImpedance) {
			requirePositive("sigma", sigma, triangleCount);
			requirePositive("contactImpedance", contactImpedance, electrodeCount);
			panels.fill(0);
			let entry = 0;
			for (let t = 0; t < triangleCount; t++) {
				const s = sigma[t]!;
				for (let i = 0; i < bulkEntries; i++) {
					panels[entryPosition[entry]!]! += s * bulk[entry]!;
					entry++;
				}
			}
			let tie = 0;
			for (let e = 0; e < edgeCount; e++) {
				const perOhm = 1 / contactImpedance[electrodeOfEdge[e]!]!;
				for (let i = 0; i < contactEntries; i++)
					panels[entryPosition[entry++]!]! += perOhm * contact[e * contactEntries + i]!;
				if (electrodeOfEdge[e] === last) tie += perOhm * contact[(e + 1) * contactEntries - 1]!;
			}
			panels[entryPosition[entry]!]! += tie;
			if (!factorise(workspace))
				throw new RangeError(
					"the model's matrix is not positive definite: an electrode has no edges, or conductivities differ too much",
				);

			potentials.fill(0);
			for (let m = 0; m < electrodeCount; m++) {
				const row = placeOf[nodeCount + m]! * electrodeCount;
				potentials.fill(-1 / electrodeCount, row, row + electrodeCount);
				potentials[row + m]! += 1;
			}
			solveFactored(workspace, potentials, electrodeCount);
			return sumZeroField(potentials, placeOf, nodeCount, reportedNodes, electrodeCount);
		},
	};
}

/** Shifts each current's potentials so that the electrodes' sum to zero, and sorts them by current.
 *  @param potentials [unknowns at their places × electrodeCount], the nodes' first, then the electrodes' */
export function sumZeroField(
	potentials: Float64Array,
	placeOf: Int32Array,
	nodeCount: number,
	reportedNodes: number,
	electrodeCount: number,
): ForwardField {
	const mean = new Float64Array(electrodeCount);
	for (let m = 0; m < electrodeCount; m++) {
		const row = placeOf[nodeCount + m]! * electrodeCount;
		for (let l = 0; l < electrodeCount; l++) mean[l]! += potentials[row + l]! / electrodeCount;
	}
	const transfer = new Float64Array(electrodeCount * electrodeCount);
	for (let m = 0; m < electrodeCount; m++) {
		const row = placeOf[nodeCount + m]! * electrodeCount;
		for (let l = 0; l < electrodeCount; l++)
			transfer[l * electrodeCount + m] = potentials[row + l]! - mean[l]!;
	}
	const nodePotentials = new Float64Array(electrodeCount * reportedNodes);
	for (let v = 0; v < reportedNodes; v++) {
		const row = placeOf[v]! * electrodeCount;
		for (let l = 0; l < electrodeCount; l++)
			nodePotentials[l * reportedNodes + v] = potentials[row + l]! - mean[l]!;
	}
	return { electrodeCount, transfer, nodePotentials };
}

/** Where the unknowns lie: nodes at their place, an electrode's potential amid its edges. */
function placesOf({
	order,
	nodes,
	electrodeEdges,
	electrodeOfEdge,
	electrodeCount,
}: ElementMesh): Float64Array {
	const places = new Float64Array(nodes.length + 2 * electrodeCount);
	places.set(nodes);
	const edges = new Float64Array(electrodeCount);
	const perEdge = order + 1;
	for (let e = 0; e < electrodeOfEdge.length; e++) {
		const l = electrodeOfEdge[e]!;
		const a = 2 * electrodeEdges[perEdge * e]!;
		const b = 2 * electrodeEdges[perEdge * e + 1]!;
		edges[l]!++;
		places[nodes.length + 2 * l]! += (nodes[a]! + nodes[b]!) / 2;
		places[nodes.length + 2 * l + 1]! += (nodes[a + 1]! + nodes[b + 1]!) / 2;
	}
	for (let l = 0; l < electrodeCount; l++) {
		if (edges[l] === 0) throw new RangeError(`the mesh has no edge under electrode ${l}`);
		places[nodes.length + 2 * l]! /= edges[l]!;
		places[nodes.length + 2 * l + 1]! /= edges[l]!;
	}
	return places;
}

/** @throws RangeError naming the first value that is not positive and finite, or when the length is another */
export function requirePositive(name: string, values: Float64Array, count: number): void {
	if (values.length !== count)
		throw new RangeError(`${name} has ${values.length} values, the mesh needs ${count}`);
	for (let i = 0; i < count; i++)
		if (!(values[i]! > 0 && values[i]! < Number.POSITIVE_INFINITY))
			throw new RangeError(`${name}[${i}] must be positive and finite, got ${values[i]}`);
}
