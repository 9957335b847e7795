import { choleskyInPlace } from "../picture/dense.ts";

/** Overwrites x with L⁻¹·x. @param lower [n × n], the upper triangle is not read */
export function solveLower(lower: Float64Array, n: number, x: Float64Array): void {
	for (let i = 0; i < n; i++) {
		const row = i * n;
		let sum = x[i]!;
		for (let k = 0; k < i; k++) sum -= lower[row + k]! * x[k]!;
		x[i] = sum / lower[row + i]!;
	}
}

/** Overwrites x with L⁻ᵀ·x. @param lower [n × n], the upper triangle is not read */
export function solveUpper(lower: Float64Array, n: number, x: Float64Array): void {
	for (let i = n - 1; i >= 0; i--) {
		const row = i * n;
		const value = x[i]! / lower[row + i]!;
		x[i] = value;
		for (let k = 0; k < i; k++) x[k]! -= lower[row + k]! * value;
	}
}

/** Inverse of a symmetric positive definite matrix [n × n]. @throws RangeError when it is not */
export function inverseOf(matrix: Float64Array, n: number): Float64Array {
	const lower = matrix.slice();
	choleskyInPlace(lower, n);
	const inverse = new Float64Array(n * n);
	for (let i = 0; i < n; i++) {
		// symmetric: the columns found are the rows as well
		const row = inverse.subarray(i * n, (i + 1) * n);
		row[i] = 1;
		solveLower(lower, n, row);
		solveUpper(lower, n, row);
	}
	return inverse;
}
