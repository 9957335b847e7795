/** The sides of a triangle mesh, each once. */
export interface MeshEdges {
	readonly count: number;
	/** [count × 2] its nodes. */
	readonly ends: Uint32Array;
	/** [count × 2] the triangles on it, the second −1 on the boundary. */
	readonly triangles: Int32Array;
	/** [nTriangles × 3] the sides 0–1, 1–2, 2–0 of each triangle. */
	readonly ofTriangle: Uint32Array;
}

/** @param triangles [nTriangles × 3] */
export function findEdges(triangles: Uint32Array, nodeCount: number): MeshEdges {
	const sides = triangles.length;
	const ends = new Uint32Array(2 * sides);
	const owners = new Int32Array(2 * sides).fill(-1);
	const ofTriangle = new Uint32Array(sides);
	// edges in a chain per lower-numbered node
	const first = new Int32Array(nodeCount).fill(-1);
	const next = new Int32Array(sides).fill(-1);
	let count = 0;
	for (let side = 0; side < sides; side++) {
		const a = triangles[side]!;
		const b = triangles[side % 3 === 2 ? side - 2 : side + 1]!;
		const low = Math.min(a, b);
		const high = Math.max(a, b);
		let edge = first[low]!;
		while (edge >= 0 && ends[2 * edge + 1] !== high) edge = next[edge]!;
		if (edge < 0) {
			edge = count++;
			ends[2 * edge] = low;
			ends[2 * edge + 1] = high;
			next[edge] = first[low]!;
			first[low] = edge;
			owners[2 * edge] = Math.floor(side / 3);
		} else owners[2 * edge + 1] = Math.floor(side / 3);
		ofTriangle[side] = edge;
	}
	return { count, ends: ends.slice(0, 2 * count), triangles: owners.slice(0, 2 * count), ofTriangle };
}
