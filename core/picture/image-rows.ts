import type { Mesh } from "../mesh/mesh.ts";

/** Weighted means over a picture's cells, as compressed sparse rows: what is wanted instead of every cell. */
export interface ImageRows {
	readonly count: number;
	/** [count + 1] */
	readonly rowStart: Uint32Array;
	/** [nEntries] */
	readonly cell: Uint32Array;
	/** [nEntries] weights of a row sum to one, or the row is empty. */
	readonly weight: Float64Array;
}

/** [nTriangles] m² */
export function cellAreas({ nodes, triangles }: Mesh): Float64Array {
	const areas = new Float64Array(triangles.length / 3);
	for (let k = 0; k < areas.length; k++) {
		const a = 2 * triangles[3 * k]!;
		const b = 2 * triangles[3 * k + 1]!;
		const c = 2 * triangles[3 * k + 2]!;
		areas[k] =
			((nodes[b]! - nodes[a]!) * (nodes[c + 1]! - nodes[a + 1]!) -
				(nodes[c]! - nodes[a]!) * (nodes[b + 1]! - nodes[a + 1]!)) /
			2;
	}
	return areas;
}

/** [nTriangles × 2] m */
export function cellCentres({ nodes, triangles }: Mesh): Float64Array {
	const centres = new Float64Array((triangles.length / 3) * 2);
	for (let k = 0; k < centres.length / 2; k++) {
		for (let axis = 0; axis < 2; axis++) {
			let sum = 0;
			for (let corner = 0; corner < 3; corner++) sum += nodes[2 * triangles[3 * k + corner]! + axis]!;
			centres[2 * k + axis] = sum / 3;
		}
	}
	return centres;
}

/** Centre of the cells' area, and that area in m². @param centres [nCells × 2] m */
export function centreOfArea(
	centres: Float64Array,
	areas: Float64Array,
): { readonly x: number; readonly y: number; readonly area: number } {
	let area = 0;
	let x = 0;
	let y = 0;
	for (let k = 0; k < areas.length; k++) {
		area += areas[k]!;
		x += areas[k]! * centres[2 * k]!;
		y += areas[k]! * centres[2 * k + 1]!;
	}
	return { x: x / area, y: y / area, area };
}

/** Value at each node: mean of the cells around it, by area. Smooth shading between nodes then shows it all. */
export function nodeRows(mesh: Mesh, areas: Float64Array): ImageRows {
	const nodeCount = mesh.nodes.length / 2;
	const around: number[][] = Array.from({ length: nodeCount }, () => []);
	for (let i = 0; i < mesh.triangles.length; i++) around[mesh.triangles[i]!]!.push((i / 3) | 0);
	return meansOver(around, areas);
}

/** Mean over each set of cells, by area. */
export function meansOver(sets: readonly (readonly number[])[], areas: Float64Array): ImageRows {
	const rowStart = new Uint32Array(sets.length + 1);
	for (const [i, set] of sets.entries()) rowStart[i + 1] = rowStart[i]! + set.length;
	const cell = new Uint32Array(rowStart[sets.length]!);
	const weight = new Float64Array(cell.length);
	for (const [i, set] of sets.entries()) {
		let total = 0;
		for (const k of set) total += areas[k]!;
		for (const [e, k] of set.entries()) {
			cell[rowStart[i]! + e] = k;
			weight[rowStart[i]! + e] = areas[k]! / total;
		}
	}
	return { count: sets.length, rowStart, cell, weight };
}

export function everyCell(count: number): ImageRows {
	return {
		count,
		rowStart: Uint32Array.from({ length: count + 1 }, (_, i) => i),
		cell: Uint32Array.from({ length: count }, (_, i) => i),
		weight: new Float64Array(count).fill(1),
	};
}

export function stackRows(upper: ImageRows, lower: ImageRows): ImageRows {
	const entries = upper.cell.length;
	const rowStart = new Uint32Array(upper.count + lower.count + 1);
	rowStart.set(upper.rowStart);
	for (let i = 0; i <= lower.count; i++) rowStart[upper.count + i] = entries + lower.rowStart[i]!;
	const cell = new Uint32Array(entries + lower.cell.length);
	const weight = new Float64Array(cell.length);
	cell.set(upper.cell);
	cell.set(lower.cell, entries);
	weight.set(upper.weight);
	weight.set(lower.weight, entries);
	return { count: upper.count + lower.count, rowStart, cell, weight };
}
