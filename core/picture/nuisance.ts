import { transposedOf } from "./dense.ts";
import type { FoldedReadings } from "./folded-readings.ts";
import type { ImageRows } from "./image-rows.ts";
import type { MatrixProducts } from "./kernel/matrix-products.ts";
import { rowProducts } from "./kernel/row-products.ts";
import type { ReadingBasis } from "./reading-basis.ts";
import type { SensitivityRows } from "./sensitivity.ts";
import { createWhitenedRows } from "./whitened-sensitivities.ts";

/**
 * What changes readings beside conductivity: independent modes of known size. They are unknowns of the reconstruction
 * that are not pictured, which is the same as noise of the covariance N·Nᵀ (N: the readings' answers): the data-space
 * matrix becomes A·P·Aᵀ + N·Nᵀ + λ²·Σ.
 */
export interface Nuisance {
	readonly modeCount: number;
	/** Rows of modeCount: a reading's answer to one standard deviation of each mode. */
	readonly rows: SensitivityRows;
	/** Changes of conductivity that modes are weighed against, for the prior knows no absolute size: followed regions,
	 *  and how much each changes, S/m. */
	readonly regions: ImageRows;
	/** [regions.count] */
	readonly typicalChange: Float64Array;
	/** Estimates of modes as well; only the picture where left out. */
	readonly wanted?: WantedModes;
}

/** Readings are then taken as they are, for what tells a mode from conductivity is left out by a `ReadingBasis`. */
export interface WantedModes {
	/** So many of the first modes. */
	readonly count: number;
	/** Of a reading's answer to each of them what the model is off by, as noise of that reading alone: where a model is
	 *  said to be exact, what it cannot explain passes for other modes and for conductivity. */
	readonly error: number;
}

/**
 * Adds N·Nᵀ to A·P·Aᵀ [n × n] in place, in such a unit that the prior's changes are on average as large as the typical
 * ones.
 * @param trace of A·P·Aᵀ
 * @param products whose left rows are A, of the basis' rows where there is one
 * @returns N [n × modeCount] in that unit but for one root of it: what estimates of the modes are combined from as the
 * picture is from P·Aᵀ
 */
export function addNuisance(
	data: Float64Array,
	trace: number,
	nuisance: Nuisance,
	fold: FoldedReadings,
	products: MatrixProducts,
	basis: ReadingBasis | null,
): Float64Array {
	const n = products.rowCount;
	const { modeCount, rows } = nuisance;
	const folded = new Float64Array(fold.count * modeCount);
	createWhitenedRows(modeCount, rows)({ values: folded, stride: modeCount }, fold);
	let answers: Float64Array = folded;
	if (basis !== null) {
		const turned = transposedOf(folded, fold.count, modeCount);
		answers = rowProducts(basis.projection, n, turned, modeCount, fold.count);
	}
	const weight = trace / typicalEnergy(nuisance, products, basis);
	const energy = rowProducts(answers, n, answers, n, modeCount, "symmetric");
	for (let i = 0; i < data.length; i++) data[i]! += weight * energy[i]!;
	if (nuisance.wanted !== undefined) {
		const { count, error } = nuisance.wanted;
		for (let i = 0; i < n; i++)
			for (let m = 0; m < count; m++) data[i * n + i]! += weight * (error * answers[i * modeCount + m]!) ** 2;
	}
	return answers.map((answer) => weight * answer);
}

/** Mean square of the readings' answers to the typical changes. */
function typicalEnergy(
	{ regions, typicalChange }: Nuisance,
	{ left, stride, rowCount: n }: MatrixProducts,
	basis: ReadingBasis | null,
): number {
	const { rowStart, cell, count } = regions;
	const answers = new Float64Array(count * n);
	for (let r = 0; r < count; r++) {
		for (let i = 0; i < n; i++) {
			let sum = 0;
			for (let e = rowStart[r]!; e < rowStart[r + 1]!; e++) sum += left[i * stride + cell[e]!]!;
			answers[r * n + i] = typicalChange[r]! * sum;
		}
	}
	const mixed = basis === null ? answers : rowProducts(answers, count, transposedOf(basis.mix, n, n), n, n);
	let square = 0;
	for (const answer of mixed) square += answer * answer;
	return square / count;
}
