/** Dense linear algebra on flat row-major arrays, in double precision: what the set-up of a picture needs. */

/** Overwrites the lower triangle of a symmetric positive definite matrix [n × n] with its Cholesky factor L
 *  (A = L·Lᵀ); the upper triangle is neither read nor written.
 *  @throws RangeError when the length is not n² or a pivot is not positive. */
export function choleskyInPlace(matrix: Float64Array, n: number): void {
	if (matrix.length !== n * n) throw new RangeError(`cholesky: ${matrix.length} values for ${n} × ${n}`);
	for (let i = 0; i < n; i++) {
		for (let j = 0; j <= i; j++) {
			let sum = matrix[i * n + j]!;
			const rowI = i * n;
			const rowJ = j * n;
			for (let k = 0; k < j; k++) sum -= matrix[rowI + k]! * matrix[rowJ + k]!;
			if (i !== j) matrix[rowI + j] = sum / matrix[rowJ + j]!;
			else if (sum > 0) matrix[rowI + i] = Math.sqrt(sum);
			else
				throw new RangeError(`cholesky: pivot ${i} of ${n} is ${sum}; the matrix is not positive definite`);
		}
	}
}

/** X·Yᵀ, all [n × n]; four sums at a time, for one alone would wait for each addition. */
export function multiplyTransposed(x: Float64Array, y: Float64Array, n: number): Float64Array {
	const result = new Float64Array(n * n);
	for (let i = 0; i < n; i++) {
		const xi = i * n;
		let j = 0;
		for (; j + 3 < n; j += 4) {
			let at = j * n;
			let s0 = 0;
			let s1 = 0;
			let s2 = 0;
			let s3 = 0;
			for (let k = xi; k < xi + n; k++) {
				const value = x[k]!;
				s0 += value * y[at]!;
				s1 += value * y[at + n]!;
				s2 += value * y[at + 2 * n]!;
				s3 += value * y[at + 3 * n]!;
				at++;
			}
			result[xi + j] = s0;
			result[xi + j + 1] = s1;
			result[xi + j + 2] = s2;
			result[xi + j + 3] = s3;
		}
		for (; j < n; j++) {
			let sum = 0;
			for (let k = 0; k < n; k++) sum += x[xi + k]! * y[j * n + k]!;
			result[xi + j] = sum;
		}
	}
	return result;
}

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
 * Martin, Reinsch & Wilkinson 1968, Numer. Math. 11). Eigenvectors are kept as rows, so that each rotation runs
 * along memory.
 * @throws RangeError on a wrong length, or when an eigenvalue needs more than 60 sweeps (NaN in the input).
 */
export function symmetricEigen(matrix: Float64Array, n: number): Eigen {
	if (matrix.length !== n * n) throw new RangeError(`eigen: ${matrix.length} values for ${n} × ${n}`);
	const a = Float64Array.from(matrix);
	const diagonal = new Float64Array(n);
	const offDiagonal = new Float64Array(n);
	const vectors = tridiagonalise(a, n, diagonal, offDiagonal);
	implicitQl(n, diagonal, offDiagonal, vectors);
	return sortAscending(n, diagonal, vectors);
}

/** Reduces `a` by Householder reflections from the last row up.
 *  @returns rows of Qᵀ with A = Q·T·Qᵀ; `offDiagonal[i]` couples i − 1 and i. */
function tridiagonalise(
	a: Float64Array,
	n: number,
	diagonal: Float64Array,
	offDiagonal: Float64Array,
): Float64Array {
	const p = new Float64Array(n);
	const scales = new Float64Array(n);
	for (let i = n - 1; i > 0; i--) {
		const row = i * n;
		let norm2 = 0;
		for (let k = 0; k < i; k++) norm2 += a[row + k]! * a[row + k]!;
		const last = a[row + i - 1]!;
		if (norm2 - last * last <= Number.MIN_VALUE) {
			offDiagonal[i] = last;
			scales[i] = 0;
			continue;
		}
		const alpha = last > 0 ? -Math.sqrt(norm2) : Math.sqrt(norm2);
		offDiagonal[i] = alpha;
		a[row + i - 1] = last - alpha;
		// v = a[i, 0..i), H = I − v·vᵀ / h
		const h = norm2 - last * alpha;
		scales[i] = h;
		p.fill(0, 0, i);
		for (let j = 0; j < i; j++) {
			const rowJ = j * n;
			const vj = a[row + j]!;
			let sum = a[rowJ + j]! * vj;
			for (let k = 0; k < j; k++) {
				sum += a[rowJ + k]! * a[row + k]!;
				p[k]! += a[rowJ + k]! * vj;
			}
			p[j]! += sum;
		}
		let pv = 0;
		for (let j = 0; j < i; j++) {
			p[j]! /= h;
			pv += p[j]! * a[row + j]!;
		}
		const half = pv / (2 * h);
		for (let j = 0; j < i; j++) p[j]! -= half * a[row + j]!;
		for (let j = 0; j < i; j++) {
			const rowJ = j * n;
			const vj = a[row + j]!;
			const pj = p[j]!;
			for (let k = 0; k <= j; k++) a[rowJ + k]! -= vj * p[k]! + pj * a[row + k]!;
		}
	}
	for (let i = 0; i < n; i++) diagonal[i] = a[i * n + i]!;

	// Rows of Qᵀ: apply the reflections to the identity in reverse order of use.
	const q = new Float64Array(n * n);
	for (let i = 0; i < n; i++) q[i * n + i] = 1;
	const w = p;
	for (let i = 1; i < n; i++) {
		const h = scales[i]!;
		if (h === 0) continue;
		const row = i * n;
		w.fill(0, 0, i);
		for (let j = 0; j < i; j++) {
			const vj = a[row + j]! / h;
			if (vj === 0) continue;
			for (let k = 0; k < i; k++) w[k]! += vj * q[j * n + k]!;
		}
		for (let j = 0; j < i; j++) {
			const vj = a[row + j]!;
			for (let k = 0; k < i; k++) q[j * n + k]! -= vj * w[k]!;
		}
	}
	// q now holds Q with columns spanning the tridiagonal basis; eigenvectors are wanted as rows.
	for (let i = 0; i < n; i++) {
		for (let j = 0; j < i; j++) {
			const swap = q[i * n + j]!;
			q[i * n + j] = q[j * n + i]!;
			q[j * n + i] = swap;
		}
	}
	return q;
}

function implicitQl(n: number, d: Float64Array, coupling: Float64Array, vectors: Float64Array): void {
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
			let i = m - 1;
			for (; i >= l; i--) {
				const f = s * e[i]!;
				const b = c * e[i]!;
				r = Math.hypot(f, g);
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
				rotateRows(vectors, i * n, (i + 1) * n, n, c, s);
			}
			if (r === 0 && i >= l) continue;
			d[l]! -= p;
			e[l] = g;
			e[m] = 0;
		}
	}
}

function rotateRows(v: Float64Array, first: number, second: number, n: number, c: number, s: number): void {
	for (let k = 0; k < n; k++) {
		const f = v[second + k]!;
		const g = v[first + k]!;
		v[second + k] = s * g + c * f;
		v[first + k] = c * g - s * f;
	}
}

function sortAscending(n: number, d: Float64Array, rows: Float64Array): Eigen {
	const order = Array.from({ length: n }, (_, i) => i).sort((i, j) => d[i]! - d[j]!);
	const values = new Float64Array(n);
	const vectors = new Float64Array(n * n);
	order.forEach((from, to) => {
		values[to] = d[from]!;
		vectors.set(rows.subarray(from * n, from * n + n), to * n);
	});
	return { values, vectors };
}
