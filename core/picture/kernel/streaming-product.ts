import { Kernel } from "./kernel.ts";

const PANEL_ROWS = 32;

/** y = A·x in single precision for one fixed matrix and many x: the work of every frame. */
export interface StreamingProduct {
	readonly rowCount: number;
	readonly columnCount: number;
	/** [columnCount] write the next x here. */
	readonly input: Float32Array;
	/** [rowCount] the last y; overwritten by each `run`. */
	readonly output: Float32Array;
	/** Allocates nothing. */
	run(): void;
}

/** @param transposed [columnCount × rowStride] row-major: column j of A lies at `j * rowStride`
 *  @throws RangeError when lengths do not fit */
export function createStreamingProduct(
	transposed: Float32Array,
	rowCount: number,
	columnCount: number,
	rowStride: number = rowCount,
): StreamingProduct {
	if (rowStride < rowCount || transposed.length < columnCount * rowStride) {
		throw new RangeError(`product: ${transposed.length} values for ${rowCount} × ${columnCount}`);
	}
	const panels = Math.ceil(rowCount / PANEL_ROWS);
	const paddedRows = panels * PANEL_ROWS;
	const kernel = new Kernel((paddedRows * columnCount + paddedRows + columnCount) * 4 + 256);
	const matrix = kernel.reserveFloat32(paddedRows * columnCount);
	const input = kernel.reserveFloat32(columnCount);
	const padded = kernel.reserveFloat32(paddedRows);
	for (let panel = 0; panel < panels; panel++) {
		const firstRow = panel * PANEL_ROWS;
		const rows = Math.min(PANEL_ROWS, rowCount - firstRow);
		for (let j = 0; j < columnCount; j++) {
			const to = (panel * columnCount + j) * PANEL_ROWS;
			const from = j * rowStride + firstRow;
			for (let i = 0; i < rows; i++) matrix[to + i] = transposed[from + i]!;
		}
	}
	const { product } = kernel.functions;
	return {
		rowCount,
		columnCount,
		input,
		output: padded.subarray(0, rowCount),
		run() {
			product(matrix.byteOffset, input.byteOffset, padded.byteOffset, panels, columnCount);
		},
	};
}
