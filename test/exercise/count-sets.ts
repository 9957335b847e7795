/** Runs the counter over simulated sets and compares with the truth. */
import { createRepetitionCounter } from "../../core/exercise/repetition-counter.ts";
import { restOf } from "../../core/exercise/rest-level.ts";
import { type SetFamily, type SimulatedSet, simulateSet } from "../../core/exercise/simulated-sets.ts";

export interface SetOutcome {
	readonly set: SimulatedSet;
	readonly hasReference: boolean;
	readonly full: number;
	readonly trueFull: number;
	readonly partial: number;
	readonly truePartial: number;
	/** One per true repetition that was found, s, counted minus true. */
	readonly onsetErrors: readonly number[];
	readonly fivePercentErrors: readonly number[];
	readonly offsetErrors: readonly number[];
}

/** Every second set is counted without a reference: the counter has to learn the direction and the peak. */
export function countSet(family: SetFamily, seed: number): SetOutcome {
	const set = simulateSet(family, seed);
	const hasReference = seed % 2 === 0;
	const restEnd = set.times.findIndex((time) => time >= set.times[0]! + set.restSeconds);
	const counter = createRepetitionCounter({
		rest: restOf(set.values.subarray(0, restEnd)),
		referenceChange: hasReference ? set.referenceChange : null,
		target: null,
		learned: null,
		longestSeconds: 40,
	});
	for (let i = restEnd; i < set.times.length; i++) counter.add(set.times[i]!, set.values[i]!);
	counter.finish();
	const found = counter.repetitions();
	const onsetErrors: number[] = [];
	const fivePercentErrors: number[] = [];
	const offsetErrors: number[] = [];
	for (const truth of set.repetitions) {
		const match = found.find((r) => r.onset < truth.offset && r.offset > truth.onset);
		if (match === undefined) continue;
		onsetErrors.push(match.onset - truth.onset);
		fivePercentErrors.push(match.onset - truth.onsetFivePercent);
		offsetErrors.push(match.offset - truth.offset);
	}
	const truePartial = set.repetitions.filter((r) => r.isPartial).length;
	return {
		set,
		hasReference,
		full: counter.fullCount,
		trueFull: set.repetitions.length - truePartial,
		partial: counter.partialCount,
		truePartial,
		onsetErrors,
		fivePercentErrors,
		offsetErrors,
	};
}

/** Seeds the thresholds were chosen on, and others that were looked at only for reporting. */
export const tuningSeeds = { from: 1000, perFamily: 40 };
export const reportSeeds = { from: 9000, perFamily: 40 };

export function seedsOf({ from, perFamily }: { from: number; perFamily: number }): number[] {
	return Array.from({ length: perFamily }, (_, i) => from + i);
}

/** Nearest rank. */
export function percentileOf(values: readonly number[], share: number): number {
	const sorted = [...values].sort((a, b) => a - b);
	return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN;
}
