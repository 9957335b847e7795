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
