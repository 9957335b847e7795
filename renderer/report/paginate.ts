/** Where a printed report's pages end. */

export interface Block {
	/** CSS px, with the space above it. */
	readonly height: number;
	/** A heading, or the first of two that make no sense apart. */
	readonly keepWithNext: boolean;
	/** Height of a table's head that is set again where this block starts a page; 0 for none. */
	readonly repeatedHead: number;
}

/**
 * Fills pages of `pageHeight` px in order: a block goes to the next page when it does not fit, and with it the blocks
 * before it that must not be left behind. A block taller than a page gets one of its own and is cut by the paper.
 * @returns per page the numbers of its first block and of the one after its last
 */
export function paginate(
	blocks: readonly Block[],
	pageHeight: number,
): (readonly [from: number, to: number])[] {
	const pages: [number, number][] = [];
	let start = 0;
	let used = 0;
	for (let i = 0; i < blocks.length; i++) {
		const block = blocks[i]!;
		if (used + block.height > pageHeight && i > start) {
			let end = i;
			while (end - 1 > start && blocks[end - 1]!.keepWithNext) end--;
			// A page of nothing but headings would be an endless one.
			if (blocks[end - 1]!.keepWithNext) end = i;
			pages.push([start, end]);
			start = end;
			used = blocks[start]!.repeatedHead;
			for (let k = start; k < i; k++) used += blocks[k]!.height;
		}
		used += block.height;
	}
	if (blocks.length > start) pages.push([start, blocks.length]);
	return pages;
}
