import type { DataSpace } from "./data-space.ts";
import { transposedOf } from "./dense.ts";
import { rowProducts } from "./kernel/row-products.ts";

/**
 * How many of the first components (the smallest eigenvalues) noise drowns. Component i of the readings has the variance
 * μᵢ + λ², signal and noise, and its picture, damped by 1/(μᵢ + λ²), the square Gᵢᵢ for each unit of it.
 *
 * @param imageGram [n × n] G as in `StrengthProblem`
 * @param negligible share of the picture's expected square that may be left out in all
 */
export function drownedComponents(
	eigenvalues: Float64Array,
	imageGram: Float64Array,
	lambda: number,
	negligible: number,
): number {
	if (negligible === 0) return 0;
	const n = eigenvalues.length;
	const squares = eigenvalues.map((mu, i) => imageGram[i * n + i]! / (mu + lambda * lambda));
	const allowed = negligible * squares.reduce((sum, square) => sum + square, 0);
	let left = 0;
	let count = 0;
	while (count < n - 1 && left + squares[count]! <= allowed) left += squares[count++]!;
	return count;
}

/**
 * What remains when the first `drowned` components are left out: the components themselves are then the values that the
 * matrix takes.
 *
 * @param sums [n × n] eigenvectors as sums of the rows that the picture is combined from
 * @param scale of the data-space matrix
 * @returns the data space of those values, and the weights [n − drowned × n] that combine the matrix's columns
 */
export function keepComponents(
	{ eigenvalues, vectors, lambda, shares, regionAnswers }: DataSpace & { readonly vectors: Float64Array },
	sums: Float64Array,
	drowned: number,
	scale: number,
): { readonly dataSpace: DataSpace & { readonly shares: Float64Array }; readonly weights: Float64Array } {
	const n = eigenvalues.length;
	const count = n - drowned;
	const kept = vectors.subarray(drowned * n);
	const weights = sums.slice(drowned * n);
	for (let i = 0; i < count; i++) {
		const damping = scale / (eigenvalues[drowned + i]! + lambda * lambda);
		for (let k = 0; k < n; k++) weights[i * n + k]! *= damping;
	}
	return {
		dataSpace: {
			eigenvalues: eigenvalues.slice(drowned),
			vectors: null,
			lambda,
			regionAnswers: rowProducts(regionAnswers, regionAnswers.length / n, kept, count, n),
			shares:
				shares === null
					? transposedOf(kept, count, n)
					: rowProducts(shares, shares.length / n, kept, count, n),
		},
		weights,
	};
}

/** diag(R·(M + λ²)·Rᵀ) for a matrix R of components. @param values [n × stride] R, transposed */
export function seenByComponents(
	values: Float32Array,
	stride: number,
	count: number,
	{ eigenvalues, lambda }: DataSpace,
): Float64Array {
	const seen = new Float64Array(count);
	for (let i = 0; i < eigenvalues.length; i++) {
		const variance = eigenvalues[i]! + lambda * lambda;
		for (let k = 0; k < count; k++) seen[k]! += variance * values[i * stride + k]! ** 2;
	}
	return seen;
}
