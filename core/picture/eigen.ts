import { Kernel } from "./kernel/kernel.ts";

export interface Eigen {
	/** [n] ascending. */
	readonly values: Float64Array;
	/** [n × n] row i is the unit eigenvector of `values[i]`. */
	readonly vectors: Float64Array;
}

/**
 * All eigenvalues and eigenvectors of a symmetric matrix [n × n], of which the lower triangle is read; eigenvalues
 * are good to round-off of the largest.
 *
 * Householder reduction to tridiagonal form, then implicit QL (Martin, Reinsch & Wilkinson 1968; Bowdler,
 * Martin, Reinsch & Wilkinson 1968, Numer. Math. 11), with the long loops in the kernel: the rotations of one sweep
 * run down 8 columns at a time, which stay in the first-level cache.
 * @throws RangeError on a wrong length, or when an eigenvalue needs more than 60 sweeps (NaN in the input).
 */
export function symmetricEigen(matrix: Float64Array, n: number): Eigen {
	if (matrix.length !== n * n) throw new RangeError(`eigen: ${matrix.length} values for ${n} × ${n}`);
	const work = createWorkspace(n);
	const { a, stride } = work;
	for (let i = 0; i < n; i++) {
		for (let j = 0; j <= i; j++) a[i * stride + j] = a[j * stride + i] = matrix[i * n + j]!;
	}
	const diagonal = new Float64Array(n);
	const offDiagonal = new Float64Array(n);
	const reflections = tridiagonalise(work, n, diagonal, offDiagonal);
	formVectors(work, n, reflections);
	implicitQl(work, n, diagonal, offDiagonal);
	return sortAscending(work, n, diagonal);
}

/** Columns of eigenvectors that a sweep of rotations takes at a time. */
const PANEL = 8;

interface Workspace {
	readonly kernel: Kernel;
	/** Of `a` and `q`; a multiple of 4. */
	readonly stride: number;
	/** [n × stride], four rows more so that products can take four at a time. */
	readonly a: Float64Array;
	readonly q: Float64Array;
	/** Eigenvectors as rows, in panels of 8 columns [n × 8] each. */
	readonly panels: Float64Array;
	/** [stride] zero beyond the values in use. */
	readonly v: Float64Array;
	readonly p: Float64Array;
	/** [n × 2] cosine and sine. */
	readonly rotations: Float64Array;
}

function createWorkspace(n: number): Workspace {
	const stride = Math.ceil(n / 4) * 4;
	const panelCount = Math.ceil(n / PANEL);
	const kernel = new Kernel(8 * ((2 * n + 6) * stride + panelCount * PANEL * n + 2 * n) + 64 * 6);
	return {
		kernel,
		stride,
		a: kernel.reserveFloat64((n + 3) * stride),
		q: kernel.reserveFloat64(n * stride),
		panels: kernel.reserveFloat64(panelCount * PANEL * n),
		v: kernel.reserveFloat64(stride),
		p: kernel.reserveFloat64(stride + 4),
		rotations: kernel.reserveFloat64(2 * n),
	};
}

const paddedTo4 = (length: number) => (length + 3) & ~3;

/** Reduces `a` by Householder reflections from the last row up, and leaves their vectors v in its rows.
 *  @returns [n] h of each reflection I − v·vᵀ / h; `offDiagonal[i]` couples i − 1 and i. */
function tridiagonalise(
	{ kernel, a, v, p, stride }: Workspace,
	n: number,
	diagonal: Float64Array,
	offDiagonal: Float64Array,
): Float64Array {
	const { dots, addTwo } = kernel.functions;
	const reflections = new Float64Array(n);
	for (let i = n - 1; i > 0; i--) {
		const row = i * stride;
		let norm2 = 0;
		for (let k = 0; k < i; k++) norm2 += a[row + k]! * a[row + k]!;
		const last = a[row + i - 1]!;
		if (norm2 - last * last <= Number.MIN_VALUE) {
			offDiagonal[i] = last;
			continue;
		}
		const alpha = last > 0 ? -Math.sqrt(norm2) : Math.sqrt(norm2);
		offDiagonal[i] = alpha;
		a[row + i - 1] = last - alpha;
		const h = norm2 - last * alpha;
		reflections[i] = h;
		const length = paddedTo4(i);
		v.fill(0);
		for (let k = 0; k < i; k++) v[k] = a[row + k]!;
		for (let j = 0; j < i; j += 4) {
			dots(a.byteOffset + j * stride * 8, stride * 8, v.byteOffset, length, p.byteOffset + j * 8);
		}
		p.fill(0, i);
		let pv = 0;
		for (let j = 0; j < i; j++) {
			p[j]! /= h;
			pv += p[j]! * v[j]!;
		}
		const half = pv / (2 * h);
		for (let j = 0; j < i; j++) p[j]! -= half * v[j]!;
		for (let j = 0; j < i; j++) {
			addTwo(a.byteOffset + j * stride * 8, p.byteOffset, v.byteOffset, length, -v[j]!, -p[j]!);
		}
	}
	for (let i = 0; i < n; i++) diagonal[i] = a[i * stride + i]!;
	return reflections;
}

