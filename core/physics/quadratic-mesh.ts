import type { Mesh } from "../mesh/mesh.ts";
import type { MiddleOfSide } from "./curved-sides.ts";
import type { ElementMesh } from "./elements.ts";
import { findEdges } from "./mesh-edges.ts";

/** The same triangles with quadratic functions: a node amid each side, on the curve that the side stands for
 *  (isoparametric elements; Ciarlet & Raviart, in Aziz, The Mathematical Foundations of the Finite Element Method,
 *  1972). Corners keep their numbers. */
export function createQuadraticMesh(mesh: Mesh, middleOfSide: MiddleOfSide): ElementMesh {
	const nodeCount = mesh.nodes.length / 2;
	const triangleCount = mesh.triangles.length / 3;
	const edges = findEdges(mesh.triangles, nodeCount);
	const nodes = new Float64Array(2 * (nodeCount + edges.count));
	nodes.set(mesh.nodes);
	const middle = new Float64Array(2);
	const edgeOfEnds = new Map<number, number>();
	for (let e = 0; e < edges.count; e++) {
		const a = edges.ends[2 * e]!;
		const b = edges.ends[2 * e + 1]!;
		const [one, other] = [edges.triangles[2 * e]!, edges.triangles[2 * e + 1]!];
		const outer = other < 0 ? -1 : mesh.regionOf[other]!;
		const from = mesh.nodes;
		middleOfSide(
			from[2 * a]!,
			from[2 * a + 1]!,
			from[2 * b]!,
			from[2 * b + 1]!,
			mesh.regionOf[one]!,
			outer,
			middle,
		);
		nodes.set(middle, 2 * (nodeCount + e));
		if (other < 0) edgeOfEnds.set(a * nodeCount + b, e);
	}
	const triangles = new Uint32Array(6 * triangleCount);
	for (let t = 0; t < triangleCount; t++)
		for (let i = 0; i < 3; i++) {
			triangles[6 * t + i] = mesh.triangles[3 * t + i]!;
			triangles[6 * t + 3 + i] = nodeCount + edges.ofTriangle[3 * t + i]!;
		}
	const electrodeEdges = new Uint32Array(3 * mesh.electrodeOfEdge.length);
	for (let i = 0; i < mesh.electrodeOfEdge.length; i++) {
		const a = mesh.electrodeEdges[2 * i]!;
		const b = mesh.electrodeEdges[2 * i + 1]!;
		const edge = edgeOfEnds.get(Math.min(a, b) * nodeCount + Math.max(a, b));
		if (edge === undefined) throw new RangeError(`electrode edge ${i} is no side on the mesh's boundary`);
		electrodeEdges.set([a, b, nodeCount + edge], 3 * i);
	}
	return {
		order: 2,
		nodes,
		reportedNodes: nodeCount,
		triangles,
		electrodeEdges,
		electrodeOfEdge: mesh.electrodeOfEdge,
		electrodeCount: mesh.electrodeCount,
	};
}
