/**
 * Uniform grid over line segments, so that "which segments are near this box" takes the time of the answer and
 * not of the whole set. Built once over flat arrays, never changed.
 */
export interface SegmentGrid {
	/** Calls `visit` with each segment whose bounding box shares a grid cell with the box; each segment at most
	 *  once per call. */
	forEachNear(x0: number, y0: number, x1: number, y1: number, visit: (segment: number) => void): void;
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

	const column = (x: number) => Math.min(columns - 1, Math.max(0, Math.floor((x - minX) / cell)));
	const row = (y: number) => Math.min(rows - 1, Math.max(0, Math.floor((y - minY) / cell)));

	const starts = new Uint32Array(columns * rows + 1);
	const eachCell = (i: number, visit: (cellIndex: number) => void) => {
		const c0 = column(Math.min(ends[4 * i]!, ends[4 * i + 2]!));
		const c1 = column(Math.max(ends[4 * i]!, ends[4 * i + 2]!));
		const r0 = row(Math.min(ends[4 * i + 1]!, ends[4 * i + 3]!));
		const r1 = row(Math.max(ends[4 * i + 1]!, ends[4 * i + 3]!));
		for (let r = r0; r <= r1; r++) for (let c = c0; c <= c1; c++) visit(r * columns + c);
	};
	for (let i = 0; i < n; i++) eachCell(i, (k) => starts[k + 1]!++);
	for (let k = 0; k < columns * rows; k++) starts[k + 1]! += starts[k]!;
	const fill = starts.slice();
	const entries = new Uint32Array(starts[columns * rows]!);
	for (let i = 0; i < n; i++)
		eachCell(i, (k) => {
			entries[fill[k]!++] = i;
		});

	const seen = new Uint32Array(n);
	let stamp = 0;
	return {
		forEachNear(x0, y0, x1, y1, visit) {
			stamp++;
			const c0 = column(Math.min(x0, x1));
			const c1 = column(Math.max(x0, x1));
			const r0 = row(Math.min(y0, y1));
			const r1 = row(Math.max(y0, y1));
			for (let r = r0; r <= r1; r++) {
				for (let c = c0; c <= c1; c++) {
					const k = r * columns + c;
					for (let e = starts[k]!; e < starts[k + 1]!; e++) {
						const i = entries[e]!;
						if (seen[i] === stamp) continue;
						seen[i] = stamp;
						visit(i);
					}
				}
			}
		},
	};
}
