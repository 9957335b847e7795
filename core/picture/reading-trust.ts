import type { ReadingPattern } from "../band/band.ts";
import { type DataSpace, explainedShare } from "./data-space.ts";
import { choleskyInPlace, transposedOf } from "./dense.ts";
import type { FoldedReadings } from "./folded-readings.ts";
import { rowProducts } from "./kernel/row-products.ts";
import type { PictureModel } from "./picture-model.ts";

/**
 * A finished model with some readings trusted less, or not at all, without making it again.
 *
 * A reading whose variance grows by 1/w keeps the share w of its information (0: infinite variance, as Adler, Physiol.
 * Meas. 25:101, 2004, treats electrodes in error). By the Sherman–Morrison–Woodbury identity the new reconstruction is
 * the old matrix times z̃, where t are the values made of the weighted readings, C_D the rows of C of the readings that
 * lost trust, ω = 1 − w, H = M·(M + λ²)⁻¹ and
 *
 *   z̃ = t + C_Dᵀ·ω^½·(1 − ω^½·C_D·H·C_Dᵀ·ω^½)⁻¹·ω^½·C_D·H·t.
 *
 * In words: what a lost reading would have shown is predicted from the others. Prior and λ stay as they are.
 */
export interface ReadingTrust {
	/** [nReadings] w, 0 to 1. */
	readonly kept: Float64Array;
	/** Readings, or groups of reciprocal ones, that lost trust. */
	readonly count: number;
	/** [count] which: numbers of folded values where readings are folded in groups, else of readings. */
	readonly lost: Uint32Array;
	/** [count × n] ω^½·C_D */
	readonly lostRows: Float64Array;
	/** Eigenvectors that H is made of: the last `explained` of the model. */
	readonly explained: number;
	/** [count × explained] ω^½·C_D·Vᵀ */
	readonly lostComponents: Float64Array;
	/** [count × count] lower Cholesky factor of 1 − ω^½·C_D·H·C_Dᵀ·ω^½ */
	readonly factor: Float64Array;
}

/** Components of which the picture explains less change nothing that one could see. */
const EXPLAINS_NOTHING = 1e-5;

/**
 * @param kept [nReadings] share of its information that each reading keeps, 0 to 1
 * @returns null where all readings keep everything
 * @throws RangeError on another length, or shares outside of 0 to 1
 */
export function trustReadings(
	{ fold, dataSpace, readingCount }: Pick<PictureModel, "fold" | "dataSpace" | "readingCount">,
	kept: Float64Array,
): ReadingTrust | null {
	if (kept.length !== readingCount) {
		throw new RangeError(`trust: ${kept.length} shares where ${readingCount} were expected`);
	}
	for (const share of kept)
		if (!(share >= 0 && share <= 1)) throw new RangeError(`trust: a reading keeps 0 to 1, got ${share}`);
	const n = dataSpace.eigenvalues.length;
	const { rows: lostRows, lost } = rowsOfLost(fold, dataSpace, kept);
	const count = lost.length;
	if (count === 0) return null;

	let first = 0;
	while (first < n && explainedShare(dataSpace, first) < EXPLAINS_NOTHING) first++;
	const explained = n - first;
	const lostComponents = componentsOf(lostRows, count, dataSpace, first);
	const factor = lostFactor(lostComponents, count, dataSpace);
	return { kept: kept.slice(), count, lost, lostRows, explained, lostComponents, factor };
}

/** Lower Cholesky factor of 1 − ω^½·C_D·H·C_Dᵀ·ω^½, see `ReadingTrust`. */
function lostFactor(lostComponents: Float64Array, count: number, dataSpace: DataSpace): Float64Array {
	const explained = lostComponents.length / count;
	const first = dataSpace.eigenvalues.length - explained;
	const rooted = new Float64Array(lostComponents.length);
	for (let j = 0; j < explained; j++) {
		const root = Math.sqrt(explainedShare(dataSpace, first + j));
		for (let i = 0; i < count; i++) rooted[i * explained + j] = root * lostComponents[i * explained + j]!;
	}
	const factor = rowProducts(rooted, count, rooted, count, explained, "symmetric");
	for (let i = 0; i < factor.length; i++) factor[i] = -factor[i]!;
	for (let i = 0; i < count; i++) factor[i * count + i]! += 1;
	choleskyInPlace(factor, count);
	return factor;
}

/** [count × (n − first)] rows along the eigenvectors from `first` on. */
function componentsOf(
	rows: Float64Array,
	count: number,
	{ eigenvalues, vectors }: DataSpace,
	first: number,
): Float64Array {
	const n = eigenvalues.length;
	if (vectors !== null) return rowProducts(rows, count, vectors.subarray(first * n), n - first, n);
	const components = new Float64Array(count * (n - first));
	for (let i = 0; i < count; i++) components.set(rows.subarray(i * n + first, (i + 1) * n), i * (n - first));
	return components;
}

/** [nReadings] 0 for readings that drive or read one of `electrodes` (from 0), else 1. */
export function keepWithout({ terminals }: ReadingPattern, electrodes: Iterable<number>): Float64Array {
	const lost = new Set(electrodes);
	const kept = new Float64Array(terminals.length / 4).fill(1);
	for (let i = 0; i < terminals.length; i++) if (lost.has(terminals[i]!)) kept[i >> 2] = 0;
	return kept;
}

