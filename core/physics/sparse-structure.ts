import { type Graph, orderByDissection } from "./ordering.ts";

/**
 * Everything about factoring a sparse symmetric matrix that does not depend on its values: which unknowns are
 * eliminated in which order, and where each number of the factor lives. Made once per mesh, used for every
 * conductivity.
 *
 * The matrix is a sum of small dense blocks ("cliques": a triangle, an electrode edge); the factor is a set of
 * dense panels, one per supernode (a run of columns with the same rows below them; Duff & Reid, ACM Trans. Math.
 * Softw. 9:302, 1983; Liu, SIAM Review 34:82, 1992). Rows and columns below are positions in the elimination order.
 */
export interface SparseStructure {
	readonly unknownCount: number;
	/** [unknownCount] place of each unknown in the elimination order. */
	readonly placeOf: Int32Array;
	readonly supernodeCount: number;
	/** [supernodeCount + 1] first column of each supernode; they are eliminated in this order. */
	readonly firstColumn: Int32Array;
	/** [supernodeCount + 1] where each supernode's rows begin in `rows`. */
	readonly rowStart: Int32Array;
	/** Ascending rows of each panel, its own columns first. */
	readonly rows: Int32Array;
	/** [supernodeCount + 1] where each panel's values begin; row-major, as many columns as the supernode has. */
	readonly panelStart: Int32Array;
	/** As long as `rows`: for rows below the supernode's own columns, their number among the parent's rows. */
	readonly rowInParent: Int32Array;
	/** [supernodeCount + 1] and the children of each supernode, ascending. */
	readonly childStart: Int32Array;
	readonly children: Int32Array;
	/** Numbers needed at once for update matrices that wait for their parent. */
	readonly stackSize: number;
	/** Where each entry of each clique is added: cliques in turn, each a packed lower triangle by rows. */
	readonly entryPosition: Int32Array;
}

/**
 * @param cliqueStart [cliqueCount + 1] where each clique's unknowns begin in `cliqueMembers`
 * @param places [unknownCount × 2] where each unknown lies, for the elimination order
 */
