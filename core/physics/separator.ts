import type { Graph } from "./ordering.ts";

/** Finds the fewest vertices whose removal leaves no edge between two halves of a part of a graph. */
export interface Separator {
	/** Vertices of the half `items[begin … middle - 1]` with a neighbour in `items[middle … end - 1]`. */
	countBorder(items: Int32Array, begin: number, middle: number, end: number): number;
	/** The separator between the two halves, to be asked for by `holds`. */
	find(items: Int32Array, begin: number, middle: number, end: number): void;
	holds(vertex: number): boolean;
}

/**
 * The edges between the halves form a bipartite graph. The fewest vertices that touch all of them are as many as a
 * largest matching has edges (König 1931) and follow from it: the left vertices that alternating paths from
 * unmatched left ones do not reach, and the right vertices that they do. The matching grows by such paths (Kuhn,
 * Nav. Res. Logist. Q. 2:83, 1955).
 */
export function createSeparator({ vertexCount, start, neighbours }: Graph): Separator {
	// side[v] = 2·mark on the left and 2·mark + 1 on the right of the part at hand, whose mark is unique
	const side = new Int32Array(vertexCount).fill(-1);
	const partner = new Int32Array(vertexCount).fill(-1);
	const reached = new Int32Array(vertexCount);
	const from = new Int32Array(vertexCount);
	const queue = new Int32Array(vertexCount);
	const heldAt = new Int32Array(vertexCount);
	let mark = 0;
	let search = 0;

	const markSides = (items: Int32Array, begin: number, middle: number, end: number) => {
		mark++;
		for (let i = begin; i < middle; i++) side[items[i]!] = 2 * mark;
		for (let i = middle; i < end; i++) side[items[i]!] = 2 * mark + 1;
	};

	const touchesRight = (v: number): boolean => {
		for (let e = start[v]!; e < start[v + 1]!; e++) if (side[neighbours[e]!] === 2 * mark + 1) return true;
		return false;
	};

	/** Breadth first along alternating paths from the left vertices in the queue; with `augment` until a free right
	 *  vertex is found, which enlarges the matching. */
	const walk = (queued: number, augment: boolean): boolean => {
		let tail = queued;
		for (let head = 0; head < tail; head++) {
			const left = queue[head]!;
			for (let e = start[left]!; e < start[left + 1]!; e++) {
				const right = neighbours[e]!;
				if (side[right] !== 2 * mark + 1 || reached[right] === search) continue;
				reached[right] = search;
				from[right] = left;
				const next = partner[right]!;
				if (next >= 0) {
					reached[next] = search;
					queue[tail++] = next;
				} else if (augment) {
					let free = right;
					while (free >= 0) {
						const matched = from[free]!;
						const before = partner[matched]!;
						partner[matched] = free;
						partner[free] = matched;
						free = before;
					}
					return true;
				}
			}
		}
		return false;
	};

	return {
		countBorder(items, begin, middle, end) {
			markSides(items, begin, middle, end);
			let count = 0;
			for (let i = begin; i < middle; i++) if (touchesRight(items[i]!)) count++;
			return count;
		},
		find(items, begin, middle, end) {
			markSides(items, begin, middle, end);
			for (let i = begin; i < end; i++) partner[items[i]!] = -1;
			for (let i = begin; i < middle; i++) {
				const left = items[i]!;
				for (let e = start[left]!; e < start[left + 1]!; e++) {
					const right = neighbours[e]!;
					if (side[right] !== 2 * mark + 1 || partner[right]! >= 0) continue;
					partner[left] = right;
					partner[right] = left;
					break;
				}
			}
			for (let i = begin; i < middle; i++) {
				const left = items[i]!;
				if (partner[left]! >= 0 || !touchesRight(left)) continue;
				search++;
				queue[0] = left;
				walk(1, true);
			}
			search++;
			let unmatched = 0;
			for (let i = begin; i < middle; i++) {
				const left = items[i]!;
				if (partner[left]! >= 0) continue;
				reached[left] = search;
				queue[unmatched++] = left;
			}
			walk(unmatched, false);
			for (let i = begin; i < middle; i++) {
				const left = items[i]!;
				if (partner[left]! >= 0 && reached[left] !== search) heldAt[left] = mark;
			}
			for (let i = middle; i < end; i++) if (reached[items[i]!] === search) heldAt[items[i]!] = mark;
		},
		holds: (vertex) => heldAt[vertex] === mark,
	};
}
