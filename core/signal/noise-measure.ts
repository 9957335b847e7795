/**
 * Noise of the readings over some seconds in which nobody needs to sit perfectly still: deviation from successive
 * differences (see `baseline.ts`), so that a slow change of the level hardly counts, and reciprocity of the mean frame, in
 * which noise has largely averaged out.
 */
import type { ReadingPattern } from "../band/band.ts";
import { ownReadings } from "../band/board-electrode.ts";
import type { ReciprocalPairs } from "../band/reciprocity.ts";
import { reciprocityErrorsInto } from "./reciprocity.ts";

export interface NoiseMeasure {
	readonly frames: number;
	/** `values` [nReadings] are copied. */
	add(values: Float64Array): void;
	/** @throws RangeError with fewer than two frames */
	finish(): NoiseFigures;
}

export interface NoiseFigures {
	readonly frames: number;
	/** 20·log₁₀(|mean| / deviation), median over the readings of the band's own electrodes. */
	readonly signalToNoiseDecibel: number;
	/** The same of the reading that nine in ten are better than. */
	readonly weakestDecibel: number;
	/** Median and 95th percentile over the pairs, percent; null where the pattern has none. */
	readonly reciprocityPercent: number | null;
	readonly reciprocityHighPercent: number | null;
	/** Electrodes from 0 of which most pairs break reciprocity by more than 5 %, in order. */
	readonly suspects: readonly number[];
}

/** More than this for most pairs of an electrode puts it under suspicion (common practice, no source). */
const SUSPECT_PERCENT = 5;
/** A neighbour shares half of an electrode's pairs: only well above that the electrode itself is meant. */
const MOST_PAIRS = 0.75;
/** Of the frame's typical reading, so that a board without any noise still gets a number. */
const NOISE_FLOOR_SHARE = 1e-6;

export function createNoiseMeasure(pattern: ReadingPattern, pairs: ReciprocalPairs): NoiseMeasure {
	const nReadings = pattern.terminals.length / 4;
	const own = ownReadings(pattern);
	// a band that reads nothing by itself is judged by what it has
	const judged = own.length > 0 ? own : Uint32Array.from({ length: nReadings }, (_, r) => r);
	const sum = new Float64Array(nReadings);
	const squares = new Float64Array(nReadings);
	const previous = new Float64Array(nReadings);
	let frames = 0;
	return {
		get frames() {
			return frames;
		},
		add(values) {
			if (values.length !== nReadings) {
				throw new RangeError(`noise: ${values.length} readings where ${nReadings} were expected`);
			}
			for (let r = 0; r < nReadings; r++) {
				const value = values[r]!;
				if (frames > 0) squares[r]! += (value - previous[r]!) ** 2;
				sum[r]! += value;
				previous[r] = value;
			}
			frames++;
		},
		finish() {
			if (frames < 2) throw new RangeError(`noise: ${frames} frames tell nothing`);
			const mean = sum.map((total) => total / frames);
			const sizes = Float64Array.from(judged, (r) => Math.abs(mean[r]!)).sort();
			const floor = Math.max(sizes[judged.length >> 1]! * NOISE_FLOOR_SHARE, Number.MIN_VALUE);
			const decibel = Float64Array.from(judged, (r) => {
				const level = mean[r]!;
				const deviation = Math.sqrt(squares[r]! / (2 * (frames - 1)));
				return 20 * Math.log10(Math.abs(level) / Math.max(deviation, floor));
			}).sort();
			const errors = new Float64Array(pairs.count);
			reciprocityErrorsInto(mean, pairs, errors);
			const suspects = suspectsOf(pattern, pairs, errors);
			const sorted = errors.sort();
			return {
				frames,
				signalToNoiseDecibel: decibel[judged.length >> 1]!,
				weakestDecibel: decibel[Math.floor(0.1 * judged.length)]!,
				reciprocityPercent: sorted.length === 0 ? null : sorted[sorted.length >> 1]!,
				reciprocityHighPercent: sorted.length === 0 ? null : sorted[Math.floor(0.95 * (sorted.length - 1))]!,
				suspects,
			};
		},
	};
}

function suspectsOf(
	{ electrodeCount, terminals }: ReadingPattern,
	{ count, first }: ReciprocalPairs,
	errors: Float64Array,
): number[] {
	const all = new Uint32Array(electrodeCount);
	const broken = new Uint32Array(electrodeCount);
	for (let pair = 0; pair < count; pair++) {
		const at = 4 * first[pair]!;
		for (let t = at; t < at + 4; t++) {
			const electrode = terminals[t]!;
			all[electrode]!++;
			if (errors[pair]! > SUSPECT_PERCENT) broken[electrode]!++;
		}
	}
	const suspects: number[] = [];
	for (let e = 0; e < electrodeCount; e++)
		if (all[e]! > 0 && broken[e]! >= MOST_PAIRS * all[e]!) suspects.push(e);
	return suspects;
}
