/** Invented rehab records, for tests and the programs that tests start. */
import type { CheckIn } from "../../app/contract.ts";
import type { NewReference, NewSet } from "../../app/store/care-types.ts";
import { library } from "../../core/exercise/library.ts";
import { type PlanDraft, planItemOf } from "../../core/exercise/plan.ts";
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import { usualReference } from "../../core/exercise/reference-contraction.ts";
import type { SetSummary } from "../../core/exercise/set-summary.ts";

export const conditions: MeasuringConditions = {
	bandId: 1,
	bandLevel: 0.5,
	firstElectrodeDegrees: 0,
	side: "left",
	circumferenceMetre: 0.52,
	referenceId: null,
	hamstringReferenceId: null,
	drive: "adjacent four-terminal 208",
	regularisation: "diagonal noise-figure",
	frequencyHertz: 50_000,
	currentMilliamp: 1,
	softwareVersion: "test-1",
	simulated: true,
};

export const checkIn: CheckIn = { toldAt: "2026-03-02T09:00:00.000+01:00", now: 2, nextMorning: 4 };

export const quadSet = library.find(({ id }) => id === "quad-set")!;
export const legRaise = library.find(({ id }) => id === "straight-leg-raise")!;

export const draft: PlanDraft = {
	from: "2026-03-02",
	items: [planItemOf(quadSet, "left"), { ...planItemOf(legRaise, "left"), note: "slowly" }],
	schedule: { weekdays: [1, 3, 5], timesPerDay: 1 },
	reason: "First plan",
};

export function createReference(change: Partial<NewReference> = {}): NewReference {
	return {
		personId: null,
		takenAt: "2026-03-01T10:00:05.000+01:00",
		protocol: usualReference,
		unit: "S/m",
		regions: [
			{
				id: "vastus-medialis",
				name: "Vastus medialis",
				reference: {
					state: "taken",
					rest: { level: 0.001, noise: 0.0002 },
					change: -0.02,
					variationPercent: 6,
					repeatability: "repeatable",
				},
			},
			{
				id: "hamstrings",
				name: "Hamstrings",
				reference: { state: "not-detected", reason: "within-noise", rest: { level: 0, noise: 0.0002 } },
			},
		],
		conditions,
		...change,
	};
}

const summary: SetSummary = {
	full: 2,
	partial: 0,
	unended: 0,
	unit: "percent",
	meanPeak: 60,
	meanEngagement: 50,
	meanHoldSeconds: 5.5,
	totalHoldSeconds: 11,
	meanTimeToPeakSeconds: 0.8,
	timeInTargetSeconds: 9,
	peakVariationPercent: 4,
	fatigue: null,
	coContraction: { state: "no-reference", missing: ["hamstrings"] },
	medialToLateral: { state: "measured", ratio: 0.9 },
};

function repetition(onset: number, peak: number) {
	return {
		kind: "full",
		onset,
		offset: onset + 6,
		restLevel: 0.001,
		peak,
		mean: 0.8 * peak,
		timeToPeak: 0.8,
		holdTime: 5.5,
		timeInTarget: 4.5,
		longestGap: 0.04,
	} as const;
}

/** Begins `start` s on the board's clock. */
export function createSet(sessionId: number, change: Partial<NewSet> = {}, start = 2): NewSet {
	return {
		sessionId,
		plan: null,
		item: planItemOf(quadSet, "left"),
		result: {
			set: 1,
			start,
			end: start + 30,
			countedIn: "vastus-medialis",
			repetitions: [repetition(start + 2, 0.0118), repetition(start + 18, 0.0122)],
			summary,
			count: { automatic: { full: 2, partial: 0 }, personal: null, corrections: [] },
			answer: { pain: 2, effort: 3, symptoms: [] },
		},
		painBefore: 1,
		conditions,
		...change,
	};
}

export function createResult(change: Partial<NewSet["result"]>): NewSet["result"] {
	return { ...createSet(1).result, ...change };
}

export function createSummary(change: Partial<SetSummary>): SetSummary {
	return { ...summary, ...change };
}
