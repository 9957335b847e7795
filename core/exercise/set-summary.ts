import { muscleRegions } from "./exercise.ts";
import { type FatigueSlope, fatigueOf } from "./fatigue.ts";
import { variationPercentOf } from "./reference-result.ts";
import { type ReferenceTarget, regionsOf, targetOf } from "./reference-target.ts";
import { type RegionTrace, type RegionWork, regionWorkOf } from "./region-work.ts";
import { type EngagementUnit, fullCountOf, partialCountOf, type Repetition } from "./repetition.ts";

/** A ratio of engagements, or why there is none. */
export type EngagementRatio =
	| { readonly state: "measured"; readonly ratio: number }
	/** Reference contractions that were not taken. */
	| { readonly state: "no-reference"; readonly missing: readonly ReferenceTarget[] }
	/** Reference contractions in which a region that is needed did not rise clear of its noise. */
	| { readonly state: "not-detected"; readonly in: readonly ReferenceTarget[] }
	/** What it would be divided by does not rise clear of its noise. */
	| { readonly state: "within-noise" }
	| { readonly state: "no-repetitions" };

/** What a set came to. Plain data; engagement in `unit`, of full repetitions, in the region that was counted in. */
export interface SetSummary {
	readonly full: number;
	readonly partial: number;
	readonly unended: number;
	readonly unit: EngagementUnit;
	/** Null where there was no full repetition. */
	readonly meanPeak: number | null;
	readonly meanEngagement: number | null;
	readonly meanHoldSeconds: number | null;
	readonly totalHoldSeconds: number;
	readonly meanTimeToPeakSeconds: number | null;
	/** Sum over full repetitions, s; null without a reference or a target. */
	readonly timeInTargetSeconds: number | null;
	/** Standard deviation over mean of the peaks, percent. */
	readonly peakVariationPercent: number | null;
	readonly fatigue: FatigueSlope | null;
	/** Hamstrings' mean engagement over the quadriceps'. */
	readonly coContraction: EngagementRatio;
	/** Vastus medialis' mean engagement over vastus lateralis'. */
	readonly medialToLateral: EngagementRatio;
}

export interface SetFacts {
	readonly repetitions: readonly Repetition[];
	/** Signed, of the region counted in; null without. */
	readonly referenceChange: number | null;
	/** [nSamples] device time, s, rising */
	readonly times: ArrayLike<number>;
	readonly regions: readonly RegionTrace[];
}

/** A divisor below this many deviations of its noise is none (common practice, no source). */
const CLEAR_DEVIATIONS = 3;

export function summariseSet({ repetitions, referenceChange, times, regions }: SetFacts): SetSummary {
	const full = repetitions.filter(({ kind }) => kind === "full");
	const scale = referenceChange === null ? 1 : 100 / Math.abs(referenceChange);
	const peaks = full.map(({ peak }) => scale * peak);
	const inTarget = full.map(({ timeInTarget }) => timeInTarget).filter((seconds) => seconds !== null);
	const works = regions
		.map((trace) => regionWorkOf(trace, times, repetitions))
		.filter((work) => work !== null)
		.map((work) => ({ ...work, percent: work.percent.filter((_, i) => repetitions[i]!.kind === "full") }));
	const ratioOf = (over: readonly string[], under: readonly string[]) =>
		ratioOfWorks(regions, works, over, under, full.length);
	return {
		full: fullCountOf(repetitions),
		partial: partialCountOf(repetitions),
		unended: repetitions.filter(({ kind }) => kind === "unended").length,
		unit: referenceChange === null ? "raw" : "percent",
		meanPeak: meanOf(peaks),
		meanEngagement: meanOf(full.map(({ mean }) => scale * mean)),
		meanHoldSeconds: meanOf(full.map(({ holdTime }) => holdTime)),
		totalHoldSeconds: full.reduce((sum, { holdTime }) => sum + holdTime, 0),
		meanTimeToPeakSeconds: meanOf(full.map(({ timeToPeak }) => timeToPeak)),
		timeInTargetSeconds: inTarget.length > 0 ? inTarget.reduce((sum, seconds) => sum + seconds, 0) : null,
		peakVariationPercent: variationPercentOf(peaks),
		fatigue: fatigueOf(peaks),
		coContraction: ratioOf(regionsOf("hamstrings"), regionsOf("quadriceps")),
		medialToLateral: ratioOf([muscleRegions.vastusMedialis], [muscleRegions.vastusLateralis]),
	};
}

/**
 * Ratio of mean engagements, each over its regions that have a reference and over full repetitions. These are our own
 * definitions. Hamstrings over quadriceps follows the habit for muscle activity of dividing an antagonist, normalised to
 * an effort of its own, by the agonist, normalised to its own: E. Kellis, Sports Med. 25:37, 1998 (from memory); why each
 * needs its own stands with `ReferenceTarget`. Where one of the two is missing there is no ratio, not one of raw changes:
 * those depend on where a region lies under the electrodes. No cut-off is published for either with this measurement: for muscle activity one to one of vastus
 * medialis to lateralis is called a theoretical ideal and 0.54 was seen in patellofemoral pain (S. Irish et al., J.
 * Strength Cond. Res. 24:1256, 2010), while another study found no difference between patients and controls. So the
 * trend is shown, never a pass or fail.
 */
function ratioOfWorks(
	regions: readonly RegionTrace[],
	works: readonly RegionWork[],
	over: readonly string[],
	under: readonly string[],
	repetitions: number,
): EngagementRatio {
	const numerator = works.filter(({ regionId }) => over.includes(regionId));
	const divisor = works.filter(({ regionId }) => under.includes(regionId));
	const lacking = [...(numerator.length === 0 ? [over] : []), ...(divisor.length === 0 ? [under] : [])];
	if (lacking.length > 0) return ratioWithout(lacking, regions);
	const top = meanOf(numerator.flatMap(({ percent }) => percent.filter(Number.isFinite)));
	const bottom = meanOf(divisor.flatMap(({ percent }) => percent.filter(Number.isFinite)));
	if (repetitions === 0 || top === null || bottom === null) return { state: "no-repetitions" };
	const noise = meanOf(divisor.map(({ noisePercent }) => noisePercent))!;
	if (!(bottom > 0 && bottom >= CLEAR_DEVIATIONS * noise)) return { state: "within-noise" };
	return { state: "measured", ratio: top / bottom };
}

/** @param lacking groups of regions none of which has a detected reference */
function ratioWithout(
	lacking: readonly (readonly string[])[],
	regions: readonly RegionTrace[],
): EngagementRatio {
	const wasTried = (ids: readonly string[]) =>
		regions.some(({ regionId, reference }) => ids.includes(regionId) && reference.state === "not-detected");
	const targets = (groups: readonly (readonly string[])[]) => [
		...new Set(groups.map((ids) => targetOf(ids[0]!)).filter((target) => target !== null)),
	];
	const missing = lacking.filter((ids) => !wasTried(ids));
	return missing.length > 0
		? { state: "no-reference", missing: targets(missing) }
		: { state: "not-detected", in: targets(lacking) };
}

function meanOf(values: readonly number[]): number | null {
	return values.length === 0 ? null : values.reduce((sum, value) => sum + value, 0) / values.length;
}
