import { foldInto } from "./fold.ts";
import type { PictureModel } from "./picture-model.ts";
import type { TransposedMatrix } from "./reconstruction.ts";

/**
 * The dense reconstruction matrix: image values, then region means = matrix · straightened changes. What
 * `createPictureKernel` does in two steps (fold, then a product of half the size), in one; for export and for checks.
 *
 * @returns [nRows × nReadings] row-major, the model's unit for each unit of a reading
 */
export function readingMatrix(model: PictureModel): Float32Array {
	const { fold, matrix, projection, readingCount, ohmMetrePerUnit } = model;
	const { rowCount, columnCount, rowStride } = matrix;
	const dense = new Float32Array(rowCount * readingCount);
	const unit = new Float64Array(readingCount);
	const whitened = new Float64Array(fold.count);
	const projected = new Float64Array(columnCount);
	const column = new Float64Array(rowCount);
	for (let r = 0; r < readingCount; r++) {
		unit[r] = ohmMetrePerUnit[r]!;
		foldInto(fold, unit, whitened);
		unit[r] = 0;
		const values = projection === null ? whitened : projectInto(projection, whitened, projected);
		column.fill(0);
		for (let j = 0; j < columnCount; j++) {
			const weight = values[j]!;
			if (weight === 0) continue;
			for (let i = 0; i < rowCount; i++) column[i]! += weight * matrix.values[j * rowStride + i]!;
		}
		for (let i = 0; i < rowCount; i++) dense[i * readingCount + r] = column[i]!;
	}
	return dense;
}

function projectInto(
	{ values, rowCount, columnCount, rowStride }: TransposedMatrix,
	whitened: Float64Array,
	projected: Float64Array,
): Float64Array {
	projected.fill(0);
	for (let j = 0; j < columnCount; j++) {
		const weight = whitened[j]!;
		if (weight === 0) continue;
		for (let i = 0; i < rowCount; i++) projected[i]! += weight * values[j * rowStride + i]!;
	}
	return projected;
}
