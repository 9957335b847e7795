import type { BentModes } from "../picture/bent-modes.ts";
import type { DataSpace } from "../picture/data-space.ts";
import { transposedOf } from "../picture/dense.ts";
import { foldInto } from "../picture/fold.ts";
import type { ImageRows } from "../picture/image-rows.ts";
import { rowProducts } from "../picture/kernel/row-products.ts";
import type { Nuisance } from "../picture/nuisance.ts";
import type { Reconstruction } from "../picture/reconstruction.ts";
import type { SensitivityRows } from "../picture/sensitivity.ts";
import { createWhitenedRows } from "../picture/whitened-sensitivities.ts";
import { inverseOf } from "./dense-solve.ts";
import type { MovedReadings } from "./moved-readings.ts";

/** How far bands are expected to move: one standard deviation of a slide, m, and of a twist, rad. Common practice, no
 *  source. */
export const usualMove = { slide: 0.01, twist: (5 * Math.PI) / 180 } as const;

/** A muscle's change that a movement is weighed against, as a share of its conductivity. */
const TYPICAL_CHANGE = 0.1;

/** Of a reading's answer to a movement of one unit: what a limb's real shape and the mesh leave open. With less, one band's
 *  large slide passes for movements that readings hardly show; with more, muscles' answers are damped too much. */
const MODEL_ERROR = 0.2;

/** Moves are sought so far, in `usualMove`: the curves are known up to one, and go on a little. */
const REACH = 1.3;

/**
 * Slides and twists of bands as a nuisance of the reconstruction that is wanted as well.
 *
 * On simulated thighs that grow thicker towards the hip, slides of ±10 mm of one band or of both alike, or apart from each
 * other, are told within 3 mm; of bands that come nearer to each other by 20 mm, how near they came within 2 mm, but
 * only roughly which of them moved. Twists of ±5° are told within 1.5°, of one against the other within 1°. A movement leaves
 * a tenth of its energy in the picture at most, and other regions show at most a quarter of a working muscle; where both
 * bands slide by 10 mm towards each other and twist by 5° against each other, the picture is no longer to be trusted.
 * Of a movement that both bands make alike only the limb's shape tells: along a cylinder a slide cannot be seen, nor a twist
 * on a round section with all in its middle. Without readings across bands nothing can be told.
 *
 * That bands may move costs contrast under thick fat: a muscle that changes by a tenth shows 0.80 to 0.90 of it under 6 mm of
 * fat (0.92 to 0.94 if bands are taken to stay), 0.68 to 0.87 under 12 mm, 0.54 to 0.66 under 20 mm, where vastus
 * intermedius shows only 0.26.
 *
 * @param regions the followed regions as rows of means
 * @param sigma [nRegions] S/m
 * @throws RangeError without regions, for then nothing says how large a change of conductivity is to be expected
 */
export function bandMovement(
	{ straight }: MovedReadings,
	regions: ImageRows,
	sigma: readonly number[],
): Nuisance {
	if (regions.count === 0)
		throw new RangeError("movement: it can be told apart only where regions are followed");
	return {
		modeCount: straight.length,
		rows: rowsOfTransfers(straight),
		regions,
		typicalChange: Float64Array.from(sigma, (s) => TYPICAL_CHANGE * s),
		wanted: { count: straight.length, error: MODEL_ERROR },
	};
}

/** Rows of one value for each transfer matrix [L × L]: how it shows in readings at one ampere. */
function rowsOfTransfers(transfers: readonly Float64Array[]): SensitivityRows {
	const electrodeCount = Math.sqrt(transfers[0]!.length);
	return ({ values, stride }, terminals) => {
		for (let row = 0; row < terminals.length / 4; row++) {
			const source = terminals[4 * row]! * electrodeCount;
			const sink = terminals[4 * row + 1]! * electrodeCount;
			const plus = terminals[4 * row + 2]!;
			const minus = terminals[4 * row + 3]!;
			for (const [m, z] of transfers.entries())
				values[row * stride + m] =
					z[source + plus]! - z[sink + plus]! - z[source + minus]! + z[sink + minus]!;
		}
	};
}

