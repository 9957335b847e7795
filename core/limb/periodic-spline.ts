import type { Point } from "./limb.ts";

/**
 * Closed cubic spline through `points` in their order, sampled `perSpan` times per span.
 *
 * The parameter is centripetal (square root of chord length; Lee, Computer-Aided Design 21:363, 1989), which
 * keeps the curve free of loops where measured points lie unevenly. Second derivatives follow from the cyclic
 * tridiagonal system of the periodic natural conditions, solved by the Sherman–Morrison formula
 * (Press et al., Numerical Recipes, "Cyclic Tridiagonal Systems").
 *
 * @param points at least 3, neighbours distinct, the first not repeated at the end
 * @returns [points.length × perSpan × 2] x, y; every `perSpan`-th one is an input point
 */
export function samplePeriodicSpline(points: readonly Point[], perSpan: number): Float64Array {
	const n = points.length;
	const spans = new Float64Array(n);
	for (let i = 0; i < n; i++) {
		const [x0, y0] = points[i]!;
		const [x1, y1] = points[(i + 1) % n]!;
		spans[i] = Math.sqrt(Math.hypot(x1 - x0, y1 - y0));
	}
	const bendX = secondDerivatives(
		points.map((p) => p[0]),
		spans,
	);
	const bendY = secondDerivatives(
		points.map((p) => p[1]),
		spans,
	);

	const samples = new Float64Array(n * perSpan * 2);
	for (let i = 0; i < n; i++) {
		const j = (i + 1) % n;
		const h = spans[i]!;
		for (let k = 0; k < perSpan; k++) {
			const b = k / perSpan;
			const a = 1 - b;
			const wa = ((a * a * a - a) * h * h) / 6;
			const wb = ((b * b * b - b) * h * h) / 6;
			const at = (i * perSpan + k) * 2;
			samples[at] = a * points[i]![0] + b * points[j]![0] + wa * bendX[i]! + wb * bendX[j]!;
			samples[at + 1] = a * points[i]![1] + b * points[j]![1] + wa * bendY[i]! + wb * bendY[j]!;
		}
	}
	return samples;
}

/** Second derivatives at the knots of the periodic cubic spline through `values` with the given spans. */
function secondDerivatives(values: readonly number[], spans: Float64Array): Float64Array {
	const n = values.length;
	const diagonal = new Float64Array(n);
	const right = new Float64Array(n);
	for (let i = 0; i < n; i++) {
		const before = spans[(i + n - 1) % n]!;
		const after = spans[i]!;
		diagonal[i] = (before + after) / 3;
		right[i] = (values[(i + 1) % n]! - values[i]!) / after - (values[i]! - values[(i + n - 1) % n]!) / before;
	}
	// The corner entries of the cyclic matrix become a rank-one term: A = T + u vᵀ.
	const corner = spans[n - 1]! / 6;
	const gamma = -diagonal[0]!;
	diagonal[0]! -= gamma;
	diagonal[n - 1]! -= (corner * corner) / gamma;
	const u = new Float64Array(n);
	u[0] = gamma;
	u[n - 1] = corner;
	const y = solveTridiagonal(diagonal, spans, right);
	const z = solveTridiagonal(diagonal, spans, u);
	const ratio = corner / gamma;
	const factor = (y[0]! + ratio * y[n - 1]!) / (1 + z[0]! + ratio * z[n - 1]!);
	for (let i = 0; i < n; i++) y[i]! -= factor * z[i]!;
	return y;
}

/** Solves the symmetric tridiagonal system whose off-diagonal entry i, i+1 is spans[i] / 6. */
function solveTridiagonal(diagonal: Float64Array, spans: Float64Array, right: Float64Array): Float64Array {
	const n = right.length;
	const x = new Float64Array(n);
	const upper = new Float64Array(n);
	let pivot = diagonal[0]!;
	x[0] = right[0]! / pivot;
	for (let i = 1; i < n; i++) {
		const off = spans[i - 1]! / 6;
		upper[i] = off / pivot;
		pivot = diagonal[i]! - off * upper[i]!;
		x[i] = (right[i]! - off * x[i - 1]!) / pivot;
	}
	for (let i = n - 2; i >= 0; i--) x[i]! -= upper[i + 1]! * x[i + 1]!;
	return x;
}
