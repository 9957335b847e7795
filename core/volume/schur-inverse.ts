import type { CholeskyWorkspace } from "../physics/cholesky.ts";
import { invertedTransposed } from "../picture/dense.ts";
import { rowProducts } from "../picture/kernel/row-products.ts";

/**
 * Inverse of the Schur complement on unknowns that are eliminated last: what the inverse of the whole matrix says about
 * them alone, without solving for the others.
 *
 * @param workspace after `factorise`
 * @param last as given to `createSparseStructure`; once all else is eliminated each must be coupled with each other
 * @returns [last × last]
 */
export function schurInverse({ structure, panels }: CholeskyWorkspace, last: Int32Array): Float64Array {
	const { placeOf, firstColumn, supernodeCount, panelStart } = structure;
	const s = supernodeCount - 1;
	const first = firstColumn[s]!;
	const width = firstColumn[s + 1]! - first;
	const count = last.length;
	const root = new Float64Array(count * count);
	for (let i = 0; i < count; i++) {
		const row = panelStart[s]! + (placeOf[last[i]!]! - first) * width - first;
		for (let j = 0; j <= i; j++) root[i * count + j] = panels[row + placeOf[last[j]!]!]!;
	}
	const half = invertedTransposed(root, count);
	return rowProducts(half, count, half, count, count, "symmetric");
}