/** What frames need to tell moves, each in m or rad: for each band in turn its slide along the limb and its twist
 *  anticlockwise. @param reconstruction with the nuisance of `bandMovement` */
export function bentMoves(moved: MovedReadings, reconstruction: Reconstruction): BentModes {
	const { fold, projection, modes, dataSpace } = reconstruction;
	const { straight, bends, forms, factors } = moved;
	if (modes === null) throw new RangeError("movement: the reconstruction knows of none");
	const count = straight.length;
	const size = count + bends.length;
	const lines = new Float64Array(fold.count * count);
	createWhitenedRows(count, rowsOfTransfers(straight))({ values: lines, stride: count }, fold);
	const folded = new Float64Array(size * fold.count);
	folded.set(transposedOf(lines, fold.count, count));
	for (const [j, bend] of bends.entries())
		foldInto(fold, bend, folded.subarray((count + j) * fold.count, (count + j + 1) * fold.count));
	const values =
		projection === null
			? folded
			: rowProducts(
					folded,
					size,
					transposedOf(projection.values, fold.count, projection.rowStride),
					projection.rowCount,
					fold.count,
				);
	const n = values.length / size;
	// with the modes N in the covariance; by the Sherman–Morrison–Woodbury identity what it is without them
	const inverted = overCovariance(values, size, dataSpace);
	const known = transposedOf(modes.values, n, modes.rowStride);
	let both = 0;
	let square = 0;
	for (let at = 0; at < count * n; at++) {
		both += known[at]! * inverted[at]!;
		square += inverted[at]! ** 2;
	}
	// in the unit in which a mode's standard deviation is one
	const within = inverted.map((value) => (both / square) * value);
	const energyWithin = rowProducts(within, size, values, size, n);
	const open = new Float64Array(count * count);
	for (let m = 0; m < count; m++)
		for (let k = 0; k < count; k++)
			open[m * count + k] =
				(m === k ? 1 : 0) - (energyWithin[m * size + k]! + energyWithin[k * size + m]!) / 2;
	const inverse = inverseOf(open, count);
	const weights = within.slice();
	for (let j = 0; j < size; j++)
		for (let m = 0; m < count; m++) {
			let share = 0;
			for (let k = 0; k < count; k++) share += energyWithin[j * size + k]! * inverse[k * count + m]!;
			for (let i = 0; i < n; i++) weights[j * n + i]! += share * within[m * n + i]!;
		}
	const energy = rowProducts(weights, size, values, size, n);
	for (let j = 0; j < size; j++)
		for (let k = 0; k < j; k++)
			energy[j * size + k] = energy[k * size + j] = (energy[j * size + k]! + energy[k * size + j]!) / 2;
	return {
		unit: Float64Array.from(straight, (_, m) => (m % 2 === 0 ? usualMove.slide : usualMove.twist)),
		forms,
		factors,
		weights: {
			values: Float32Array.from(transposedOf(weights, size, n)),
			rowCount: size,
			columnCount: n,
			rowStride: size,
		},
		answers: { values: Float32Array.from(values), rowCount: n, columnCount: size, rowStride: n },
		energy,
		reach: REACH,
	};
}

/** [rowCount × n] rows · (M + λ²)⁻¹ */
function overCovariance(rows: Float64Array, rowCount: number, dataSpace: DataSpace): Float64Array {
	const { eigenvalues, lambda, vectors } = dataSpace;
	const n = eigenvalues.length;
	const components = vectors === null ? rows.slice() : rowProducts(rows, rowCount, vectors, n, n);
	for (let at = 0; at < components.length; at++) components[at]! /= eigenvalues[at % n]! + lambda * lambda;
	return vectors === null ? components : rowProducts(components, rowCount, transposedOf(vectors, n, n), n, n);
}
