import { expect, test } from "vitest";
import { choleskyInPlace } from "../../core/picture/dense.ts";
import { symmetricEigen } from "../../core/picture/eigen.ts";
import { createRandom, multiply, relativeDifference, transpose } from "./plain-algebra.ts";

function createSymmetric(n: number, seed: number): Float64Array {
	const random = createRandom(seed);
	const a = new Float64Array(n * n);
	for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) a[i * n + j] = a[j * n + i] = random();
	return a;
}

// The eigenvalues of the second-difference matrix are 4·sin²(kπ / 2(n + 1)) (textbook closed form).
test("eigenvalues of the second-difference matrix are the closed form", () => {
	const n = 40;
	const matrix = new Float64Array(n * n);
	for (let i = 0; i < n; i++) {
		matrix[i * n + i] = 2;
		if (i > 0) matrix[i * n + i - 1] = -1;
	}
	const { values } = symmetricEigen(matrix, n);
	for (let k = 1; k <= n; k++) {
		expect(values[k - 1]).toBeCloseTo(4 * Math.sin((k * Math.PI) / (2 * (n + 1))) ** 2, 12);
	}
});

test.each([1, 2, 3, 17, 104])("eigenvectors of %i × %i rebuild the matrix and are orthonormal", (n) => {
	const a = createSymmetric(n, n);
	const { values, vectors } = symmetricEigen(a, n);
	const scaled = vectors.map((v, i) => v * values[Math.floor(i / n)]!);
	expect(relativeDifference(multiply(transpose(vectors, n, n), scaled, n, n, n), a)).toBeLessThan(1e-13);
	const identity = multiply(vectors, transpose(vectors, n, n), n, n, n);
	for (let i = 0; i < n * n; i++) expect(identity[i]).toBeCloseTo(i % (n + 1) === 0 ? 1 : 0, 12);
	for (let i = 1; i < n; i++) expect(values[i]!).toBeGreaterThanOrEqual(values[i - 1]!);
});

test.each([
	["zero", 0],
	["one repeated", 1],
])("a matrix with all eigenvalues %s stays exact", (_, value) => {
	const matrix = new Float64Array(25);
	for (let i = 0; i < 5; i++) matrix[6 * i] = value;
	expect(Array.from(symmetricEigen(matrix, 5).values)).toEqual([value, value, value, value, value]);
});

// Eigenvalues over 30 powers of ten, where a block is nothing but round-off.
test("ends on a matrix whose eigenvalues fall far below round-off", () => {
	const n = 120;
	const { vectors } = symmetricEigen(createSymmetric(n, 6), n);
	const scaled = vectors.map((v, i) => v * 10 ** (-Math.floor(i / n) / 4));
	const matrix = multiply(transpose(vectors, n, n), scaled, n, n, n);
	const { values } = symmetricEigen(matrix, n);
	for (let k = 0; k < n; k++) expect(values[n - 1 - k]).toBeCloseTo(10 ** (-k / 4), 13);
});

test("reports a matrix that holds a NaN instead of turning for ever", () => {
	expect(() => symmetricEigen(Float64Array.of(1, Number.NaN, Number.NaN, 1), 2)).toThrow(/NaN/);
});

test("the Cholesky factor rebuilds the matrix, and one that is not definite is refused", () => {
	const n = 12;
	const root = createSymmetric(n, 3);
	const matrix = multiply(root, transpose(root, n, n), n, n, n);
	for (let i = 0; i < n; i++) matrix[i * n + i]! += 1;
	const factor = matrix.slice();
	choleskyInPlace(factor, n);
	for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) factor[i * n + j] = 0;
	expect(relativeDifference(multiply(factor, transpose(factor, n, n), n, n, n), matrix)).toBeLessThan(1e-14);
	expect(() => choleskyInPlace(Float64Array.of(1, 2, 2, 1), 2)).toThrow(/not positive definite/);
});
