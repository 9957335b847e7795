/** Where a printed report's pages end, and what a report of one page has to leave out. */

export interface Block {
	/** CSS px, with the space above it. */
	readonly height: number;
	/** A heading, or the first of two that make no sense apart. */
	readonly keepWithNext: boolean;
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
			let carried = 0;
			while (end > start && blocks[end - 1]!.keepWithNext) carried += blocks[--end]!.height;
			// Not when that would fill a page with headings alone, or they and the block do not fit together anyway.
			if (end === start || carried + block.height > pageHeight) {
				end = i;
				carried = 0;
			}
			pages.push([start, end]);
			start = end;
			used = carried;
		}
		used += block.height;
	}
	if (blocks.length > start) pages.push([start, blocks.length]);
	return pages;
}

/**
 * Which groups of blocks stay on a single page: the most important ones (lowest `rank`) first, each whole or not at all.
 * @returns for each group whether it stays, in the order given
 */
export function fitOnePage(
	groups: readonly { readonly height: number; readonly rank: number }[],
	pageHeight: number,
): boolean[] {
	const stays = groups.map(() => false);
	let used = 0;
	const byRank = groups.map((group, index) => ({ ...group, index })).sort((a, b) => a.rank - b.rank);
	for (const { height, rank, index } of byRank) {
		if (rank > 0 && used + height > pageHeight) continue;
		stays[index] = true;
		used += height;
	}
	return stays;
}