export function createSparseStructure(
	unknownCount: number,
	cliqueStart: Int32Array,
	cliqueMembers: Int32Array,
	places: Float64Array,
): SparseStructure {
	const graph = graphOfCliques(unknownCount, cliqueStart, cliqueMembers);
	const { placeOf, order, parent } = postordered(graph, orderByDissection(graph, places));
	const { firstColumn, supernodeCount } = findSupernodes(parent, columnCounts(graph, order, placeOf, parent));

	const supernodeOf = new Int32Array(unknownCount);
	for (let s = 0; s < supernodeCount; s++) supernodeOf.fill(s, firstColumn[s]!, firstColumn[s + 1]!);

	// Rows of each panel: its columns, then what the matrix and the children bring below them.
	const rowStart = new Int32Array(supernodeCount + 1);
	const childLists = listChildren(supernodeCount, (s) => {
		const up = parent[firstColumn[s + 1]! - 1]!;
		return up < 0 ? -1 : supernodeOf[up]!;
	});
	const { childStart, children } = childLists;
	let rows = new Int32Array(8 * unknownCount);
	const seen = new Int32Array(unknownCount).fill(-1);
	let rowEnd = 0;
	for (let s = 0; s < supernodeCount; s++) {
		const first = firstColumn[s]!;
		const next = firstColumn[s + 1]!;
		rowStart[s] = rowEnd;
		if (rowEnd + unknownCount > rows.length) {
			const grown = new Int32Array(2 * rows.length);
			grown.set(rows);
			rows = grown;
		}
		for (let column = first; column < next; column++) rows[rowEnd++] = column;
		const below = rowEnd;
		for (let column = first; column < next; column++) {
			const v = order[column]!;
			for (let e = graph.start[v]!; e < graph.start[v + 1]!; e++) {
				const row = placeOf[graph.neighbours[e]!]!;
				if (row >= next && seen[row] !== s) {
					seen[row] = s;
					rows[rowEnd++] = row;
				}
			}
		}
		for (let c = childStart[s]!; c < childStart[s + 1]!; c++) {
			const child = children[c]!;
			for (let i = rowStart[child]!; i < rowStart[child + 1]!; i++) {
				const row = rows[i]!;
				if (row >= next && seen[row] !== s) {
					seen[row] = s;
					rows[rowEnd++] = row;
				}
			}
		}
		rows.subarray(below, rowEnd).sort();
		rowStart[s + 1] = rowEnd;
	}
	rows = rows.slice(0, rowEnd);

	// Where the values live, and how each child's rows map into its parent's.
	const panelStart = new Int32Array(supernodeCount + 1);
	const rowInParent = new Int32Array(rowEnd).fill(-1);
	const local = new Int32Array(unknownCount);
	let stackTop = 0;
	let stackSize = 0;
	const waiting = new Int32Array(supernodeCount);
	for (let s = 0; s < supernodeCount; s++) {
		const width = firstColumn[s + 1]! - firstColumn[s]!;
		const height = rowStart[s + 1]! - rowStart[s]!;
		panelStart[s + 1] = panelStart[s]! + width * height;
		for (let i = 0; i < height; i++) local[rows[rowStart[s]! + i]!] = i;
		const remaining = height - width;
		waiting[s] = (remaining * (remaining + 1)) / 2;
		stackSize = Math.max(stackSize, stackTop + waiting[s]!);
		for (let c = childStart[s]!; c < childStart[s + 1]!; c++) {
			const child = children[c]!;
			const own = firstColumn[child + 1]! - firstColumn[child]!;
			for (let i = rowStart[child]! + own; i < rowStart[child + 1]!; i++) rowInParent[i] = local[rows[i]!]!;
			stackTop -= waiting[child]!;
		}
		stackTop += waiting[s]!;
	}

	const entryPosition = locateEntries(
		cliqueStart,
		cliqueMembers,
		placeOf,
		supernodeOf,
		firstColumn,
		rowStart,
		rows,
		panelStart,
	);
	return {
		unknownCount,
		placeOf,
		supernodeCount,
		firstColumn,
		rowStart,
		rows,
		panelStart,
		rowInParent,
		childStart,
		children,
		stackSize,
		entryPosition,
	};
}

function graphOfCliques(vertexCount: number, cliqueStart: Int32Array, members: Int32Array): Graph {
	const cliqueCount = cliqueStart.length - 1;
	const holderStart = new Int32Array(vertexCount + 1);
	for (let i = 0; i < members.length; i++) holderStart[members[i]! + 1]!++;
	for (let v = 0; v < vertexCount; v++) holderStart[v + 1]! += holderStart[v]!;
	const fill = holderStart.slice(0, vertexCount);
	const holders = new Int32Array(members.length);
	let bound = 0;
	for (let c = 0; c < cliqueCount; c++) {
		const size = cliqueStart[c + 1]! - cliqueStart[c]!;
		bound += size * (size - 1);
		for (let i = cliqueStart[c]!; i < cliqueStart[c + 1]!; i++) holders[fill[members[i]!]!++] = c;
	}
	const start = new Int32Array(vertexCount + 1);
	const neighbours = new Int32Array(bound);
	const seen = new Int32Array(vertexCount).fill(-1);
	let end = 0;
	for (let v = 0; v < vertexCount; v++) {
		seen[v] = v;
		for (let h = holderStart[v]!; h < holderStart[v + 1]!; h++) {
			const c = holders[h]!;
			for (let i = cliqueStart[c]!; i < cliqueStart[c + 1]!; i++) {
				const w = members[i]!;
				if (seen[w] !== v) {
					seen[w] = v;
					neighbours[end++] = w;
				}
			}
		}
		start[v + 1] = end;
	}
	return { vertexCount, start, neighbours: neighbours.subarray(0, end) };
}

