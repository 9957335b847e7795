/** What one set came to, row by row, in words and figures: the same on the review, in a comparison and on paper. */
import type { SetRecord } from "../../app/contract.ts";
import type { FatigueSlope } from "../../core/exercise/fatigue.ts";
import type { ReferenceTarget } from "../../core/exercise/reference-target.ts";
import type { RepetitionCount } from "../../core/exercise/set-record.ts";
import type { EngagementRatio } from "../../core/exercise/set-summary.ts";
import { formatEngagement, formatScore } from "./measure.ts";
import { formatChange, formatQuantity, type Unit } from "./quantity.ts";

export type SetMeasureId =
	| "count"
	| "automatic"
	| "hold"
	| "total-hold"
	| "in-target"
	| "peak"
	| "mean"
	| "time-to-peak"
	| "medial-to-lateral"
	| "co-contraction"
	| "fatigue"
	| "pain"
	| "effort";

export interface SetMeasure {
	readonly id: SetMeasureId;
	readonly value: string;
	/** Its uncertainty, or what it consists of; null for none. */
	readonly detail: string | null;
}

export interface SetMeasureWords {
	readonly name: string;
	/** What the number is, or how not to read it. */
	readonly note: string;
}

export const setMeasureWords: Record<SetMeasureId, SetMeasureWords> = {
	count: { name: "Repetitions", note: "Full ones. The count that holds." },
	automatic: { name: "Counted by the app", note: "Kept as it was, beside any correction." },
	hold: { name: "Hold time", note: "Mean of full repetitions ± SD; above half of each one’s own peak." },
	"total-hold": { name: "Held in all", note: "Sum over full repetitions." },
	"in-target": { name: "Time in target", note: "Within the engagement asked for." },
	peak: { name: "Peak engagement", note: "Mean of full repetitions ± SD." },
	mean: { name: "Mean engagement", note: "From onset to offset." },
	"time-to-peak": { name: "Time to peak", note: "Mean of full repetitions ± SD." },
	"medial-to-lateral": {
		name: "Vastus medialis to lateralis",
		note: "Of engagements. No cut-off is published for it; read the trend, not the number.",
	},
	"co-contraction": {
		name: "Co-contraction",
		note: "Hamstrings’ engagement over the quadriceps’, each a share of its own reference contraction. No cut-off is published for it.",
	},
	fatigue: {
		name: "Peak over the set",
		note: "Slope from one repetition to the next with its 95 % confidence interval. Experimental.",
	},
	pain: { name: "Pain after", note: "0 none to 10 worst imaginable." },
	effort: { name: "Effort", note: "Borg CR10, 0 to 10." },
};

/** The rows of one set. @param unit of the signal, for sets without a reference */
export function setMeasures(set: SetRecord, unit: Unit): readonly SetMeasure[] {
	const { summary } = set;
	const row = (id: SetMeasureId, value: string, detail: string | null = null): SetMeasure => ({
		id,
		value,
		detail,
	});
	const answers = [
		row("pain", formatScore(set.answer?.pain ?? null), painBeforeWords(set.painBefore)),
		row("effort", formatScore(set.answer?.effort ?? null)),
	];
	const counts = [
		row("count", holdsWords(set), correctionWords(set)),
		row("automatic", countWords(set.count.automatic), unendedWords(summary?.unended ?? 0)),
	];
	if (summary === null) return [...counts, ...answers];
	const full = set.repetitions.flatMap((repetition, i) => (repetition.kind === "full" ? [i] : []));
	// Empty where they cannot be told in the summary's unit.
	const peaks = set.peaks.length === 0 ? [] : full.map((i) => set.peaks[i]!);
	const holds = full.map((i) => set.repetitions[i]!.holdTime);
	const times = full.map((i) => set.repetitions[i]!.timeToPeak);
	return [
		...counts,
		row("hold", seconds(summary.meanHoldSeconds), plusMinus(holds, seconds, 0.1)),
		row("total-hold", full.length === 0 ? "–" : seconds(summary.totalHoldSeconds)),
		row("in-target", seconds(summary.timeInTargetSeconds), targetWords(set)),
		row(
			"peak",
			formatEngagement(summary.meanPeak, summary.unit, unit),
			plusMinus(
				peaks,
				(value) => formatEngagement(value, summary.unit, unit),
				summary.unit === "percent" ? 1 : 0,
			),
		),
		row("mean", formatEngagement(summary.meanEngagement, summary.unit, unit)),
		row("time-to-peak", seconds(summary.meanTimeToPeakSeconds), plusMinus(times, seconds, 0.1)),
		row("medial-to-lateral", ...ratioWords(summary.medialToLateral)),
		row("co-contraction", ...ratioWords(summary.coContraction)),
		row("fatigue", ...fatigueWords(summary.fatigue, summary.unit, unit)),
		...answers,
	];
}

