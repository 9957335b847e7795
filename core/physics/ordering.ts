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
 * Elimination order with little fill for a graph whose vertices have places in the plane: nested dissection
 * (George, SIAM J. Numer. Anal. 10:345, 1973) with cuts at the median along the better of four directions.
 * The factor of N vertices then holds O(N log N) numbers and costs O(N^1.5) operations.
 *
 * @param places [vertexCount × 2]
 * @returns [vertexCount] vertices in the order of their elimination
 */
export function orderByDissection(graph: Graph, places: Float64Array): Int32Array {
	const { vertexCount, start, neighbours } = graph;
	const order = new Int32Array(vertexCount);
	for (let v = 0; v < vertexCount; v++) order[v] = v;
	const scratch = new Int32Array(vertexCount);
	const best = new Int32Array(vertexCount);
	const key = new Float64Array(vertexCount);
	// side[v] = 2·mark for the left half and 2·mark + 1 for the right one of the part being cut, whose mark is unique
	const side = new Int32Array(vertexCount).fill(-1);
	let mark = 0;

	/** Vertices of `from` (a side's number) with a neighbour in `to`. */
	const countBorder = (begin: number, end: number, to: number): number => {
		let count = 0;
		for (let i = begin; i < end; i++) {
			const v = scratch[i]!;
			for (let e = start[v]!; e < start[v + 1]!; e++) {
				if (side[neighbours[e]!] === to) {
					count++;
					break;
				}
			}
		}
		return count;
	};

	const parts: number[] = [0, vertexCount];
	while (parts.length > 0) {
		const end = parts.pop()!;
		const begin = parts.pop()!;
		const size = end - begin;
		if (size <= SMALLEST_PART) continue;
		const middle = begin + (size >> 1);
		let smallest = size + 1;
		let smallestSide = 0;
		for (let direction = 0; direction < 4; direction++) {
			const angle = (direction * Math.PI) / 4;
			const dx = Math.cos(angle);
			const dy = Math.sin(angle);
			for (let i = begin; i < end; i++) {
				const v = order[i]!;
				scratch[i] = v;
				key[v] = dx * places[2 * v]! + dy * places[2 * v + 1]!;
			}
			selectMedian(scratch, key, begin, end, middle);
			mark++;
			for (let i = begin; i < middle; i++) side[scratch[i]!] = 2 * mark;
			for (let i = middle; i < end; i++) side[scratch[i]!] = 2 * mark + 1;
			const left = countBorder(begin, middle, 2 * mark + 1);
			const right = countBorder(middle, end, 2 * mark);
			if (Math.min(left, right) < smallest) {
				smallest = Math.min(left, right);
				smallestSide = left <= right ? 0 : 1;
				best.set(scratch.subarray(begin, end), begin);
			}
		}
		// the winning cut's sides, then: left without separator, right without separator, separator
		mark++;
		const own = 2 * mark + smallestSide;
		const other = 2 * mark + 1 - smallestSide;
		for (let i = begin; i < middle; i++) side[best[i]!] = 2 * mark;
		for (let i = middle; i < end; i++) side[best[i]!] = 2 * mark + 1;
		let low = begin;
		let high = end;
		let leftEnd = begin;
		for (let i = begin; i < end; i++) {
			const v = best[i]!;
			let cut = false;
			if (side[v] === own) {
				for (let e = start[v]!; e < start[v + 1]!; e++) {
					if (side[neighbours[e]!] === other) {
						cut = true;
						break;
					}
				}
			}
			if (cut) order[--high] = v;
			else order[low++] = v;
			if (i === middle - 1) leftEnd = low;
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