/** Elimination tree (Liu, ACM Trans. Math. Softw. 12:127, 1986) of the graph in the given order, and that order
 *  rearranged so that every subtree is a run of columns. */
function postordered(graph: Graph, order: Int32Array) {
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

function listChildren(count: number, parentOf: (k: number) => number) {
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
function columnCounts(graph: Graph, order: Int32Array, placeOf: Int32Array, parent: Int32Array): Int32Array {
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

/** Zeros that a merged panel may hold, as a share of it; narrow panels cost more in overhead than in zeros. */
const ZEROS_WHEN_NARROW = 0.5;
const NARROW = 6;
const ZEROS_WHEN_WIDE = 0.12;

/** Runs of columns with one structure, then children merged into parents while few zeros are stored for it. */
function findSupernodes(parent: Int32Array, count: Int32Array) {
	const n = parent.length;
	const first = new Int32Array(n + 1);
	const height = new Int32Array(n);
	const stored = new Float64Array(n);
	let s = 0;
	for (let column = 0; column < n; ) {
		let end = column + 1;
		while (end < n && parent[end - 1] === end && count[end - 1] === count[end]! + 1) end++;
		first[s] = column;
		height[s] = count[column]!;
		const width = end - column;
		stored[s] = width * height[s]! - (width * (width - 1)) / 2;
		column = end;
		first[s + 1] = end;
		s++;
		while (s >= 2 && parent[first[s - 1]! - 1]! >= first[s - 1]! && parent[first[s - 1]! - 1]! < first[s]!) {
			const merged = first[s]! - first[s - 2]!;
			const rows = first[s - 1]! - first[s - 2]! + height[s - 1]!;
			const all = merged * rows - (merged * (merged - 1)) / 2;
			const needed = stored[s - 2]! + stored[s - 1]!;
			if (all - needed > (merged <= NARROW ? ZEROS_WHEN_NARROW : ZEROS_WHEN_WIDE) * all) break;
			first[s - 1] = first[s]!;
			height[s - 2] = rows;
			stored[s - 2] = needed;
			s--;
		}
	}
	return { firstColumn: first.slice(0, s + 1), supernodeCount: s };
}

function locateEntries(
	cliqueStart: Int32Array,
	cliqueMembers: Int32Array,
	placeOf: Int32Array,
	supernodeOf: Int32Array,
	firstColumn: Int32Array,
	rowStart: Int32Array,
	rows: Int32Array,
	panelStart: Int32Array,
): Int32Array {
	let entries = 0;
	const cliqueCount = cliqueStart.length - 1;
	for (let c = 0; c < cliqueCount; c++) {
		const size = cliqueStart[c + 1]! - cliqueStart[c]!;
		entries += (size * (size + 1)) / 2;
	}
	const position = new Int32Array(entries);
	let entry = 0;
	for (let c = 0; c < cliqueCount; c++) {
		for (let i = cliqueStart[c]!; i < cliqueStart[c + 1]!; i++) {
			const a = placeOf[cliqueMembers[i]!]!;
			for (let j = cliqueStart[c]!; j <= i; j++) {
				const b = placeOf[cliqueMembers[j]!]!;
				const row = Math.max(a, b);
				const column = Math.min(a, b);
				const s = supernodeOf[column]!;
				const firstRow = rowStart[s]!;
				// the supernode's own columns come first, the rest is searched by halving
				let low = firstRow;
				if (supernodeOf[row] === s) low += row - firstColumn[s]!;
				else {
					let high = rowStart[s + 1]! - 1;
					low += firstColumn[s + 1]! - firstColumn[s]!;
					while (low < high) {
						const middle = (low + high) >> 1;
						if (rows[middle]! < row) low = middle + 1;
						else high = middle;
					}
				}
				const width = firstColumn[s + 1]! - firstColumn[s]!;
				position[entry++] = panelStart[s]! + (low - firstRow) * width + column - firstColumn[s]!;
			}
		}
	}
	return position;
}
