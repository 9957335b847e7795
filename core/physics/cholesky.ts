import { factorPanel, subtractOuterProduct } from "./dense-panel.ts";
import type { SparseStructure } from "./sparse-structure.ts";

/** The factor of one matrix, made by `factorise`; valid until the next call with the same workspace. */
export interface CholeskyWorkspace {
	readonly structure: SparseStructure;
	/** The panels of the matrix before, of its factor L (A = L·Lᵀ) after `factorise`. */
	readonly panels: Float64Array;
	/** Update matrices that wait for their parent supernode. */
	readonly stack: Float64Array;
}

export function createCholeskyWorkspace(structure: SparseStructure): CholeskyWorkspace {
	return {
		structure,
		panels: new Float64Array(structure.panelStart[structure.supernodeCount]!),
		stack: new Float64Array(structure.stackSize),
	};
}

/**
 * Factors the matrix that was added into `workspace.panels` through `entryPosition`, in place: multifrontal
 * Cholesky (Duff & Reid, ACM Trans. Math. Softw. 9:302, 1983). Allocates nothing.
 *
 * @returns false when the matrix is not positive definite (a conductivity that is not positive, a broken mesh)
 */
export function factorise(workspace: CholeskyWorkspace): boolean {
	const { panels, stack, structure } = workspace;
	const { supernodeCount, firstColumn, rowStart, panelStart, rowInParent, childStart, children } = structure;
	let top = 0;
	for (let s = 0; s < supernodeCount; s++) {
		const width = firstColumn[s + 1]! - firstColumn[s]!;
		const height = rowStart[s + 1]! - rowStart[s]!;
		const remaining = height - width;
		const panel = panelStart[s]!;
		const update = top;
		const updateSize = (remaining * (remaining + 1)) / 2;
		stack.fill(0, update, update + updateSize);

		// children's updates lie on the stack in their order, the last on top
		for (let c = childStart[s + 1]! - 1; c >= childStart[s]!; c--) {
			const child = children[c]!;
			const own = firstColumn[child + 1]! - firstColumn[child]!;
			const map = rowStart[child]! + own;
			const size = rowStart[child + 1]! - map;
			top -= (size * (size + 1)) / 2;
			let inPanel = 0;
			while (inPanel < size && rowInParent[map + inPanel]! < width) inPanel++;
			let from = top;
			for (let i = 0; i < size; i++) {
				const row = rowInParent[map + i]!;
				const panelRow = panel + row * width;
				const panelEnd = Math.min(inPanel, i + 1);
				let j = 0;
				for (; j < panelEnd; j++) panels[panelRow + rowInParent[map + j]!]! += stack[from++]!;
				if (row < width) continue;
				const updateRow = update + ((row - width) * (row - width + 1)) / 2 - width;
				for (; j <= i; j++) stack[updateRow + rowInParent[map + j]!]! += stack[from++]!;
			}
		}

		if (!factorPanel(panels, panel, width, height)) return false;
		subtractOuterProduct(panels, panel + width * width, width, remaining, stack, update);
		if (update !== top) stack.copyWithin(top, update, update + updateSize);
		top += updateSize;
	}
	return true;
}

/**
 * Solves A·X = B in place for several right-hand sides at once.
 *
 * @param x [unknownCount × count] row-major, rows in elimination order (`structure.placeOf`)
 */
export function solveFactored(workspace: CholeskyWorkspace, x: Float64Array, count: number): void {
	const { panels, structure } = workspace;
	const { supernodeCount, firstColumn, rowStart, rows, panelStart } = structure;
	for (let s = 0; s < supernodeCount; s++) {
		const first = firstColumn[s]!;
		const width = firstColumn[s + 1]! - first;
		const rowBegin = rowStart[s]!;
		const height = rowStart[s + 1]! - rowBegin;
		const panel = panelStart[s]!;
		const top = first * count;
		// currents enter at few places: most of the elimination has nothing to carry on
		if (isZero(x, top, top + width * count)) continue;
		for (let i = 0; i < height; i++) {
			const l = panel + i * width;
			const row = rows[rowBegin + i]! * count;
			const end = Math.min(i, width);
			const scale = i < width ? 1 / panels[l + i]! : 1;
			let c = 0;
			for (; c + 3 < count; c += 4) {
				const at = row + c;
				let s0 = x[at]!;
				let s1 = x[at + 1]!;
				let s2 = x[at + 2]!;
				let s3 = x[at + 3]!;
				let from = top + c;
				for (let p = 0; p < end; p++) {
					const v = panels[l + p]!;
					s0 -= v * x[from]!;
					s1 -= v * x[from + 1]!;
					s2 -= v * x[from + 2]!;
					s3 -= v * x[from + 3]!;
					from += count;
				}
				x[at] = s0 * scale;
				x[at + 1] = s1 * scale;
				x[at + 2] = s2 * scale;
				x[at + 3] = s3 * scale;
			}
			for (; c < count; c++) {
				let sum = x[row + c]!;
				for (let p = 0; p < end; p++) sum -= panels[l + p]! * x[top + p * count + c]!;
				x[row + c] = sum * scale;
			}
		}
	}
	for (let s = supernodeCount - 1; s >= 0; s--) {
		const first = firstColumn[s]!;
		const width = firstColumn[s + 1]! - first;
		const rowBegin = rowStart[s]!;
		const height = rowStart[s + 1]! - rowBegin;
		const panel = panelStart[s]!;
		for (let p = width - 1; p >= 0; p--) {
			const row = (first + p) * count;
			const scale = 1 / panels[panel + p * width + p]!;
			let c = 0;
			for (; c + 3 < count; c += 4) {
				const at = row + c;
				let s0 = x[at]!;
				let s1 = x[at + 1]!;
				let s2 = x[at + 2]!;
				let s3 = x[at + 3]!;
				let l = panel + (p + 1) * width + p;
				for (let i = p + 1; i < height; i++) {
					const v = panels[l]!;
					const from = rows[rowBegin + i]! * count + c;
					s0 -= v * x[from]!;
					s1 -= v * x[from + 1]!;
					s2 -= v * x[from + 2]!;
					s3 -= v * x[from + 3]!;
					l += width;
				}
				x[at] = s0 * scale;
				x[at + 1] = s1 * scale;
				x[at + 2] = s2 * scale;
				x[at + 3] = s3 * scale;
			}
			for (; c < count; c++) {
				let sum = x[row + c]!;
				for (let i = p + 1; i < height; i++)
					sum -= panels[panel + i * width + p]! * x[rows[rowBegin + i]! * count + c]!;
				x[row + c] = sum * scale;
			}
		}
	}
}

function isZero(x: Float64Array, begin: number, end: number): boolean {
	for (let i = begin; i < end; i++) if (x[i] !== 0) return false;
	return true;
}
