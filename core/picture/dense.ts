/** Four sums at a time, for one alone would wait for each addition. */
function dot(x: Float64Array, fromX: number, y: Float64Array, fromY: number, length: number): number {
	let s0 = 0;
	let s1 = 0;
	let s2 = 0;
	let s3 = 0;
	let k = 0;
	for (; k + 3 < length; k += 4) {
		s0 += x[fromX + k]! * y[fromY + k]!;
		s1 += x[fromX + k + 1]! * y[fromY + k + 1]!;
		s2 += x[fromX + k + 2]! * y[fromY + k + 2]!;
		s3 += x[fromX + k + 3]! * y[fromY + k + 3]!;
	}
	for (; k < length; k++) s0 += x[fromX + k]! * y[fromY + k]!;
	return s0 + s1 + (s2 + s3);
}

/** Overwrites the lower triangle of a symmetric positive definite matrix [n × n] with its Cholesky factor L
 *  (A = L·Lᵀ); the upper triangle is neither read nor written.
 *  @throws RangeError when the length is not n² or a pivot is not positive. */
export function choleskyInPlace(matrix: Float64Array, n: number): void {
	if (matrix.length !== n * n) throw new RangeError(`cholesky: ${matrix.length} values for ${n} × ${n}`);
	for (let i = 0; i < n; i++) {
		for (let j = 0; j <= i; j++) {
			const rowI = i * n;
			const rowJ = j * n;
			const sum = matrix[rowI + j]! - dot(matrix, rowI, matrix, rowJ, j);
			if (i !== j) matrix[rowI + j] = sum / matrix[rowJ + j]!;
			else if (sum > 0) matrix[rowI + i] = Math.sqrt(sum);
			else
				throw new RangeError(`cholesky: pivot ${i} of ${n} is ${sum}; the matrix is not positive definite`);
		}
	}
}

/** [n × n] rows of L⁻ᵀ for a lower triangular matrix [n × n], of which the upper triangle is not read. */
export function invertedTransposed(lower: Float64Array, n: number): Float64Array {
	const inverse = new Float64Array(n * n);
	for (let j = 0; j < n; j++) {
		const row = j * n;
		inverse[row + j] = 1 / lower[row + j]!;
		for (let i = j + 1; i < n; i++) {
			inverse[row + i] = -dot(lower, i * n + j, inverse, row + j, i - j) / lower[i * n + i]!;
		}
	}
	return inverse;
}

/** [columnCount × rowCount] of a matrix [rowCount × columnCount]. */
export function transposedOf(matrix: ArrayLike<number>, rowCount: number, columnCount: number): Float64Array {
	const result = new Float64Array(rowCount * columnCount);
	for (let i = 0; i < rowCount; i++) {
		for (let j = 0; j < columnCount; j++) result[j * rowCount + i] = matrix[i * columnCount + j]!;
	}
	return result;
}