/** Applies the reflections to the identity in reverse order of use, and lays the rows of Qᵀ out in panels. */
function formVectors(
	{ kernel, a, q, panels, v: w, stride }: Workspace,
	n: number,
	reflections: Float64Array,
): void {
	const { addTwo } = kernel.functions;
	for (let i = 0; i < n; i++) q[i * stride + i] = 1;
	const rowOf = (j: number) => q.byteOffset + j * stride * 8;
	for (let i = 1; i < n; i++) {
		const h = reflections[i]!;
		if (h === 0) continue;
		const row = i * stride;
		const length = paddedTo4(i);
		w.fill(0);
		let j = 0;
		for (; j + 1 < i; j += 2) {
			addTwo(w.byteOffset, rowOf(j), rowOf(j + 1), length, a[row + j]! / h, a[row + j + 1]! / h);
		}
		if (j < i) addTwo(w.byteOffset, rowOf(j), rowOf(j), length, a[row + j]! / h, 0);
		for (j = 0; j < i; j++) addTwo(rowOf(j), w.byteOffset, w.byteOffset, length, -a[row + j]!, 0);
	}
	for (let k = 0; k < n; k++) {
		const panel = (k >> 3) * PANEL * n + (k & 7);
		for (let i = 0; i < n; i++) panels[panel + i * PANEL] = q[k * stride + i]!;
	}
}

function implicitQl(
	{ kernel, panels, rotations }: Workspace,
	n: number,
	d: Float64Array,
	coupling: Float64Array,
): void {
	const { rotate } = kernel.functions;
	const panelCount = Math.ceil(n / PANEL);
	const e = new Float64Array(n);
	for (let i = 1; i < n; i++) e[i - 1] = coupling[i]!;
	// Against the whole matrix, not against neighbours: where all of a block is round-off, as among the smallest
	// eigenvalues of tomography, a relative test never ends.
	let size = 0;
	for (let i = 0; i < n; i++) size = Math.max(size, Math.abs(d[i]!) + Math.abs(e[i]!));
	const negligible = Number.EPSILON * size;
	for (let l = 0; l < n; l++) {
		for (let sweep = 0; ; sweep++) {
			let m = l;
			while (m < n - 1 && !(Math.abs(e[m]!) <= negligible)) m++;
			if (m === l) break;
			if (sweep === 60) throw new RangeError("eigen: no convergence; the matrix holds a NaN or infinity");
			let g = (d[l + 1]! - d[l]!) / (2 * e[l]!);
			let r = Math.hypot(g, 1);
			g = d[m]! - d[l]! + e[l]! / (g + (g >= 0 ? r : -r));
			let s = 1;
			let c = 1;
			let p = 0;
			let count = 0;
			let i = m - 1;
			for (; i >= l; i--) {
				const f = s * e[i]!;
				const b = c * e[i]!;
				r = Math.sqrt(f * f + g * g);
				e[i + 1] = r;
				if (r === 0) {
					d[i + 1]! -= p;
					e[m] = 0;
					break;
				}
				s = f / r;
				c = g / r;
				g = d[i + 1]! - p;
				r = (d[i]! - g) * s + 2 * c * b;
				p = s * r;
				d[i + 1] = g + p;
				g = c * r - b;
				rotations[count++] = c;
				rotations[count++] = s;
			}
			rotate(panels.byteOffset, panelCount, PANEL * n * 8, m, rotations.byteOffset, count / 2);
			if (r === 0 && i >= l) continue;
			d[l]! -= p;
			e[l] = g;
			e[m] = 0;
		}
	}
}

function sortAscending({ panels }: Workspace, n: number, d: Float64Array): Eigen {
	const order = Array.from({ length: n }, (_, i) => i).sort((i, j) => d[i]! - d[j]!);
	const values = Float64Array.from(order, (from) => d[from]!);
	const vectors = new Float64Array(n * n);
	for (let to = 0; to < n; to++) {
		const from = order[to]! * PANEL;
		for (let k = 0; k < n; k++) vectors[to * n + k] = panels[(k >> 3) * PANEL * n + from + (k & 7)]!;
	}
	return { values, vectors };
}
