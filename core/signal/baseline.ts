/**
 * Rest baseline: the median frame of a window, the noise of each reading in it, and whether the person was at rest.
 *
 * Noise is estimated from successive differences, which a slow change of the level hardly touches (J. von Neumann,
 * "Distribution of the ratio of the mean square successive difference to the variance", Annals of Mathematical
 * Statistics 12:367, 1941): s² = Σ(x[i+1] − x[i])² / (2(n − 1)). Set against it, the way the level moved over the window
 * shows drift and movement alike, also a movement that came and went, which a straight line through the window misses.
 *
 * Median frame, deviation per reading and rejection at 3 deviations are common practice in impedance tomography, without
 * a published source; so are the two bounds below.
 */
import { failure, type Result, success } from "../result.ts";

export interface RestBaseline {
	/** [nReadings] median, in the unit of the readings. */
	readonly median: Float64Array;
	/** [nReadings] standard deviation at rest, in the unit of the readings; above zero. */
	readonly noise: Float64Array;
	readonly frames: number;
	/** How far the level moved over the window, in deviations: nine in ten readings moved less. */
	readonly driftDeviations: number;
	/** The same in percent of the readings' size. */
	readonly driftPercent: number;
}

export type BaselineFault =
	| { readonly kind: "too-few-frames"; readonly frames: number; readonly needed: number }
	| { readonly kind: "not-steady"; readonly driftDeviations: number; readonly driftPercent: number };

/** Fewest frames that give two to each quarter of the window. */
export const FEWEST_BASELINE_FRAMES = 8;
/** With thick fat and readings across bands a thigh at rest, with its pulse and settling skin, moves by 2.8 to 3.4; the
 *  beginning of a contraction by 40 (simulated). */
const LARGEST_DRIFT_DEVIATIONS = 4;
/** Of the frame's typical reading: a change too small to matter, however quiet the board is. */
const NOISE_FLOOR_SHARE = 1e-4;
/** Electrodes that crackle must not keep a person from starting: this share of the readings may move freely. */
const UNSTEADY_SHARE = 0.1;
const QUARTERS = 4;

export interface BaselineCollector {
	readonly frames: number;
	/** Copies `values` [nReadings]; frames beyond `mostFrames` are not taken. */
	add(values: Float64Array): void;
	clear(): void;
	/** Leaves the collector as it is. */
	finish(): Result<RestBaseline, BaselineFault>;
}

export function createBaselineCollector(nReadings: number, mostFrames: number): BaselineCollector {
	const columns = new Float64Array(nReadings * mostFrames);
	let frames = 0;
	return {
		get frames() {
			return frames;
		},
		add(values) {
			if (values.length !== nReadings) {
				throw new RangeError(`baseline: ${values.length} readings where ${nReadings} were expected`);
			}
			if (frames === mostFrames) return;
			for (let reading = 0; reading < nReadings; reading++) {
				columns[reading * mostFrames + frames] = values[reading]!;
			}
			frames++;
		},
		clear() {
			frames = 0;
		},
		finish() {
			if (frames < FEWEST_BASELINE_FRAMES) {
				return failure({ kind: "too-few-frames", frames, needed: FEWEST_BASELINE_FRAMES });
			}
			const baseline = summarise(columns, nReadings, mostFrames, frames);
			if (baseline.driftDeviations > LARGEST_DRIFT_DEVIATIONS) {
				const { driftDeviations, driftPercent } = baseline;
				return failure({ kind: "not-steady", driftDeviations, driftPercent });
			}
			return success(baseline);
		},
	};
}

function summarise(columns: Float64Array, nReadings: number, stride: number, frames: number): RestBaseline {
	const median = new Float64Array(nReadings);
	const noise = new Float64Array(nReadings);
	const moved = new Float64Array(nReadings);
	const sorted = new Float64Array(frames);
	for (let reading = 0; reading < nReadings; reading++) {
		const series = columns.subarray(reading * stride, reading * stride + frames);
		median[reading] = medianOf(series, sorted);
		noise[reading] = successiveDeviation(series);
		moved[reading] = movement(series, sorted);
	}
	const size = quantileOf(median.map(Math.abs), 0.5);
	const floor = Math.max(size * NOISE_FLOOR_SHARE, Number.MIN_VALUE);
	const drift = moved.map((m, reading) => m / Math.max(noise[reading]!, floor));
	return {
		median,
		noise: noise.map((s) => Math.max(s, floor)),
		frames,
		driftDeviations: quantileOf(drift, 1 - UNSTEADY_SHARE),
		driftPercent: size === 0 ? 0 : (100 * quantileOf(moved, 1 - UNSTEADY_SHARE)) / size,
	};
}

function successiveDeviation(series: Float64Array): number {
	let sum = 0;
	for (let i = 1; i < series.length; i++) sum += (series[i]! - series[i - 1]!) ** 2;
	return Math.sqrt(sum / (2 * (series.length - 1)));
}

/** Largest difference between the medians of the window's quarters. */
function movement(series: Float64Array, scratch: Float64Array): number {
	let low = Number.POSITIVE_INFINITY;
	let high = Number.NEGATIVE_INFINITY;
	for (let quarter = 0; quarter < QUARTERS; quarter++) {
		const from = Math.floor((quarter * series.length) / QUARTERS);
		const to = Math.floor(((quarter + 1) * series.length) / QUARTERS);
		const level = medianOf(series.subarray(from, to), scratch);
		low = Math.min(low, level);
		high = Math.max(high, level);
	}
	return high - low;
}

function medianOf(values: Float64Array, scratch: Float64Array): number {
	const sorted = scratch.subarray(0, values.length);
	sorted.set(values);
	sorted.sort();
	const middle = values.length >> 1;
	return values.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

/** Sorts `values`. Linear between the two nearest. */
function quantileOf(values: Float64Array, share: number): number {
	if (values.length === 0) return 0;
	values.sort();
	const at = share * (values.length - 1);
	const below = Math.floor(at);
	const above = Math.min(below + 1, values.length - 1);
	return values[below]! + (at - below) * (values[above]! - values[below]!);
}
