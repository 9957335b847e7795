/** What is followed over weeks, taken from stored sets. */

import type { Dose } from "../../core/exercise/exercise.ts";
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import { referenceTargets, targetOf, withReferencesOf } from "../../core/exercise/reference-target.ts";
import type { EngagementRatio } from "../../core/exercise/set-summary.ts";
import { groupBy } from "../../core/group-by.ts";
import type { MeasureKind, MeasureProgress, SetRecord } from "../contract.ts";
import { wasBegun } from "../store/sets.ts";

export interface Measure {
	readonly kind: MeasureKind;
	readonly name: string;
	readonly unit: MeasureProgress["unit"];
	/** To which it is known at best, in its unit: one repetition, one hundredth of a ratio, or what it is told in. Times are
	 *  known to a frame, which is added from the sessions. */
	readonly step: number;
	/** Whether it is never below zero, so that its error does not reach there either. */
	readonly isPositive: boolean;
	/** What it follows from in the plan; left out where it does not, or hardly. */
	readonly asked?: (dose: Dose) => string;
	/** Of one set; null where it has none. */
	readonly of: (set: SetRecord) => number | null;
}

const inUnit =
	(unit: "percent" | "raw", value: (summary: NonNullable<SetRecord["summary"]>) => number | null) =>
	({ summary }: SetRecord): number | null =>
		summary === null || summary.unit !== unit ? null : value(summary);

const ratio = (measured: EngagementRatio | undefined): number | null =>
	measured?.state === "measured" ? measured.ratio : null;

export const measures: readonly Measure[] = [
	{
		kind: "peak-engagement",
		name: "Peak engagement",
		unit: "%",
		step: 1,
		isPositive: true,
		of: inUnit("percent", ({ meanPeak }) => meanPeak),
	},
	{
		kind: "mean-engagement",
		name: "Mean engagement",
		unit: "%",
		step: 1,
		isPositive: true,
		of: inUnit("percent", ({ meanEngagement }) => meanEngagement),
	},
	{
		kind: "peak-engagement",
		name: "Peak change, no reference",
		unit: "S/m",
		step: 1e-5,
		isPositive: false,
		of: inUnit("raw", ({ meanPeak }) => meanPeak),
	},
	{
		kind: "hold-seconds",
		name: "Hold time",
		asked: ({ holdSeconds }) => `${holdSeconds}`,
		unit: "s",
		step: 0.1,
		isPositive: true,
		of: ({ item, summary }) => (item.exercise.kind === "hold" ? (summary?.meanHoldSeconds ?? null) : null),
	},
	{
		kind: "repetitions",
		name: "Repetitions per set",
		asked: ({ repetitions }) => `${repetitions}`,
		unit: "repetitions",
		step: 1,
		isPositive: true,
		of: ({ countThatHolds }) => countThatHolds?.full ?? null,
	},
	{
		kind: "time-in-target",
		name: "Time in the target range",
		asked: ({ repetitions, holdSeconds, target }) =>
			`${repetitions} ${holdSeconds} ${target.low} ${target.high}`,
		unit: "s",
		step: 0.1,
		isPositive: true,
		of: ({ summary }) => summary?.timeInTargetSeconds ?? null,
	},
	{
		kind: "time-to-peak",
		name: "Time to peak",
		unit: "s",
		step: 0.1,
		isPositive: true,
		of: ({ summary }) => summary?.meanTimeToPeakSeconds ?? null,
	},
	{
		kind: "medial-to-lateral",
		name: "Vastus medialis to lateralis",
		unit: "ratio",
		step: 0.01,
		isPositive: false,
		of: ({ summary }) => ratio(summary?.medialToLateral),
	},
	{
		kind: "co-contraction",
		name: "Hamstrings to quadriceps",
		unit: "ratio",
		step: 0.01,
		isPositive: false,
		of: ({ summary }) => ratio(summary?.coContraction),
	},
	{
		kind: "fatigue",
		name: "Change of peak over repetitions",
		unit: "% per repetition",
		step: 0.1,
		isPositive: false,
		of: ({ summary }) => summary?.fatigue?.percentPerRepetition ?? null,
	},
];

/** What a measure of a set depends on: not on a reference that it is no share of. */
export function conditionsFor({ kind }: Measure, { conditions, countedIn }: SetRecord): MeasuringConditions {
	if (kind === "co-contraction") return withReferencesOf(conditions, referenceTargets);
	if (kind === "medial-to-lateral" || countedIn === null) return withReferencesOf(conditions, ["quadriceps"]);
	const target = targetOf(countedIn);
	return withReferencesOf(conditions, target === null ? [] : [target]);
}

/** One exercise on one side with its sets, session by session. */
export interface ExerciseHistory {
	readonly exerciseId: string;
	readonly exerciseName: string;
	readonly side: "left" | "right";
	readonly sessions: readonly { readonly sessionId: number; readonly sets: readonly SetRecord[] }[];
}

/** @param sets in the order of their sessions */
export function historiesOf(sets: readonly SetRecord[]): readonly ExerciseHistory[] {
	const begun = sets.filter(wasBegun);
	return [...groupBy(begun, ({ item }) => `${item.exercise.id} ${item.side}`).values()].map((own) => {
		const newest = own.at(-1)!.item;
		return {
			exerciseId: newest.exercise.id,
			exerciseName: newest.exercise.name,
			side: newest.side,
			sessions: [...groupBy(own, ({ sessionId }) => sessionId)].map(([sessionId, ofSession]) => ({
				sessionId,
				sets: ofSession,
			})),
		};
	});
}

export function meanOf(values: readonly (number | null)[]): number | null {
	const known = values.filter((value) => value !== null);
	return known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length;
}
