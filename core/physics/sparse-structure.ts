import { columnCounts, listChildren, postordered } from "./elimination-tree.ts";
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
 * @param places [unknownCount × dimension] where each unknown lies, for the elimination order
 * @param last unknowns that are eliminated last: the end of the factor is then that of their Schur complement
 */
export function createSparseStructure(
	unknownCount: number,
	cliqueStart: Int32Array,
	cliqueMembers: Int32Array,
	places: Float64Array,
	dimension: 2 | 3 = 2,
	last?: Int32Array,
): SparseStructure {
	const graph = graphOfCliques(unknownCount, cliqueStart, cliqueMembers);
	const { placeOf, order, parent } = postordered(graph, orderByDissection(graph, places, dimension, last));
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
