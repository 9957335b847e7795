import type { Mesh } from "./mesh.ts";

/** Area of each triangle, m². [nTriangles] */
export function triangleAreas({ nodes, triangles }: Mesh): Float64Array {
	const areas = new Float64Array(triangles.length / 3);
	for (let i = 0; i < areas.length; i++) {
		const a = 2 * triangles[3 * i]!;
		const b = 2 * triangles[3 * i + 1]!;
		const c = 2 * triangles[3 * i + 2]!;
		areas[i] =
			((nodes[b]! - nodes[a]!) * (nodes[c + 1]! - nodes[a + 1]!) -
				(nodes[b + 1]! - nodes[a + 1]!) * (nodes[c]! - nodes[a]!)) /
			2;
	}
	return areas;
}

/** Centre of each triangle, m. [nTriangles × 2] x, y */
export function triangleCentroids({ nodes, triangles }: Mesh): Float64Array {
	const centroids = new Float64Array((2 * triangles.length) / 3);
	for (let i = 0; i < centroids.length / 2; i++) {
		const a = 2 * triangles[3 * i]!;
		const b = 2 * triangles[3 * i + 1]!;
		const c = 2 * triangles[3 * i + 2]!;
		centroids[2 * i] = (nodes[a]! + nodes[b]! + nodes[c]!) / 3;
		centroids[2 * i + 1] = (nodes[a + 1]! + nodes[b + 1]! + nodes[c + 1]!) / 3;
	}
	return centroids;
}

/** Turns values per triangle into values per node: the mean of the triangles around it, weighted by area. */
export interface NodeAverage {
	readonly nNodes: number;
	readonly nTriangles: number;
	/** nodeValues[nNodes] is overwritten from cellValues[nTriangles]. Allocates nothing. @throws RangeError on
	 *  lengths. */
	into(nodeValues: Float32Array | Float64Array, cellValues: Float32Array | Float64Array): void;
}

export function createNodeAverage(mesh: Mesh): NodeAverage {
	const { triangles } = mesh;
	const nNodes = mesh.nodes.length / 2;
	const nTriangles = triangles.length / 3;
	const areas = triangleAreas(mesh);
	const starts = new Uint32Array(nNodes + 1);
	for (const v of triangles) starts[v + 1]!++;
	for (let v = 0; v < nNodes; v++) starts[v + 1]! += starts[v]!;
	const fill = starts.slice();
	const cells = new Uint32Array(triangles.length);
	const weights = new Float64Array(triangles.length);
	const total = new Float64Array(nNodes);
	for (let k = 0; k < triangles.length; k++) {
		const v = triangles[k]!;
		const cell = Math.floor(k / 3);
		cells[fill[v]!] = cell;
		weights[fill[v]!++] = areas[cell]!;
		total[v]! += areas[cell]!;
	}
	for (let v = 0; v < nNodes; v++) {
		for (let k = starts[v]!; k < starts[v + 1]!; k++) weights[k]! /= total[v]!;
	}
	return {
		nNodes,
		nTriangles,
		into(nodeValues, cellValues) {
			if (nodeValues.length !== nNodes || cellValues.length !== nTriangles) {
				throw new RangeError(
					`node average: ${nodeValues.length} node and ${cellValues.length} cell values for ${nNodes} nodes and ${nTriangles} triangles`,
				);
			}
			for (let v = 0; v < nNodes; v++) {
				let sum = 0;
				for (let k = starts[v]!; k < starts[v + 1]!; k++) sum += weights[k]! * cellValues[cells[k]!]!;
				nodeValues[v] = sum;
			}
		},
	};
}