/** ω^½·C_D. Reciprocal readings have one row together, with the information that they keep together. */
function rowsOfLost(
	fold: FoldedReadings,
	{ shares, eigenvalues }: DataSpace,
	kept: Float64Array,
): { rows: Float64Array; lost: Uint32Array } {
	const n = eigenvalues.length;
	if (fold.mix.kind === "independent") return rowsOfReadings(fold, fold.mix.inverse, shares, n, kept);
	const { rowStart, reading, deviation } = fold;
	const lost: number[] = [];
	const weights: number[] = [];
	for (let i = 0; i < fold.count; i++) {
		let before = 0;
		let after = 0;
		for (let e = rowStart[i]!; e < rowStart[i + 1]!; e++) {
			const information = 1 / deviation[reading[e]!]! ** 2;
			before += information;
			after += information * kept[reading[e]!]!;
		}
		if (after === before) continue;
		lost.push(i);
		weights.push(Math.sqrt(1 - after / before));
	}
	const rows = new Float64Array(lost.length * n);
	for (const [place, i] of lost.entries()) {
		if (shares === null) {
			rows[place * n + i] = weights[place]!;
			continue;
		}
		for (let j = 0; j < n; j++) rows[place * n + j] = weights[place]! * shares[i * n + j]!;
	}
	return { rows, lost: Uint32Array.from(lost) };
}

/** Σ over a reading's entries: its rows are sparse but for L⁻¹. */
function rowsOfReadings(
	fold: FoldedReadings,
	inverse: Float64Array,
	shares: Float64Array | null,
	n: number,
	kept: Float64Array,
): { rows: Float64Array; lost: Uint32Array } {
	const { count, deviation, rowStart, reading, weight } = fold;
	const placeOf = new Int32Array(kept.length).fill(-1);
	const lost = Uint32Array.from(kept.keys()).filter((r) => kept[r]! < 1 && deviation[r] !== Infinity);
	for (const [place, r] of lost.entries()) placeOf[r] = place;
	const rows = new Float64Array(lost.length * count);
	for (let i = 0; i < count; i++) {
		for (let e = rowStart[i]!; e < rowStart[i + 1]!; e++) {
			const r = reading[e]!;
			const place = placeOf[r]!;
			if (place < 0) continue;
			const value = weight[e]! * deviation[r]! * Math.sqrt(1 - kept[r]!);
			for (let j = i; j < count; j++) rows[place * count + j]! += value * inverse[i * count + j]!;
		}
	}
	if (shares === null) return { rows, lost };
	return { rows: rowProducts(rows, lost.length, transposedOf(shares, count, n), n, count), lost };
}

/** Readings to the values that the matrix takes, for frames of which not all readings are trusted. */
export interface TrustedInput {
	/** Multiplies each reading [nReadings] by what it keeps; a lost one may be NaN. Allocates nothing. */
	weigh(readings: Float64Array): void;
	/** t to z̃ in place. @param values [n] made of the weighed readings. Allocates nothing. */
	complete(values: Float64Array): void;
}

/** @throws RangeError when the trust is of another model */
export function createTrustedInput(dataSpace: DataSpace, trust: ReadingTrust): TrustedInput {
	const { kept, count, lostRows, explained, lostComponents, factor } = trust;
	const n = dataSpace.eigenvalues.length;
	if (lostRows.length !== count * n) throw new RangeError("trust: it was made for another model");
	const first = n - explained;
	const vectors = dataSpace.vectors?.subarray(first * n) ?? null;
	const shares = Float64Array.from({ length: explained }, (_, j) => explainedShare(dataSpace, first + j));
	const components = new Float64Array(explained);
	const predicted = new Float64Array(count);

	/** (1 − …)⁻¹·ω^½·C_D·H·t */
	function predict(values: Float64Array): void {
		for (let j = 0; j < explained; j++) {
			let sum = 0;
			if (vectors === null) sum = values[first + j]!;
			else for (let k = 0; k < n; k++) sum += vectors[j * n + k]! * values[k]!;
			components[j] = shares[j]! * sum;
		}
		for (let i = 0; i < count; i++) {
			let sum = 0;
			for (let j = 0; j < explained; j++) sum += lostComponents[i * explained + j]! * components[j]!;
			for (let j = 0; j < i; j++) sum -= factor[i * count + j]! * predicted[j]!;
			predicted[i] = sum / factor[i * count + i]!;
		}
		for (let i = count - 1; i >= 0; i--) {
			const value = predicted[i]! / factor[i * count + i]!;
			predicted[i] = value;
			for (let j = 0; j < i; j++) predicted[j]! -= factor[i * count + j]! * value;
		}
	}

	return {
		weigh(readings) {
			for (let r = 0; r < kept.length; r++) readings[r] = kept[r] === 0 ? 0 : readings[r]! * kept[r]!;
		},
		complete(values) {
			predict(values);
			for (let i = 0; i < count; i++) {
				const value = predicted[i]!;
				for (let k = 0; k < n; k++) values[k]! += value * lostRows[i * n + k]!;
			}
		},
	};
}
