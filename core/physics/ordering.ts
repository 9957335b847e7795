import { createSeparator } from "./separator.ts";

/** An undirected graph as neighbour lists: those of vertex v are `neighbours[start[v] … start[v + 1] - 1]`. */
export interface Graph {
	readonly vertexCount: number;
	/** [vertexCount + 1] */
	readonly start: Int32Array;
	readonly neighbours: Int32Array;
}

/** Below this size a part is eliminated as it comes: cutting further no longer saves fill. */
const SMALLEST_PART = 6;

/**
 * Elimination order with little fill for a graph whose vertices have places in the plane or in space: nested
 * dissection (George, SIAM J. Numer. Anal. 10:345, 1973). Each part is cut in half across one axis, where fewest
 * vertices border, and the fewest vertices that touch every cut edge are eliminated after both halves. The factor of N
 * vertices then holds O(N log N) numbers and costs O(N^1.5) operations in the plane, O(N^4/3) and O(N²) in space
 * (Lipton, Rose & Tarjan, SIAM J. Numer. Anal. 16:346, 1979). Slanted cuts were tried in the plane and save nothing.
 *
 * @param places [vertexCount × dimension]
 * @param last vertices that are eliminated after all others, in this order
 * @returns [vertexCount] vertices in the order of their elimination
 */
export function orderByDissection(
	graph: Graph,
	places: Float64Array,
	dimension: 2 | 3 = 2,
	last: Int32Array = new Int32Array(0),
): Int32Array {
	const { vertexCount } = graph;
	const order = new Int32Array(vertexCount);
	const isLast = new Uint8Array(vertexCount);
	for (const v of last) isLast[v] = 1;
	let dissected = 0;
	for (let v = 0; v < vertexCount; v++) if (isLast[v] === 0) order[dissected++] = v;
	order.set(last, dissected);
	const tried = new Int32Array(vertexCount);
	const best = new Int32Array(vertexCount);
	const key = new Float64Array(vertexCount);
	const separator = createSeparator(graph);

	const parts: number[] = [0, dissected];
	while (parts.length > 0) {
		const end = parts.pop()!;
		const begin = parts.pop()!;
		if (end - begin <= SMALLEST_PART) continue;
		const middle = begin + ((end - begin) >> 1);
		let fewest = vertexCount + 1;
		for (let axis = 0; axis < dimension; axis++) {
			for (let i = begin; i < end; i++) {
				const v = order[i]!;
				tried[i] = v;
				key[v] = places[dimension * v + axis]!;
			}
			selectMedian(tried, key, begin, end, middle);
			const border = separator.countBorder(tried, begin, middle, end);
			if (border >= fewest) continue;
			fewest = border;
			for (let i = begin; i < end; i++) best[i] = tried[i]!;
		}
		separator.find(best, begin, middle, end);
		let low = begin;
		let high = end;
		let leftEnd = begin;
		for (let i = begin; i < end; i++) {
			if (i === middle) leftEnd = low;
			const v = best[i]!;
			if (separator.holds(v)) order[--high] = v;
			else order[low++] = v;
		}
		parts.push(begin, leftEnd, leftEnd, low);
	}
	return order;
}

/** Reorders `items[begin … end - 1]` so that no key before `middle` exceeds one after it (Hoare's selection). */
function selectMedian(
	items: Int32Array,
	key: Float64Array,
	begin: number,
	end: number,
	middle: number,
): void {
	let low = begin;
	let high = end - 1;
	while (low < high) {
		const pivot = key[items[(low + high) >> 1]!]!;
		let i = low;
		let j = high;
		while (i <= j) {
			while (key[items[i]!]! < pivot) i++;
			while (key[items[j]!]! > pivot) j--;
			if (i <= j) {
				const swapped = items[i]!;
				items[i++] = items[j]!;
				items[j--] = swapped;
			}
		}
		if (middle <= j) high = j;
		else if (middle >= i) low = i;
		else return;
	}
}
