import { choleskyInPlace, invertedTransposed } from "./dense.ts";
import type { FoldedReadings } from "./folded-readings.ts";

/** Pivots below this share of the largest are taken as dependent on those before. */
const DEPENDENT = 1e-11;

/**
 * Every reading is a sum of pair resistances, r_ab = R(ab, ab): by superposition and reciprocity
 * R(sk, pm) = ½(r_sm + r_kp − r_sp − r_km). With B that matrix and W the inverse variances, N = BᵀWB = F·Fᵀ by
 * Cholesky with diagonal pivoting; whitened values are L⁻¹·(BᵀW y) at the pivots, their sensitivities Fᵀ times
 * those of the pair resistances.
 */
export function foldIndependent(
	terminals: Uint16Array,
	electrodeCount: number,
	deviation: Float64Array,
): FoldedReadings {
	const readingCount = deviation.length;
	const pairCount = (electrodeCount * (electrodeCount - 1)) / 2;
	const entries = pairEntries(terminals, electrodeCount, deviation);
	const normal = new Float64Array(pairCount * pairCount);
	for (let r = 0; r < readingCount; r++) {
		for (let a = 4 * r; a < 4 * r + 4; a++) {
			for (let b = 4 * r; b < 4 * r + 4; b++) {
				const [i, j] = [entries.pair[a]!, entries.pair[b]!];
				normal[i * pairCount + j]! += entries.weight[a]! * entries.weight[b]!;
			}
		}
	}
	const { order, rank } = pivotOrder(normal, pairCount);
	const factor = factorInOrder(normal, pairCount, order, rank);
	const probes = new Uint16Array(4 * pairCount);
	const placeOf = new Int32Array(pairCount);
	for (const [place, pair] of order.entries()) placeOf[pair] = place;
	for (let a = 0; a < electrodeCount; a++) {
		for (let b = a + 1; b < electrodeCount; b++) {
			probes.set([a, b, a, b], 4 * placeOf[pairNumber(a, b, electrodeCount)]!);
		}
	}
	const rows: { reading: number; weight: number }[][] = Array.from({ length: rank }, () => []);
	for (let r = 0; r < readingCount; r++) {
		if (deviation[r] === Infinity) continue;
		for (let e = 4 * r; e < 4 * r + 4; e++) {
			const place = placeOf[entries.pair[e]!]!;
			if (place >= rank || entries.weight[e] === 0) continue;
			rows[place]!.push({ reading: r, weight: entries.weight[e]! / deviation[r]! });
		}
	}
	const flat = rows.flat();
	const rowStart = new Uint32Array(rank + 1);
	for (const [i, row] of rows.entries()) rowStart[i + 1] = rowStart[i]! + row.length;
	return {
		readingCount,
		deviation,
		count: rank,
		probes,
		mix: { kind: "independent", factor, inverse: invertedTransposed(factor, rank) },
		rowStart,
		reading: Uint32Array.from(flat, (entry) => entry.reading),
		weight: Float64Array.from(flat, (entry) => entry.weight),
	};
}

function pairNumber(a: number, b: number, electrodeCount: number): number {
	const [low, high] = a < b ? [a, b] : [b, a];
	return low * electrodeCount - (low * (low + 1)) / 2 + (high - low - 1);
}

/** Four whitened entries of B per reading; a pair of one electrode with itself has resistance zero. */
function pairEntries(terminals: Uint16Array, electrodeCount: number, deviation: Float64Array) {
	const pair = new Uint32Array(terminals.length);
	const weight = new Float64Array(terminals.length);
	for (let r = 0; r < deviation.length; r++) {
		const source = terminals[4 * r]!;
		const sink = terminals[4 * r + 1]!;
		const plus = terminals[4 * r + 2]!;
		const minus = terminals[4 * r + 3]!;
		const ends = [source, minus, sink, plus, source, plus, sink, minus];
		for (let e = 0; e < 4; e++) {
			const [a, b] = [ends[2 * e]!, ends[2 * e + 1]!];
			if (a === b) continue;
			pair[4 * r + e] = pairNumber(a, b, electrodeCount);
			weight[4 * r + e] = (e < 2 ? 0.5 : -0.5) / deviation[r]!;
		}
	}
	return { pair, weight };
}

/** Order of pivots of a Cholesky factorisation that always takes the largest left (outer-product form). */
function pivotOrder(matrix: Float64Array, n: number): { order: Int32Array; rank: number } {
	const left = Float64Array.from(matrix);
	const order = Int32Array.from({ length: n }, (_, i) => i);
	let largest = 0;
	for (let i = 0; i < n; i++) largest = Math.max(largest, left[i * n + i]!);
	for (let step = 0; step < n; step++) {
		let best = step;
		for (let i = step + 1; i < n; i++) {
			if (left[order[i]! * n + order[i]!]! > left[order[best]! * n + order[best]!]!) best = i;
		}
		const pivot = order[best]!;
		order[best] = order[step]!;
		order[step] = pivot;
		const value = left[pivot * n + pivot]!;
		if (!(value > DEPENDENT * largest)) return { order, rank: step };
		for (let i = step + 1; i < n; i++) {
			const row = order[i]! * n;
			const share = left[row + pivot]! / value;
			if (share === 0) continue;
			for (let j = step + 1; j <= i; j++) {
				const column = order[j]!;
				const next = left[row + column]! - share * left[column * n + pivot]!;
				left[row + column] = next;
				left[column * n + order[i]!] = next;
			}
		}
	}
	return { order, rank: n };
}

/** [n × rank] F with F·Fᵀ = matrix in the given order; its first `rank` rows are L. */
function factorInOrder(matrix: Float64Array, n: number, order: Int32Array, rank: number): Float64Array {
	const head = new Float64Array(rank * rank);
	for (let i = 0; i < rank; i++) {
		for (let j = 0; j <= i; j++) head[i * rank + j] = matrix[order[i]! * n + order[j]!]!;
	}
	choleskyInPlace(head, rank);
	const factor = new Float64Array(n * rank);
	for (let i = 0; i < rank; i++) factor.set(head.subarray(i * rank, i * rank + i + 1), i * rank);
	for (let i = rank; i < n; i++) {
		for (let j = 0; j < rank; j++) {
			let sum = matrix[order[i]! * n + order[j]!]!;
			for (let k = 0; k < j; k++) sum -= factor[i * rank + k]! * head[j * rank + k]!;
			factor[i * rank + j] = sum / head[j * rank + j]!;
		}
	}
	return factor;
}
