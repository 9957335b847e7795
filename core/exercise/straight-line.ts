import { tForConfidence } from "./student-t.ts";

/** A least-squares line through points, with how well its slope is known. */
export interface StraightLine {
	readonly slope: number;
	readonly intercept: number;
	/** Standard errors; NaN from two points. */
	readonly slopeError: number;
	readonly interceptError: number;
	readonly degrees: number;
}

/** Ordinary least squares (e.g. N. Draper & H. Smith, Applied Regression Analysis, 3rd ed., 1998, ch. 1).
 *  @returns null with fewer than two different x */
export function fitStraightLine(x: readonly number[], y: readonly number[]): StraightLine | null {
	if (x.length !== y.length) throw new RangeError("straight line: x and y differ in length");
	const n = x.length;
	const meanX = x.reduce((sum, v) => sum + v, 0) / n;
	const meanY = y.reduce((sum, v) => sum + v, 0) / n;
	let sxx = 0;
	let sxy = 0;
	for (let i = 0; i < n; i++) {
		sxx += (x[i]! - meanX) ** 2;
		sxy += (x[i]! - meanX) * (y[i]! - meanY);
	}
	if (!(sxx > 0)) return null;
	const slope = sxy / sxx;
	const intercept = meanY - slope * meanX;
	let residual = 0;
	for (let i = 0; i < n; i++) residual += (y[i]! - intercept - slope * x[i]!) ** 2;
	const degrees = n - 2;
	const deviation = degrees > 0 ? Math.sqrt(residual / degrees) : Number.NaN;
	return {
		slope,
		intercept,
		slopeError: deviation / Math.sqrt(sxx),
		interceptError: deviation * Math.sqrt(1 / n + (meanX * meanX) / sxx),
		degrees,
	};
}

/** Interval that holds the true slope with the given confidence, under normal residuals. Needs three points. */
export function slopeInterval(line: StraightLine, confidence: number): readonly [low: number, high: number] {
	if (line.degrees < 1) throw new RangeError("slope interval: three points are needed");
	const half = tForConfidence(confidence, line.degrees) * line.slopeError;
	return [line.slope - half, line.slope + half];
}
