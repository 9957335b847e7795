import type { Mesh } from "./mesh.ts";
import { OUTSIDE } from "./sides.ts";
import { nextEdge, type Triangulation } from "./triangulation.ts";

/** Where a boundary edge lies under an electrode. */
export interface ElectrodePlace {
	readonly electrode: number;
	/** Arc length from the electrode's start, m. */
	readonly offset: number;
}

/**
 * Takes the triangles inside the skin out of a triangulation.
 *
 * @param placeOf of a segment number: the electrode over it, or null
 */
export function packMesh(
	t: Triangulation,
	electrodeCount: number,
	placeOf: (segment: number) => ElectrodePlace | null,
): Mesh {
	const numbers = new Int32Array(t.nVertices).fill(-1);
	let nNodes = 0;
	let nTriangles = 0;
	for (let i = 0; i < t.nTriangles; i++) {
		if (t.label[i] === OUTSIDE) continue;
		nTriangles++;
		for (let e = 3 * i; e < 3 * i + 3; e++) {
			const v = t.origin[e]!;
			if (numbers[v]! < 0) numbers[v] = nNodes++;
		}
	}
	const nodes = new Float64Array(2 * nNodes);
	for (let v = 0; v < t.nVertices; v++) {
		const number = numbers[v]!;
		if (number < 0) continue;
		nodes[2 * number] = t.x[v]!;
		nodes[2 * number + 1] = t.y[v]!;
	}

	const triangles = new Uint32Array(3 * nTriangles);
	const regionOf = new Uint8Array(nTriangles);
	const covered: (ElectrodePlace & { readonly from: number; readonly to: number })[] = [];
	let k = 0;
	for (let i = 0; i < t.nTriangles; i++) {
		if (t.label[i] === OUTSIDE) continue;
		regionOf[k] = t.label[i]!;
		for (let e = 3 * i; e < 3 * i + 3; e++) {
			const from = numbers[t.origin[e]!]!;
			triangles[3 * k + (e % 3)] = from;
			if (t.segment[e] === 0) continue;
			const place = placeOf(t.segment[e]! - 1);
			if (place) covered.push({ ...place, from, to: numbers[t.origin[nextEdge(e)]!]! });
		}
		k++;
	}
	covered.sort((p, q) => p.electrode - q.electrode || p.offset - q.offset);
	return {
		nodes,
		triangles,
		regionOf,
		electrodeEdges: Uint32Array.from(covered.flatMap(({ from, to }) => [from, to])),
		electrodeOfEdge: Uint16Array.from(covered, ({ electrode }) => electrode),
		electrodeCount,
	};
}
