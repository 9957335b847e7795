import { type LimbView, toCanvasX, toCanvasY } from "./limb-view.ts";

/**
 * Paints a field given at mesh nodes, linear over each triangle, into a pixel array.
 *
 * Which pixels a triangle covers is worked out once for a geometry and a size, as horizontal spans. Along a span the
 * field is a straight line, so a frame needs one weighted sum per span and one addition per pixel. A pixel belongs to
 * the one triangle that holds its centre (edges: top-left rule), so neighbours neither overlap nor leave cracks.
 */
export interface FieldRaster {
	readonly width: number;
	readonly height: number;
	/** Number of pixels inside the mesh. */
	readonly covered: number;
	/**
	 * Writes the colours of `values` [nNodes] into `pixels` [width × height]; pixels outside the mesh stay as they
	 * are. `ramp` holds the colours from `-range` to `+range`; what lies beyond takes the end colour, as does NaN the
	 * lowest. Allocates nothing. @throws RangeError on lengths or a range that is not positive.
	 */
	paintInto(pixels: Uint32Array, values: Float32Array, ramp: Uint32Array, range: number): void;
}

/** `nodes` [nNodes × 2] m, `triangles` [nTriangles × 3]. Transient memory is of the order of the spans. */
export function createFieldRaster(
	nodes: readonly number[],
	triangles: readonly number[],
	view: LimbView,
	width: number,
	height: number,
): FieldRaster {
	const nNodes = nodes.length / 2;
	const nTriangles = triangles.length / 3;
	const xs = new Float64Array(nNodes);
	const ys = new Float64Array(nNodes);
	for (let i = 0; i < nNodes; i++) {
		xs[i] = toCanvasX(view, nodes[2 * i]!);
		ys[i] = toCanvasY(view, nodes[2 * i + 1]!);
	}

	const corners = Uint32Array.from(triangles);
	// Slope of the two barycentric weights along x, per triangle.
	const slope1 = new Float32Array(nTriangles);
	const slope2 = new Float32Array(nTriangles);
	const firstSpan = new Uint32Array(nTriangles + 1);
	const starts: number[] = [];
	const lengths: number[] = [];
	const weights1: number[] = [];
	const weights2: number[] = [];
	let covered = 0;

	for (let t = 0; t < nTriangles; t++) {
		firstSpan[t] = starts.length;
		const a = corners[3 * t]!;
		const b = corners[3 * t + 1]!;
		const c = corners[3 * t + 2]!;
		const xa = xs[a]!;
		const ya = ys[a]!;
		const ux = xs[b]! - xa;
		const uy = ys[b]! - ya;
		const vx = xs[c]! - xa;
		const vy = ys[c]! - ya;
		const twiceArea = ux * vy - uy * vx;
		if (twiceArea === 0) continue;
		slope1[t] = vy / twiceArea;
		slope2[t] = -uy / twiceArea;

		const top = Math.max(0, Math.ceil(Math.min(ya, ys[b]!, ys[c]!) - 0.5));
		const end = Math.min(height, Math.ceil(Math.max(ya, ys[b]!, ys[c]!) - 0.5));
		for (let row = top; row < end; row++) {
			const y = row + 0.5;
			let left = Infinity;
			let right = -Infinity;
			for (let k = 0; k < 3; k++) {
				const x = crossing(xs, ys, corners[3 * t + k]!, corners[3 * t + ((k + 1) % 3)]!, y);
				if (x < left) left = x;
				if (x > right) right = x;
			}
			const start = Math.max(0, Math.ceil(left - 0.5));
			const stop = Math.min(width, Math.ceil(right - 0.5));
			if (stop <= start) continue;
			const dx = start + 0.5 - xa;
			const dy = y - ya;
			starts.push(row * width + start);
			lengths.push(stop - start);
			weights1.push((dx * vy - dy * vx) / twiceArea);
			weights2.push((dy * ux - dx * uy) / twiceArea);
			covered += stop - start;
		}
	}
	firstSpan[nTriangles] = starts.length;

	const spanStart = Uint32Array.from(starts);
	const spanLength = Uint16Array.from(lengths);
	const spanWeight1 = Float32Array.from(weights1);
	const spanWeight2 = Float32Array.from(weights2);

	return {
		width,
		height,
		covered,
		paintInto(pixels, values, ramp, range) {
			if (pixels.length !== width * height) throw new RangeError("field raster: wrong number of pixels");
			if (values.length !== nNodes) throw new RangeError("field raster: wrong number of values");
			if (!(range > 0)) throw new RangeError("field raster: the range must be positive");
			const last = ramp.length - 1;
			const perUnit = ramp.length / (2 * range);
			const middle = ramp.length / 2;
			for (let t = 0; t < nTriangles; t++) {
				const base = values[corners[3 * t]!]!;
				const d1 = (values[corners[3 * t + 1]!]! - base) * perUnit;
				const d2 = (values[corners[3 * t + 2]!]! - base) * perUnit;
				const origin = middle + base * perUnit;
				const step = slope1[t]! * d1 + slope2[t]! * d2;
				const stop = firstSpan[t + 1]!;
				for (let s = firstSpan[t]!; s < stop; s++) {
					let level = origin + spanWeight1[s]! * d1 + spanWeight2[s]! * d2;
					let p = spanStart[s]!;
					const end = p + spanLength[s]!;
					while (p < end) {
						pixels[p++] = ramp[level > 0 ? (level < last ? level | 0 : last) : 0]!;
						level += step;
					}
				}
			}
		},
	};
}

/** Where an edge meets a row, or NaN. Computed from the lower-numbered node, so that both triangles at the edge get
 *  the same bits. */
function crossing(xs: Float64Array, ys: Float64Array, from: number, to: number, y: number): number {
	const i = Math.min(from, to);
	const j = Math.max(from, to);
	const yi = ys[i]!;
	const yj = ys[j]!;
	if (yi <= y === yj <= y) return Number.NaN;
	return xs[i]! + ((y - yi) / (yj - yi)) * (xs[j]! - xs[i]!);
}
