import { Kernel } from "./kernel.ts";

/** Columns taken at a time, so that four rows of `x` and one of `y` stay in the first-level cache. */
const STRIP = 512;

/** What is known of X·Yᵀ beforehand. */
export type ProductShape = "full" | "symmetric";

/** X·Yᵀ of two row-major matrices with rows of `length` values. @returns [xCount × yCount] row-major */
export function rowProducts(
	x: Float64Array,
	xCount: number,
	y: Float64Array,
	yCount: number,
	length: number,
	shape: ProductShape = "full",
): Float64Array {
	const stride = Math.ceil(length / 4) * 4;
	const xRows = Math.ceil(xCount / 4) * 4;
	const kernel = new Kernel(8 * (xRows * stride + yCount * stride + 4) + 256);
	const xs = kernel.reserveFloat64(xRows * stride);
	const ys = kernel.reserveFloat64(yCount * stride);
	const sums = kernel.reserveFloat64(4);
	for (let i = 0; i < xCount; i++) xs.set(x.subarray(i * length, (i + 1) * length), i * stride);
	for (let j = 0; j < yCount; j++) ys.set(y.subarray(j * length, (j + 1) * length), j * stride);
	const { dots } = kernel.functions;
	const result = new Float64Array(xCount * yCount);
	for (let start = 0; start < stride; start += STRIP) {
		const strip = Math.min(STRIP, stride - start);
		for (let i = 0; i < xCount; i += 4) {
			const rows = xs.byteOffset + (i * stride + start) * 8;
			const last = Math.min(xCount, i + 4);
			const end = shape === "symmetric" ? last : yCount;
			for (let j = 0; j < end; j++) {
				dots(rows, stride * 8, ys.byteOffset + (j * stride + start) * 8, strip, sums.byteOffset);
				for (let k = i; k < last; k++) result[k * yCount + j]! += sums[k - i]!;
			}
		}
	}
	if (shape === "symmetric") {
		for (let i = 0; i < xCount; i++) {
			for (let j = i + 1; j < yCount; j++) result[i * yCount + j] = result[j * yCount + i]!;
		}
	}
	return result;
}
