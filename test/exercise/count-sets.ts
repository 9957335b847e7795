/** Runs the counter over simulated sets and compares with the truth. */
import type { Repetition } from "../../core/exercise/repetition.ts";
import { createRepetitionCounter } from "../../core/exercise/repetition-counter.ts";
import { PEAK_SECONDS } from "../../core/exercise/repetition-measures.ts";
import { restOf } from "../../core/exercise/rest-level.ts";
import { curveKinds, simulateCurves } from "./force-curve-sets.ts";
import type { KnownRepetition, KnownSet } from "./known-set.ts";
import { setFamilies, simulateSet } from "./simulated-sets.ts";

/** Where the change without noise goes through a threshold; all s. */
export interface Truth {
	/**
	 * First moment at which the change without noise is above one standard deviation of rest: the most sensitive of the
	 * thresholds that P. W. Hodges & B. H. Bui, EEG Clin. Neurophysiol. 101:511, 1996, compared (1, 2, 3 deviations). No
	 * sample shows it, so it is no easy truth; and unlike the begin of a curve it exists for slow ones too, whose first
	 * tenths of a second differ from rest by less than anybody could see.
	 */
	readonly onset: number;
	/** Where the curve begins. */
	readonly begin: number;
	/** Last moment above one deviation. */
	readonly offset: number;
	/** Above half of the peak. */
	readonly holdTime: number;
	/** From the onset until within 10 % of the peak. */
	readonly timeToPeak: number;
}

/** Counted minus true, s; NaN where the truth was not recorded. */
export interface Errors {
	readonly onset: number;
	readonly begin: number;
	readonly offset: number;
	readonly holdTime: number;
	readonly timeToPeak: number;
}

export interface SetOutcome {
	readonly set: KnownSet;
	readonly hasReference: boolean;
	readonly full: number;
	readonly trueFull: number;
	readonly partial: number;
	readonly truePartial: number;
	readonly unended: number;
	/** One per true repetition that was found. */
	readonly errors: readonly Errors[];
}

export function isExact(outcome: SetOutcome): boolean {
	return outcome.full === outcome.trueFull;
}

export function isExactWithPartial(outcome: SetOutcome): boolean {
	return isExact(outcome) && outcome.partial === outcome.truePartial && outcome.unended === 0;
}

/** Four of every eight sets are counted without a reference: the counter has to learn the direction and the peak. Where
 *  nearly all are partial nothing but a reference tells them from full ones. */
export function countSet(set: KnownSet): SetOutcome {
	const truePartial = set.repetitions.filter(({ isPartial }) => isPartial).length;
	const trueFull = set.repetitions.length - truePartial;
	const hasReference = (set.seed >> 2) % 2 === 0 || trueFull < 0.3 * set.repetitions.length;
	const restEnd = set.times.findIndex((time) => time >= set.restUntil);
	const counter = createRepetitionCounter({
		rest: restOf(set.values.subarray(0, restEnd)),
		referenceChange: hasReference ? set.referenceChange : null,
		target: null,
		learned: null,
		longestSeconds: 60,
	});
	for (let i = restEnd; i < set.times.length; i++) {
		if (set.times[i]! >= set.countFrom) counter.add(set.times[i]!, set.values[i]!);
	}
	counter.finish();
	const found = counter.repetitions();
	const errors = set.repetitions.flatMap((known) => {
		const match = mostAlike(known, found);
		return match === null ? [] : [errorsOf(known, set.restDeviation, match)];
	});
	return {
		set,
		hasReference,
		full: counter.fullCount,
		trueFull,
		partial: counter.partialCount,
		truePartial,
		unended: counter.unendedCount,
		errors,
	};
}

function mostAlike(known: KnownRepetition, found: readonly Repetition[]): Repetition | null {
	let best: Repetition | null = null;
	let most = 0;
	for (const repetition of found) {
		const shared = Math.min(repetition.offset, known.offset) - Math.max(repetition.onset, known.onset);
		if (shared <= most) continue;
		most = shared;
		best = repetition;
	}
	return best;
}

function errorsOf(known: KnownRepetition, deviation: number, found: Repetition): Errors {
	const truth = truthOf(known, deviation);
	const begins = known.isBeginSeen ? 0 : Number.NaN;
	const ends = known.isEndSeen ? 0 : Number.NaN;
	return {
		onset: begins + found.onset - truth.onset,
		begin: begins + found.onset - truth.begin,
		offset: ends + found.offset - truth.offset,
		holdTime: begins + ends + found.holdTime - truth.holdTime,
		timeToPeak: begins + found.timeToPeak - truth.timeToPeak,
	};
}

const STEP = 0.005;

export function truthOf(known: KnownRepetition, deviation: number): Truth {
	const { onset: begin, offset: end, changeAt } = known;
	const count = Math.ceil((end - begin) / STEP);
	const width = Math.round(PEAK_SECONDS / STEP);
	const changes = Float64Array.from({ length: count }, (_, i) => changeAt(begin + i * STEP));
	const means = new Float64Array(count);
	let sum = 0;
	for (let i = 0; i < count; i++) {
		sum += changes[i]! - (i >= width ? changes[i - width]! : 0);
		means[i] = sum / width;
	}
	const peak = means.reduce((most, mean) => Math.max(most, mean), 0);
	const first = changes.findIndex((change) => change > deviation);
	const last = changes.findLastIndex((change) => change > deviation);
	const atPeak = means.findIndex((mean) => mean >= 0.9 * peak);
	return {
		begin,
		onset: begin + first * STEP,
		offset: begin + last * STEP,
		holdTime: STEP * changes.filter((change) => change >= peak / 2).length,
		timeToPeak: (atPeak - first) * STEP,
	};
}

/**
 * Thresholds and shapes were chosen on the first range only. The second was run for the first time when they were
 * settled, and is run for reporting and by the tests.
 */
export const tuningSeeds = { from: 1000, perKind: 400 };
export const reportSeeds = { from: 130_000, perKind: 60 };

export type Seeds = typeof reportSeeds;

/** Of each kind of both generators, by its name. */
export function allSets({ from, perKind }: Seeds): Map<string, KnownSet[]> {
	const seeds = Array.from({ length: perKind }, (_, i) => from + i);
	return new Map([
		...setFamilies.map((family) => [`1 ${family}`, seeds.map((seed) => simulateSet(family, seed))] as const),
		...curveKinds.map((kind) => [`2 ${kind}`, seeds.map((seed) => simulateCurves(kind, seed))] as const),
	]);
}

/** Nearest rank, of the numbers among `values`. */
export function percentileOf(values: readonly number[], share: number): number {
	const sorted = values.filter((value) => !Number.isNaN(value)).sort((a, b) => a - b);
	return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}
