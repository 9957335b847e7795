/** How far a picture lies from that of the whole matrix in double precision. */
import { foldInto } from "../../core/picture/fold.ts";
import type { FrameModel, PictureKernel } from "../../core/picture/picture-kernel.ts";
import { createRestReadings, differenceInto } from "../../core/picture/reading-difference.ts";

/** Size of the difference by that of the exact picture, over all cells. @param exact whose matrix leaves nothing out */
export function pictureError(
	kernel: PictureKernel,
	exact: FrameModel,
	rest: Float64Array,
	readings: Float64Array,
): number {
	kernel.setBaseline(rest);
	kernel.apply(readings);
	const picture = exactPicture(exact, rest, readings);
	let difference = 0;
	let square = 0;
	for (let i = 0; i < kernel.values.length; i++) {
		difference += (kernel.values[i]! - picture[i]!) ** 2;
		square += picture[i]! ** 2;
	}
	return Math.sqrt(difference / square);
}

function exactPicture(
	{ matrix, fold, projection, ohmMetrePerUnit }: FrameModel,
	rest: Float64Array,
	readings: Float64Array,
): Float64Array {
	const change = new Float64Array(readings.length);
	differenceInto(createRestReadings(rest), readings, change);
	for (let r = 0; r < change.length; r++) change[r]! *= ohmMetrePerUnit[r]!;
	const whitened = new Float64Array(fold.count);
	foldInto(fold, change, whitened);
	const input = projection === null ? whitened : product(projection.values, projection, whitened);
	return product(matrix.values, matrix, input);
}

/** @param values [columnCount × rowStride], transposed */
function product(
	values: ArrayLike<number>,
	{ rowCount, rowStride = rowCount }: { readonly rowCount: number; readonly rowStride?: number },
	input: Float64Array,
): Float64Array {
	const output = new Float64Array(rowCount);
	for (let j = 0; j < input.length; j++) {
		for (let i = 0; i < rowCount; i++) output[i]! += values[j * rowStride + i]! * input[j]!;
	}
	return output;
}
