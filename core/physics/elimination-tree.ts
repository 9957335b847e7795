import type { Graph } from "./ordering.ts";

/** Elimination tree (Liu, ACM Trans. Math. Softw. 12:127, 1986) of the graph in the given order, and that order
 *  rearranged so that every subtree is a run of columns. */
export function postordered(graph: Graph, order: Int32Array) {
	const n = graph.vertexCount;
	const placeOf = new Int32Array(n);
	for (let k = 0; k < n; k++) placeOf[order[k]!] = k;
	const parent = new Int32Array(n).fill(-1);
	const ancestor = new Int32Array(n).fill(-1);
	for (let k = 0; k < n; k++) {
		const v = order[k]!;
		for (let e = graph.start[v]!; e < graph.start[v + 1]!; e++) {
			let i = placeOf[graph.neighbours[e]!]!;
			if (i >= k) continue;
			while (i !== k) {
				const up = ancestor[i]!;
				ancestor[i] = k;
				if (up === k) break;
				if (up < 0) {
					parent[i] = k;
					break;
				}
				i = up;
			}
		}
	}

	const { childStart, children } = listChildren(n, (k) => parent[k]!);
	const next = childStart.slice(0, n);
	const newPlace = new Int32Array(n);
	const path = new Int32Array(n);
	let place = 0;
	for (let root = 0; root < n; root++) {
		if (parent[root]! >= 0) continue;
		let depth = 0;
		path[0] = root;
		while (depth >= 0) {
			const k = path[depth]!;
			if (next[k]! < childStart[k + 1]!) path[++depth] = children[next[k]!++]!;
			else {
				newPlace[k] = place++;
				depth--;
			}
		}
	}
	const newOrder = new Int32Array(n);
	const newParent = new Int32Array(n);
	for (let k = 0; k < n; k++) {
		newOrder[newPlace[k]!] = order[k]!;
		newParent[newPlace[k]!] = parent[k]! < 0 ? -1 : newPlace[parent[k]!]!;
	}
	for (let k = 0; k < n; k++) placeOf[newOrder[k]!] = k;
	return { placeOf, order: newOrder, parent: newParent };
}

/** The children of each vertex of a forest: those of k are `children[childStart[k] … childStart[k + 1] - 1]`. */
export function listChildren(count: number, parentOf: (k: number) => number) {
	const childStart = new Int32Array(count + 1);
	for (let k = 0; k < count; k++) {
		const up = parentOf(k);
		if (up >= 0) childStart[up + 1]!++;
	}
	for (let k = 0; k < count; k++) childStart[k + 1]! += childStart[k]!;
	const fill = childStart.slice(0, count);
	const children = new Int32Array(childStart[count]!);
	for (let k = 0; k < count; k++) {
		const up = parentOf(k);
		if (up >= 0) children[fill[up]!++] = k;
	}
	return { childStart, children };
}

/** Numbers in each column of the factor, diagonal included, by walking each row's subtree. */
export function columnCounts(
	graph: Graph,
	order: Int32Array,
	placeOf: Int32Array,
	parent: Int32Array,
): Int32Array {
	const n = graph.vertexCount;
	const count = new Int32Array(n).fill(1);
	const seen = new Int32Array(n).fill(-1);
	for (let row = 0; row < n; row++) {
		const v = order[row]!;
		seen[row] = row;
		for (let e = graph.start[v]!; e < graph.start[v + 1]!; e++) {
			let column = placeOf[graph.neighbours[e]!]!;
			if (column >= row) continue;
			while (seen[column] !== row) {
				seen[column] = row;
				count[column]!++;
				column = parent[column]!;
			}
		}
	}
	return count;
}
