import { choleskyInPlace } from "./dense.ts";

/**
 * Readings that carry the same information, brought together before anything else is computed.
 *
 * The transfer resistance of a drive and a reading pair does not change when the two are swapped or turned
 * around, so reciprocal and repeated readings have equal (or opposite) rows of the sensitivity matrix. Replacing
 * each such group by its inverse-variance mean is exactly equivalent to using the readings one by one in the
 * weighted one-step reconstruction (the mean is a sufficient statistic of the group), and halves every later
 * step. Patterns with many more groups than an L-electrode ring has independent resistances, L(L − 1)/2, are
 * brought down to these in the same sense (`independent`).
 */
export interface FoldedReadings {
	/** Readings of a frame that go in. */
	readonly readingCount: number;
	/** Whitened values that come out: unit variance each. */
	readonly count: number;
	/** [nProbes × 4] the transfer resistances whose sensitivities are needed. */
	readonly probes: Uint16Array;
	/** Sensitivity rows of the whitened values = `mix` · rows of the probes. */
	readonly mix: FoldMix;
	/** [count + 1], [nEntries], [nEntries]: sparse rows over readings (compressed rows). */
	readonly rowStart: Uint32Array;
	readonly reading: Uint32Array;
	readonly weight: Float64Array;
}

export type FoldMix =
	/** Whitened row i = probe row i × scale[i], and whitened value i = sparse row i. */
	| { readonly kind: "reciprocal"; readonly scale: Float64Array }
	/** Whitened rows = factorᵀ · probe rows [nProbes], and whitened values = L⁻¹ · sparse rows, where L is the
	 *  first `count` rows of factor [nProbes × count] (lower trapezoidal). */
	| { readonly kind: "independent"; readonly factor: Float64Array };

/** More groups than this multiple of L(L − 1)/2 are worth the dense step of `independent`. */
const INDEPENDENT_FROM = 1.25;

/**
 * @param terminals [nReadings × 4] source, sink, plus, minus
 * @param deviation [nReadings] noise of each reading as it will be given to `foldInto`; Infinity leaves a reading
 * out
 * @throws RangeError when no reading is left
 */
export function foldReadings(
	terminals: Uint16Array,
	electrodeCount: number,
	deviation: Float64Array,
): FoldedReadings {
	const readingCount = terminals.length / 4;
	if (deviation.length !== readingCount) {
		throw new RangeError(`fold: ${deviation.length} deviations for ${readingCount} readings`);
	}
	for (let r = 0; r < readingCount; r++) {
		if (!(deviation[r]! > 0)) throw new RangeError(`fold: deviation ${r} is ${deviation[r]}, not above zero`);
	}
	const groups = groupReadings(terminals, electrodeCount, deviation);
	if (groups.members.length === 0) throw new RangeError("fold: no reading is left to make a picture from");
	const independentCount = (electrodeCount * (electrodeCount - 1)) / 2;
	return groups.members.length > INDEPENDENT_FROM * independentCount
		? foldIndependent(terminals, electrodeCount, deviation)
		: foldReciprocal(terminals, groups, deviation);
}

/** whitened[count] = the folded, whitened values of readings[nReadings]. Allocates nothing. */
export function foldInto(fold: FoldedReadings, readings: Float64Array, whitened: Float64Array): void {
	const { rowStart, reading, weight, count, mix } = fold;
	for (let i = 0; i < count; i++) {
		let sum = 0;
		for (let e = rowStart[i]!; e < rowStart[i + 1]!; e++) sum += weight[e]! * readings[reading[e]!]!;
		whitened[i] = sum;
	}
	if (mix.kind === "reciprocal") return;
	const { factor } = mix;
	let first = 0;
	while (first < count && whitened[first] === 0) first++;
	for (let i = first; i < count; i++) {
		let sum = whitened[i]!;
		for (let k = first; k < i; k++) sum -= factor[i * count + k]! * whitened[k]!;
		whitened[i] = sum / factor[i * count + i]!;
	}
}

interface Groups {
	/** Reading numbers of each group, those left out apart. */
	readonly members: readonly (readonly number[])[];
	/** [nReadings] 1 or −1 against the first of its group. */
	readonly sign: Int8Array;
}

/** Readings of one transfer resistance, up to sign. */
export function groupReadings(
	terminals: Uint16Array,
	electrodeCount: number,
	deviation: Float64Array,
): Groups {
	const byKey = new Map<number, number[]>();
	const sign = new Int8Array(deviation.length);
	const pairCount = electrodeCount * electrodeCount;
	for (let r = 0; r < deviation.length; r++) {
		if (deviation[r] === Infinity) continue;
		const [source, sink, plus, minus] = terminals.subarray(4 * r, 4 * r + 4) as unknown as [
			number,
			number,
			number,
			number,
		];
		const drive = Math.min(source, sink) * electrodeCount + Math.max(source, sink);
		const read = Math.min(plus, minus) * electrodeCount + Math.max(plus, minus);
		sign[r] = source < sink === plus < minus ? 1 : -1;
		const key = Math.min(drive, read) * pairCount + Math.max(drive, read);
		const group = byKey.get(key);
		if (group === undefined) byKey.set(key, [r]);
		else group.push(r);
	}
	const members = [...byKey.values()];
	for (const group of members) {
		const first = sign[group[0]!]!;
		for (const r of group) sign[r] = (sign[r]! * first) as 1 | -1;
	}
	return { members, sign };
}

function foldReciprocal(terminals: Uint16Array, groups: Groups, deviation: Float64Array): FoldedReadings {
	const { members, sign } = groups;
	const count = members.length;
	const probes = new Uint16Array(4 * count);
	const scale = new Float64Array(count);
	const rowStart = new Uint32Array(count + 1);
	const reading: number[] = [];
	const weight: number[] = [];
	for (const [i, group] of members.entries()) {
		probes.set(terminals.subarray(4 * group[0]!, 4 * group[0]! + 4), 4 * i);
		let precision = 0;
		for (const r of group) precision += 1 / deviation[r]! ** 2;
		scale[i] = Math.sqrt(precision);
		for (const r of group) {
			reading.push(r);
			weight.push(sign[r]! / (deviation[r]! ** 2 * scale[i]!));
		}
		rowStart[i + 1] = reading.length;
	}
	return {
		readingCount: deviation.length,
		count,
		probes,
		mix: { kind: "reciprocal", scale },
		rowStart,
		reading: Uint32Array.from(reading),
		weight: Float64Array.from(weight),
	};
}

/** Pivots below this share of the largest are taken as dependent on those before. */
const DEPENDENT = 1e-11;

/**
 * Every reading is a sum of pair resistances, r_ab = R(ab, ab): by superposition and reciprocity
 * R(sk, pm) = ½(r_sm + r_kp − r_sp − r_km). With B that matrix and W the inverse variances, N = BᵀWB = F·Fᵀ by
 * Cholesky with diagonal pivoting; whitened values are L⁻¹·(BᵀW y) at the pivots, their sensitivities Fᵀ times
 * those of the pair resistances.
 */
function foldIndependent(
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
		count: rank,
		probes,
		mix: { kind: "independent", factor },
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
