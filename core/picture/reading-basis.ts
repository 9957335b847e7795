import { choleskyInPlace, invertedTransposed } from "./dense.ts";
import { Kernel } from "./kernel/kernel.ts";
import type { MatrixProducts } from "./kernel/matrix-products.ts";
import { rowProducts } from "./kernel/row-products.ts";

/**
 * A few rows that stand for all: with F the whitened sensitivities in the metric of the prior, F ≈ T·F_S for some rows
 * S of it (interpolative decomposition: Halko, Martinsson & Tropp, SIAM Rev. 53:217, 2011). Far from the electrodes the
 * fields of electrode pairs hardly differ, so the singular values of F fall exponentially and S is short.
 *
 * By T = Q·Cᵀ with orthonormal columns Q, the values z = Qᵀ·y hold all that y says, still with unit variance, and their
 * sensitivities are Cᵀ·F_S.
 */
export interface ReadingBasis {
	/** [r] */
	readonly rows: Uint32Array;
	/** [r × n] Qᵀ */
	readonly projection: Float64Array;
	/** [r × r] C, lower triangular, zero above. */
	readonly mix: Float64Array;
	/** Estimate of ‖F − T·F_S‖² in the Frobenius norm, as a share of ‖F‖². */
	readonly lost: number;
}

/** What may be left of ‖F‖²: about the round-off of F·Fᵀ itself in double precision. */
const NEGLIGIBLE = 1e-16;

/**
 * @param sketch [n × length] F·Ω with Ωᵀ·Ω ≈ I, which keeps the inner products of rows; wider than the basis gets
 * @returns null where the basis would not be shorter by a tenth than `n`, or does not fit the sketch
 */
export function createReadingBasis(sketch: MatrixProducts): ReadingBasis | null {
	const n = sketch.rowCount;
	const most = Math.min(Math.floor(0.9 * n), Math.floor(0.9 * sketch.stride));
	sketch.right.set(sketch.left);
	const found = pivotedCholesky(sketch.symmetricProduct(), n, most, sketch.stride);
	if (found === null) return null;
	const { rows, factor, lost } = found;
	const r = rows.length;
	const lower = new Float64Array(r * r);
	for (const [i, row] of rows.entries()) lower.set(factor.subarray(row * r, (row + 1) * r), i * r);
	const inverse = invertedTransposed(lower, r);
	// Tᵀ: the rows taken stand for themselves, only the others need computing
	const others = Uint32Array.from(Array(n).keys()).filter((i) => !rows.includes(i));
	const rest = new Float64Array(others.length * r);
	for (const [i, row] of others.entries()) rest.set(factor.subarray(row * r, (row + 1) * r), i * r);
	const shares = rowProducts(inverse, r, rest, others.length, r);
	const mix = rowProducts(shares, r, shares, r, others.length, "symmetric");
	const weights = new Float64Array(r * n);
	for (let i = 0; i < r; i++) {
		mix[i * r + i]! += 1;
		weights[i * n + rows[i]!] = 1;
		for (const [j, row] of others.entries()) weights[i * n + row] = shares[i * others.length + j]!;
	}
	choleskyInPlace(mix, r);
	for (let i = 0; i < r; i++) mix.fill(0, i * r + i + 1, (i + 1) * r);
	return { rows, projection: orthonormal(weights, n, mix, r), mix, lost };
}

/** Cholesky factorisation with diagonal pivoting, row by row as needed, until nothing but round-off is left.
 *  @returns [n × r] factor in the rows' own order; null when more than `most` rows are needed */
function pivotedCholesky(
	gram: Float64Array,
	n: number,
	most: number,
	width: number,
): { rows: Uint32Array; factor: Float64Array; lost: number } | null {
	const stride = Math.ceil(most / 4) * 4;
	const paddedRows = Math.ceil(n / 4) * 4;
	const kernel = new Kernel(8 * (paddedRows * stride + paddedRows) + 128);
	const factor = kernel.reserveFloat64(paddedRows * stride);
	const known = kernel.reserveFloat64(paddedRows);
	const { dots } = kernel.functions;
	const left = Float64Array.from({ length: n }, (_, i) => gram[i * n + i]!);
	const total = left.reduce((sum, value) => sum + value, 0);
	const rows: number[] = [];
	for (;;) {
		let pivot = 0;
		let lost = 0;
		for (let i = 0; i < n; i++) {
			lost += left[i]!;
			if (left[i]! > left[pivot]!) pivot = i;
		}
		const r = rows.length;
		// T fits this very sketch: of the matrix itself more is lost, as with any least-squares fit (of variance σ² a fit
		// of r values to `width` leaves σ²(1 − r/width) in the sample and σ²/(1 − r/width) outside of it)
		lost /= (1 - r / width) ** 2 * total;
		if (lost <= NEGLIGIBLE) {
			const tight = new Float64Array(n * r);
			for (let i = 0; i < n; i++) tight.set(factor.subarray(i * stride, i * stride + r), i * r);
			return { rows: Uint32Array.from(rows), factor: tight, lost };
		}
		if (r === most) return null;
		const own = factor.byteOffset + pivot * stride * 8;
		const length = (r + 3) & ~3;
		if (length > 0) {
			for (let i = 0; i < n; i += 4) {
				dots(factor.byteOffset + i * stride * 8, stride * 8, own, length, known.byteOffset + i * 8);
			}
		}
		const root = Math.sqrt(left[pivot]!);
		for (let i = 0; i < n; i++) {
			// rows taken before have nothing left
			if (left[i] === 0) continue;
			const entry = (gram[pivot * n + i]! - known[i]!) / root;
			factor[i * stride + r] = entry;
			left[i] = Math.max(0, left[i]! - entry * entry);
		}
		factor[pivot * stride + r] = root;
		left[pivot] = 0;
		rows.push(pivot);
	}
}

/** C⁻¹·Tᵀ by forward substitution, two rows at a time. */
function orthonormal(weights: Float64Array, n: number, mix: Float64Array, r: number): Float64Array {
	const stride = Math.ceil(n / 4) * 4;
	const kernel = new Kernel(8 * r * stride + 64);
	const values = kernel.reserveFloat64(r * stride);
	const { addTwo } = kernel.functions;
	const rowOf = (i: number) => values.byteOffset + i * stride * 8;
	const result = new Float64Array(r * n);
	for (let i = 0; i < r; i++) {
		values.set(weights.subarray(i * n, (i + 1) * n), i * stride);
		let k = 0;
		for (; k + 1 < i; k += 2) {
			addTwo(rowOf(i), rowOf(k), rowOf(k + 1), stride, -mix[i * r + k]!, -mix[i * r + k + 1]!);
		}
		if (k < i) addTwo(rowOf(i), rowOf(k), rowOf(k), stride, -mix[i * r + k]!, 0);
		const scale = 1 / mix[i * r + i]!;
		for (let c = i * stride; c < i * stride + n; c++) values[c]! *= scale;
		result.set(values.subarray(i * stride, i * stride + n), i * n);
	}
	return result;
}
