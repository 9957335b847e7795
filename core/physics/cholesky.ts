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

/** Dense Cholesky of the first `width` rows and the triangular solve of the rest, in place, row-major. Rows and
 *  columns go in pairs, so that each number loaded serves twice. */
function factorPanel(panels: Float64Array, panel: number, width: number, height: number): boolean {
	for (let i = 0; i < height; i += 2) {
		const a0 = panel + i * width;
		const paired = i + 1 < height;
		const a1 = paired ? a0 + width : a0;
		const before = Math.min(i, width);
		let j = 0;
		for (; j + 1 < before; j += 2) {
			const b0 = panel + j * width;
			const b1 = b0 + width;
			let s00 = panels[a0 + j]!;
			let s01 = panels[a0 + j + 1]!;
			let s10 = panels[a1 + j]!;
			let s11 = panels[a1 + j + 1]!;
			for (let p = 0; p < j; p++) {
				const x0 = panels[a0 + p]!;
				const x1 = panels[a1 + p]!;
				const y0 = panels[b0 + p]!;
				const y1 = panels[b1 + p]!;
				s00 -= x0 * y0;
				s01 -= x0 * y1;
				s10 -= x1 * y0;
				s11 -= x1 * y1;
			}
			const d0 = 1 / panels[b0 + j]!;
			const d1 = 1 / panels[b1 + j + 1]!;
			const below = panels[b1 + j]!;
			s00 *= d0;
			s10 *= d0;
			panels[a0 + j] = s00;
			panels[a0 + j + 1] = (s01 - s00 * below) * d1;
			if (!paired) continue;
			panels[a1 + j] = s10;
			panels[a1 + j + 1] = (s11 - s10 * below) * d1;
		}
		if (i >= width) {
			if (j < before) {
				finishColumn(panels, a0, panel + j * width, j);
				if (paired) finishColumn(panels, a1, panel + j * width, j);
			}
			continue;
		}
		// the corner on the diagonal: i is even, so all columns before it are done
		if (!pivotAt(panels, a0, i)) return false;
		if (!paired) continue;
		finishColumn(panels, a1, a0, i);
		if (i + 1 < width && !pivotAt(panels, a1, i + 1)) return false;
	}
	return true;
}

/** Column j of the row at `a`, given the finished row at `b` of that column's pivot. */
function finishColumn(panels: Float64Array, a: number, b: number, j: number): void {
	let sum = panels[a + j]!;
	for (let p = 0; p < j; p++) sum -= panels[a + p]! * panels[b + p]!;
	panels[a + j] = sum / panels[b + j]!;
}

function pivotAt(panels: Float64Array, a: number, i: number): boolean {
	let pivot = panels[a + i]!;
	for (let p = 0; p < i; p++) pivot -= panels[a + p]! * panels[a + p]!;
	panels[a + i] = Math.sqrt(pivot);
	return pivot > 0;
}

/** Packed lower triangle of `stack` −= B·Bᵀ for the `count` rows of B at `below`; 2 × 2 results at a time. */
function subtractOuterProduct(
	panels: Float64Array,
	below: number,
	width: number,
	count: number,
	stack: Float64Array,
	update: number,
): void {
	let i = 0;
	for (; i + 1 < count; i += 2) {
		const a0 = below + i * width;
		const a1 = a0 + width;
		const u0 = update + (i * (i + 1)) / 2;
		const u1 = u0 + i + 1;
		for (let j = 0; j < i; j += 2) {
			const b0 = below + j * width;
			const b1 = b0 + width;
			let s00 = 0;
			let s01 = 0;
			let s10 = 0;
			let s11 = 0;
			for (let p = 0; p < width; p++) {
				const x0 = panels[a0 + p]!;
				const x1 = panels[a1 + p]!;
				const y0 = panels[b0 + p]!;
				const y1 = panels[b1 + p]!;
				s00 += x0 * y0;
				s01 += x0 * y1;
				s10 += x1 * y0;
				s11 += x1 * y1;
			}
			stack[u0 + j]! -= s00;
			stack[u0 + j + 1]! -= s01;
			stack[u1 + j]! -= s10;
			stack[u1 + j + 1]! -= s11;
		}
		let d00 = 0;
		let d10 = 0;
		let d11 = 0;
		for (let p = 0; p < width; p++) {
			const x0 = panels[a0 + p]!;
			const x1 = panels[a1 + p]!;
			d00 += x0 * x0;
			d10 += x0 * x1;
			d11 += x1 * x1;
		}
		stack[u0 + i]! -= d00;
		stack[u1 + i]! -= d10;
		stack[u1 + i + 1]! -= d11;
	}
	if (i < count) {
		const a = below + i * width;
		const u = update + (i * (i + 1)) / 2;
		for (let j = 0; j <= i; j++) {
			const b = below + j * width;
			let sum = 0;
			for (let p = 0; p < width; p++) sum += panels[a + p]! * panels[b + p]!;
			stack[u + j]! -= sum;
		}
	}
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