/** `8`, or `8 and 1 partial`. */
export function countWords(count: RepetitionCount | null): string {
	if (count === null) return "not counted";
	return count.partial === 0 ? String(count.full) : `${count.full} and ${count.partial} partial`;
}

function holdsWords(set: SetRecord): string {
	return `${countWords(set.countThatHolds)} of ${set.item.dose.repetitions}`;
}

function correctionWords({ count }: SetRecord): string | null {
	const last = count.corrections.at(-1);
	if (last !== undefined) {
		return last.by === "clinician" ? "corrected by a clinician" : "corrected by the patient";
	}
	return count.automatic === null && count.personal !== null ? "counted by the patient" : null;
}

function unendedWords(unended: number): string | null {
	if (unended === 0) return null;
	return unended === 1 ? "1 did not come back to rest" : `${unended} did not come back to rest`;
}

function painBeforeWords(before: number | null): string | null {
	return before === null ? null : `before: ${formatScore(before)}`;
}

function targetWords({ item }: SetRecord): string {
	return `target ${item.dose.target.low} to ${formatQuantity(item.dose.target.high, 0, "%")}`;
}

function referencesOf(targets: readonly ReferenceTarget[]): string {
	return targets
		.map((target) => (target === "hamstrings" ? "a hamstring reference" : "a quadriceps reference"))
		.join(" and ");
}

export function ratioWords(ratio: EngagementRatio): [value: string, detail: string | null] {
	switch (ratio.state) {
		case "measured":
			return [ratio.ratio.toFixed(2).replace("-", "\u2212"), null];
		case "no-reference":
			return [
				"–",
				ratio.missing.length === 0
					? "no reference for these muscles"
					: `needs ${referencesOf(ratio.missing)}`,
			];
		case "not-detected":
			return ["–", `not detected in ${referencesOf(ratio.in)}`];
		case "within-noise":
			return ["–", "too close to noise at rest"];
		case "no-repetitions":
			return ["–", "no full repetition"];
	}
}

/** Slope with its interval; relative to the first repetition where that can be told. */
export function fatigueWords(
	fatigue: FatigueSlope | null,
	kind: "percent" | "raw",
	unit: Unit,
): [value: string, detail: string | null] {
	if (fatigue === null) return ["–", "fewer than three full repetitions"];
	const signed = (value: number): string =>
		kind === "percent"
			? `${value > 0 ? "+" : ""}${formatQuantity(value, 1, "").trimEnd()}`
			: formatChange(value, unit, { withUnit: false });
	const unitWords = kind === "percent" ? "points" : "mS/m";
	return [
		`${signed(fatigue.slope)}\u00a0${unit === "relative" && kind === "raw" ? "%" : unitWords} per repetition`,
		`${signed(fatigue.low)} to ${signed(fatigue.high)}; ${trendWords(fatigue.trend)}`,
	];
}

function trendWords(trend: FatigueSlope["trend"]): string {
	switch (trend) {
		case "falling":
			return "falling";
		case "rising":
			return "rising";
		case "unclear":
			return "no clear slope";
	}
}

function seconds(value: number | null): string {
	return value === null ? "–" : formatQuantity(value, 1, "s");
}

/** Standard deviation (n − 1) between repetitions; null with fewer than two. */
export function deviationOf(values: readonly number[]): number | null {
	const n = values.length;
	if (n < 2) return null;
	const mean = values.reduce((sum, value) => sum + value, 0) / n;
	return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (n - 1));
}

/** @param digit the last one that is shown: a smaller spread is not called none */
function plusMinus(
	values: readonly number[],
	format: (value: number) => string,
	digit: number,
): string | null {
	const deviation = deviationOf(values);
	if (deviation === null) return null;
	return deviation < digit / 2 ? `±\u00a0<\u00a0${format(digit)}` : `±\u00a0${format(deviation)}`;
}
