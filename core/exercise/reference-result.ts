import { DETECTION_DEVIATIONS, type RegionReference } from "./engagement.ts";
import { medianOf, restOf } from "./rest-level.ts";

/** Above this variation between contractions the reference is to be taken again (our own limit, no source). */
export const VARIATION_LIMIT_PERCENT = 20;
/** The best mean over this time counts (common practice: the best of three, 1 s mean). s */
export const BEST_SECONDS = 1;

/** Samples of one region in one window. */
export interface WindowSamples {
	readonly times: ArrayLike<number>;
	readonly values: ArrayLike<number>;
}

/** One contraction with the rest before and after it. */
export interface ContractionSamples {
	readonly before: WindowSamples;
	readonly contraction: WindowSamples;
	readonly after: WindowSamples;
}

/**
 * One region's reference from its contractions. Rest is taken as a straight line from the window before to the window
 * after, so that drift is not sold as change. Each contraction gives its largest mean over 1 s; the direction is that
 * of most contractions, and the reference is the best of them.
 * @param contractions at least one, each window with samples
 */
export function referenceOf(contractions: readonly ContractionSamples[]): RegionReference {
	if (contractions.length === 0) throw new RangeError("reference: no contraction");
	const first = contractions[0]!.before;
	const rest = restOf(first.values);
	const noise = noiseOf(contractions);
	const bests = contractions.map((samples) => bestChanges(samples));
	const signs = bests.map(({ up, down }) => (up >= -down ? 1 : -1));
	const sign = signs.reduce((sum, s) => sum + s, 0) >= 0 ? 1 : -1;
	const changes = bests.map(({ up, down }) => (sign > 0 ? up : -down));
	const best = Math.max(...changes);
	const measured = { level: rest.level, noise };
	// a rest without any noise is not measured but stuck, or too coarse to tell what rises above it
	if (!(noise > 0 && best > DETECTION_DEVIATIONS * noise)) {
		return { state: "not-detected", reason: "within-noise", rest: measured };
	}
	const clear = bests.filter(({ up, down }) => Math.max(up, -down) >= DETECTION_DEVIATIONS * noise);
	if (clear.some(({ up, down }) => (up >= -down ? 1 : -1) !== sign)) {
		return { state: "not-detected", reason: "directions-differ", rest: measured };
	}
	const variationPercent = variationPercentOf(changes);
	return {
		state: "taken",
		rest: measured,
		change: sign * best,
		variationPercent,
		repeatability: repeatabilityOf(variationPercent),
	};
}

/** Coefficient of variation: standard deviation (n − 1) over mean, percent; null for fewer than two values or a mean of 0. */
export function variationPercentOf(values: readonly number[]): number | null {
	if (values.length < 2) return null;
	const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
	if (mean === 0) return null;
	const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
	return (100 * Math.sqrt(squares / (values.length - 1))) / Math.abs(mean);
}

function repeatabilityOf(variationPercent: number | null): "repeatable" | "not-repeatable" | "unknown" {
	if (variationPercent === null) return "unknown";
	return variationPercent <= VARIATION_LIMIT_PERCENT ? "repeatable" : "not-repeatable";
}

function noiseOf(contractions: readonly ContractionSamples[]): number {
	return medianOf(contractions.map(({ before }) => restOf(before.values).noise));
}

function bestChanges({ before, contraction, after }: ContractionSamples): { up: number; down: number } {
	const levelBefore = medianOf(before.values);
	const levelAfter = medianOf(after.values);
	const timeBefore = medianOf(before.times);
	const slope = (levelAfter - levelBefore) / (medianOf(after.times) - timeBefore);
	const n = contraction.times.length;
	let up = Number.NEGATIVE_INFINITY;
	let down = Number.POSITIVE_INFINITY;
	let sum = 0;
	let from = 0;
	const changeAt = (i: number) =>
		contraction.values[i]! - levelBefore - slope * (contraction.times[i]! - timeBefore);
	for (let i = 0; i < n; i++) {
		sum += changeAt(i);
		// as few frames as make a whole second: at any rate of frames there are some, and fewer would reward noise
		while (from < i && contraction.times[i]! - contraction.times[from + 1]! >= BEST_SECONDS) {
			sum -= changeAt(from++);
		}
		if (contraction.times[i]! - contraction.times[from]! < BEST_SECONDS) continue;
		const mean = sum / (i - from + 1);
		up = Math.max(up, mean);
		down = Math.min(down, mean);
	}
	return { up, down };
}
