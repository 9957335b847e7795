import { Kernel } from "./kernel.ts";

/** Columns taken at a time, so that the rows at hand stay in the first-level cache. */
const STRIP = 512;

/** Two double-precision matrices [rowCount × columnCount] and their product. Row strides are padded; the padding is zero
 *  and must stay so. */
export class MatrixProducts {
	readonly rowCount: number;
	/** Values from one row to the next; a multiple of 8. */
	readonly stride: number;
	/** [paddedRows × stride] */
	readonly left: Float64Array;
	/** [paddedRows × stride] */
	readonly right: Float64Array;
	readonly #kernel: Kernel;
	readonly #sums: Float64Array;

	constructor(rowCount: number, columnCount: number) {
		const paddedRows = Math.ceil(rowCount / 4) * 4;
		this.rowCount = rowCount;
		this.stride = Math.ceil(columnCount / 8) * 8;
		const size = paddedRows * this.stride;
		this.#kernel = new Kernel(8 * (2 * size + 4) + 256);
		this.left = this.#kernel.reserveFloat64(size);
		this.right = this.#kernel.reserveFloat64(size);
		this.#sums = this.#kernel.reserveFloat64(4);
	}

	/** @returns left·rightᵀ [rowCount × rowCount], which the caller knows to be symmetric. */
	symmetricProduct(): Float64Array {
		const { rowCount: n, stride } = this;
		const { dots } = this.#kernel.functions;
		const result = new Float64Array(n * n);
		const sums = this.#sums;
		const left = this.left.byteOffset;
		const right = this.right.byteOffset;
		for (let start = 0; start < stride; start += STRIP) {
			const length = Math.min(STRIP, stride - start);
			for (let i = 0; i < n; i += 4) {
				const rows = left + (i * stride + start) * 8;
				const last = Math.min(n, i + 4);
				for (let j = 0; j < last; j++) {
					dots(rows, stride * 8, right + (j * stride + start) * 8, length, sums.byteOffset);
					for (let k = i; k < last; k++) result[k * n + j]! += sums[k - i]!;
				}
			}
		}
		for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) result[i * n + j] = result[j * n + i]!;
		return result;
	}
}

/** Weighted sums of the rows of one matrix [rowCount × columnCount]. */
export class RowCombiner {
	readonly rowCount: number;
	/** Values from one row to the next; a multiple of 8. */
	readonly stride: number;
	/** [rowCount × stride], the padding zero. */
	readonly rows: Float64Array;
	readonly #kernel: Kernel;
	readonly #packed: Float64Array;
	readonly #combined: Float32Array;

	constructor(rowCount: number, columnCount: number) {
		const evenRows = Math.ceil(rowCount / 2) * 2;
		this.rowCount = rowCount;
		this.stride = Math.ceil(columnCount / 8) * 8;
		this.#kernel = new Kernel(8 * rowCount * (this.stride + evenRows) + 4 * evenRows * this.stride + 256);
		this.rows = this.#kernel.reserveFloat64(rowCount * this.stride);
		this.#packed = this.#kernel.reserveFloat64(evenRows * rowCount);
		this.#combined = this.#kernel.reserveFloat32(evenRows * this.stride);
	}

	/** @param weights [count × rowCount] row-major, count at most rowCount
	 *  @returns weights·rows, single precision, [count × stride]: a view that the next call overwrites. */
	combine(weights: Float64Array): Float32Array {
		const { rowCount: n, stride } = this;
		const count = weights.length / n;
		if (!Number.isInteger(count) || count > n)
			throw new RangeError(`combine: ${weights.length} weights for ${n} rows`);
		const packed = this.#packed;
		for (let i = 0; i < count; i++) {
			const to = (i >> 1) * n * 2 + (i & 1);
			for (let k = 0; k < n; k++) packed[to + 2 * k] = weights[i * n + k]!;
		}
		const { combine } = this.#kernel.functions;
		const pairs = Math.ceil(count / 2);
		for (let column = 0; column < stride; column += 8) {
			combine(
				packed.byteOffset,
				pairs,
				n,
				this.rows.byteOffset + column * 8,
				stride * 8,
				this.#combined.byteOffset + column * 4,
				stride * 4,
			);
		}
		return this.#combined.subarray(0, count * stride);
	}
}
