import type { ReadingPattern } from "../band/band.ts";
import { type DataSpace, explainedShare } from "./data-space.ts";
import { choleskyInPlace } from "./dense.ts";
import { foldInto } from "./fold.ts";
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
	/** [count × explained] ω^½·C_D·Vᵀ·h^½ */
	readonly lostComponents: Float64Array;
	/** [count × count] lower Cholesky factor of 1 − ω^½·C_D·H·C_Dᵀ·ω^½ */
	readonly factor: Float64Array;
	/** [matrix rows] factors on the picture's values and region means, see `gainsOf`. */
	readonly gains: Float32Array;
}

/** Components of which the picture explains less change nothing that one could see. */
const EXPLAINS_NOTHING = 1e-5;

/**
 * @param kept [nReadings] share of its information that each reading keeps, 0 to 1
 * @returns null where all readings keep everything
 * @throws RangeError on another length, or shares outside of 0 to 1
 */
export function trustReadings(
	model: Pick<PictureModel, "fold" | "dataSpace" | "readingCount" | "matrix" | "trendRegions">,
	kept: Float64Array,
): ReadingTrust | null {
	const { fold, dataSpace, readingCount } = model;
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
	for (let j = 0; j < explained; j++) {
		const root = Math.sqrt(explainedShare(dataSpace, first + j));
		for (let i = 0; i < count; i++) lostComponents[i * explained + j]! *= root;
	}
	const factor = rowProducts(lostComponents, count, lostComponents, count, explained, "symmetric");
	for (let i = 0; i < factor.length; i++) factor[i] = -factor[i]!;
	for (let i = 0; i < count; i++) factor[i * count + i]! += 1;
	choleskyInPlace(factor, count);
	const gains = gainsOf(model, { count, lostRows, factor });
	return { kept: kept.slice(), count, lost, lostRows, explained, lostComponents, factor, gains };
}

/** A value is raised by no more than this: fat, of which the prior believes little, would stand out else. */
const LARGEST_GAIN = 3;
/** A region's mean is raised by no more than this; where more would be needed it can hardly be seen any more. */
const LARGEST_REGION_GAIN = 3;
/** For s′; two of 16 electrodes take half of it. */
const MOST_PRODUCTS = 2e7;
/** Once this share of the values is lost the picture is standardised in full. */
const STANDARDISED_FROM = 1 / 8;

/**
 * Where electrodes were lost the picture sees less: of the variance s of a value over all changes that the prior believes
 * in, s′ = s − λ²·|L⁻¹·ω^½·C_D·r|² is left (r: the matrix row, L: the factor). A target beside a lost electrode would show
 * beside its place, where more is seen. Values are therefore standardised by √s′, which puts a single target's peak in its
 * place (Pascual-Marqui, Methods Find. Exp. Clin. Pharmacol. 24 D:5, 2002), times the median of √s, so that colours keep
 * their meaning. Region means are raised by s/s′, which keeps their answer to a change, so that trends go on as they were.
 *
 * With many electrodes, two lost of which are little, s′ would take longer than it is worth: values then stay as they are.
 */
function gainsOf(
	{
		fold,
		dataSpace,
		matrix,
		trendRegions,
	}: Pick<PictureModel, "fold" | "dataSpace" | "matrix" | "trendRegions">,
	lost: Pick<ReadingTrust, "count" | "lostRows" | "factor">,
): Float32Array {
	const { seen, rowCount } = matrix;
	const imageCount = rowCount - trendRegions.length;
	const gains = new Float32Array(rowCount).fill(1);
	const standardises = lost.count * matrix.columnCount * imageCount <= MOST_PRODUCTS;
	const left = seenWithout(matrix, standardises ? 0 : imageCount, lost, dataSpace.lambda ** 2);
	if (standardises) {
		const power = Math.min(1, lost.count / fold.count / STANDARDISED_FROM) / 2;
		const middle = seen.slice(0, imageCount).sort()[imageCount >> 1]!;
		for (let k = 0; k < imageCount; k++) gains[k] = Math.min(LARGEST_GAIN, (middle / left[k]!) ** power);
	}
	for (let k = imageCount; k < rowCount; k++) {
		gains[k] = Math.min(LARGEST_REGION_GAIN, seen[k]! / left[k]!);
	}
	return gains;
}

/** [rowCount] s′, from row `first` on. */
function seenWithout(
	{ seen, values, rowCount, columnCount, rowStride }: PictureModel["matrix"],
	first: number,
	{ count, lostRows, factor }: Pick<ReadingTrust, "count" | "lostRows" | "factor">,
	lambda2: number,
): Float64Array {
	const left = seen.slice();
	const width = rowCount - first;
	const solved = new Float64Array(count * width);
	for (let i = 0; i < count; i++) {
		const row = solved.subarray(i * width, (i + 1) * width);
		for (let j = 0; j < columnCount; j++) {
			const weight = lostRows[i * columnCount + j]!;
			if (weight === 0) continue;
			const at = j * rowStride + first;
			for (let k = 0; k < width; k++) row[k]! += weight * values[at + k]!;
		}
		for (let j = 0; j < i; j++) {
			const weight = factor[i * count + j]!;
			for (let k = 0; k < width; k++) row[k]! -= weight * solved[j * width + k]!;
		}
		for (let k = 0; k < width; k++) {
			row[k]! /= factor[i * count + i]!;
			left[first + k]! -= lambda2 * row[k]! ** 2;
		}
	}
	return left.map((value, k) => Math.max(value, SEES_NOTHING * seen[k]!));
}

/** Share of what is seen that is never taken away, lest nothing be divided by nothing. */
const SEES_NOTHING = 1e-3;

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
	if (fold.mix.kind === "independent") return rowsOfReadings(fold, shares, n, kept);
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

function rowsOfReadings(
	fold: FoldedReadings,
	shares: Float64Array | null,
	n: number,
	kept: Float64Array,
): { rows: Float64Array; lost: Uint32Array } {
	const lost = Array.from(kept.keys()).filter((r) => kept[r]! < 1 && fold.deviation[r] !== Infinity);
	const rows = new Float64Array(lost.length * n);
	const unit = new Float64Array(kept.length);
	const whitened = new Float64Array(fold.count);
	for (const [place, r] of lost.entries()) {
		unit[r] = fold.deviation[r]! * Math.sqrt(1 - kept[r]!);
		foldInto(fold, unit, whitened);
		unit[r] = 0;
		const row = rows.subarray(place * n, (place + 1) * n);
		if (shares === null) {
			row.set(whitened);
			continue;
		}
		for (let i = 0; i < whitened.length; i++) {
			const value = whitened[i]!;
			if (value === 0) continue;
			for (let j = 0; j < n; j++) row[j]! += value * shares[i * n + j]!;
		}
	}
	return { rows, lost: Uint32Array.from(lost) };
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
	const roots = Float64Array.from({ length: explained }, (_, j) =>
		Math.sqrt(explainedShare(dataSpace, first + j)),
	);
	const components = new Float64Array(explained);
	const predicted = new Float64Array(count);

	/** (1 − …)⁻¹·ω^½·C_D·H·t */
	function predict(values: Float64Array): void {
		for (let j = 0; j < explained; j++) {
			let sum = 0;
			if (vectors === null) sum = values[first + j]!;
			else for (let k = 0; k < n; k++) sum += vectors[j * n + k]! * values[k]!;
			components[j] = roots[j]! * sum;
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
