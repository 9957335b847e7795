import { Kernel } from "./kernel.ts";

/** Columns taken at a time, so that the rows at hand stay in the first-level cache. */
const STRIP = 512;

/** Space in which the matrices of one set-up live: two double matrices [rows × columns] and the result of
 *  `combineRows`. Row strides are padded; the padding is zero and must stay so. */
export class MatrixProducts {
	readonly rowCount: number;
	readonly columnCount: number;
	/** Values from one row to the next; a multiple of 8. */
	readonly stride: number;
	/** [paddedRows × stride] */
	readonly left: Float64Array;
	/** [paddedRows × stride] */
	readonly right: Float64Array;
	readonly #kernel: Kernel;
	readonly #sums: Float64Array;
	readonly #packed: Float64Array;
	readonly #combined: Float32Array;

	constructor(rowCount: number, columnCount: number) {
		const paddedRows = Math.ceil(rowCount / 4) * 4;
		this.rowCount = rowCount;
		this.columnCount = columnCount;
		this.stride = Math.ceil(columnCount / 8) * 8;
		const size = paddedRows * this.stride;
		this.#kernel = new Kernel(8 * (2 * size + paddedRows * rowCount + 4) + 4 * size + 512);
		this.left = this.#kernel.reserveFloat64(size);
		this.right = this.#kernel.reserveFloat64(size);
		this.#sums = this.#kernel.reserveFloat64(4);
		this.#packed = this.#kernel.reserveFloat64(paddedRows * rowCount);
		this.#combined = this.#kernel.reserveFloat32(size);
	}

	/** @returns left·rightᵀ [rowCount × rowCount], which the caller knows to be symmetric. */
	symmetricProduct(): Float64Array {
		const { rowCount: n, stride } = this;
		const { dots } = this.#kernel.functions;
		const result = new Float64Array(n * n);
		const sums = this.#sums;
		for (let start = 0; start < stride; start += STRIP) {
			const length = Math.min(STRIP, stride - start);
			for (let i = 0; i < n; i += 4) {
				const rows = this.left.byteOffset + (i * stride + start) * 8;
				const last = Math.min(n, i + 4);
				for (let j = 0; j < last; j++) {
					dots(rows, stride * 8, this.right.byteOffset + (j * stride + start) * 8, length, sums.byteOffset);
					for (let k = i; k < last; k++) result[k * n + j]! += sums[k - i]!;
				}
			}
		}
		for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) result[i * n + j] = result[j * n + i]!;
		return result;
	}

	/** @param weights [rowCount × rowCount] row-major
	 *  @returns weights·right, single precision, [rowCount × stride]: a view that the next call overwrites. */
	combineRows(weights: Float64Array): Float32Array {
		const { rowCount: n, stride } = this;
		if (weights.length !== n * n) throw new RangeError(`combine: ${weights.length} weights for ${n} rows`);
		const pairs = Math.ceil(n / 2);
		this.#packed.fill(0);
		for (let i = 0; i < n; i++) {
			const to = (i >> 1) * n * 2 + (i & 1);
			for (let k = 0; k < n; k++) this.#packed[to + 2 * k] = weights[i * n + k]!;
		}
		const { combine } = this.#kernel.functions;
		for (let column = 0; column < stride; column += 8) {
			combine(
				this.#packed.byteOffset,
				pairs,
				n,
				this.right.byteOffset + column * 8,
				stride * 8,
				this.#combined.byteOffset + column * 4,
				stride * 4,
			);
		}
		return this.#combined;
	}
}
