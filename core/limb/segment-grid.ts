/**
 * Uniform grid over line segments, so that "which segments are near this box" takes the time of the answer and
 * not of the whole set. Built once over flat arrays, never changed.
 */
export interface SegmentGrid {
	/** Numbers of the segments that the last `collect` found. */
	readonly found: Uint32Array;
	/** Finds the segments whose bounding box shares a grid cell with the box, each once, in `found`.
	 *  @returns how many. Allocates nothing. */
	collect(x0: number, y0: number, x1: number, y1: number): number;
}

/** @param ends [n × 4] x0, y0, x1, y1 of each segment */
export function createSegmentGrid(ends: Float64Array): SegmentGrid {
	const n = ends.length / 4;
	let minX = Infinity;
	let minY = Infinity;
	let maxX = -Infinity;
	let maxY = -Infinity;
	let totalLength = 0;
	for (let i = 0; i < n; i++) {
		const x0 = ends[4 * i]!;
		const y0 = ends[4 * i + 1]!;
		const x1 = ends[4 * i + 2]!;
		const y1 = ends[4 * i + 3]!;
		minX = Math.min(minX, x0, x1);
		maxX = Math.max(maxX, x0, x1);
		minY = Math.min(minY, y0, y1);
		maxY = Math.max(maxY, y0, y1);
		totalLength += Math.hypot(x1 - x0, y1 - y0);
	}
	const extent = Math.max(maxX - minX, maxY - minY) || 1;
	// Cells about as long as the segments; no more cells than a few per segment.
	const cell = Math.max((1.5 * totalLength) / Math.max(n, 1), extent / (2 * Math.sqrt(n) + 8));
	const columns = Math.floor((maxX - minX) / cell) + 1;
	const rows = Math.floor((maxY - minY) / cell) + 1;

	const cellOf = (at: number, least: number, count: number) =>
		Math.min(count - 1, Math.max(0, Math.floor((at - least) / cell)));
	/** [n × 4] first and last column, first and last row of each segment. */
	const spans = new Int32Array(4 * n);
	const starts = new Uint32Array(columns * rows + 1);
	for (let i = 0; i < n; i++) {
		const x0 = ends[4 * i]!;
		const y0 = ends[4 * i + 1]!;
		const x1 = ends[4 * i + 2]!;
		const y1 = ends[4 * i + 3]!;
		spans[4 * i] = cellOf(Math.min(x0, x1), minX, columns);
		spans[4 * i + 1] = cellOf(Math.max(x0, x1), minX, columns);
		spans[4 * i + 2] = cellOf(Math.min(y0, y1), minY, rows);
		spans[4 * i + 3] = cellOf(Math.max(y0, y1), minY, rows);
		for (let r = spans[4 * i + 2]!; r <= spans[4 * i + 3]!; r++) {
			for (let c = spans[4 * i]!; c <= spans[4 * i + 1]!; c++) starts[r * columns + c + 1]!++;
		}
	}
	for (let k = 0; k < columns * rows; k++) starts[k + 1]! += starts[k]!;
	const fill = starts.slice();
	const entries = new Uint32Array(starts[columns * rows]!);
	for (let i = 0; i < n; i++) {
		for (let r = spans[4 * i + 2]!; r <= spans[4 * i + 3]!; r++) {
			for (let c = spans[4 * i]!; c <= spans[4 * i + 1]!; c++) entries[fill[r * columns + c]!++] = i;
		}
	}

	const seen = new Uint32Array(n);
	const found = new Uint32Array(n);
	let stamp = 0;
	return {
		found,
		collect(x0, y0, x1, y1) {
			stamp++;
			let count = 0;
			const c0 = cellOf(Math.min(x0, x1), minX, columns);
			const c1 = cellOf(Math.max(x0, x1), minX, columns);
			const r0 = cellOf(Math.min(y0, y1), minY, rows);
			const r1 = cellOf(Math.max(y0, y1), minY, rows);
			for (let r = r0; r <= r1; r++) {
				for (let c = c0; c <= c1; c++) {
					const k = r * columns + c;
					for (let e = starts[k]!; e < starts[k + 1]!; e++) {
						const i = entries[e]!;
						if (seen[i] === stamp) continue;
						seen[i] = stamp;
						found[count++] = i;
					}
				}
			}
			return count;
		},
	};
}
