/** An invented session as the app tells of it, for tests of what the screens say. */
import type { MeasureProgress, Progress, SessionReview, SetRecord } from "../../app/contract.ts";
import { library } from "../../core/exercise/library.ts";
import { limbSymmetry } from "../../core/exercise/limb-symmetry.ts";
import { planItemOf } from "../../core/exercise/plan.ts";
import type { MeasuringConditions } from "../../core/exercise/progress.ts";
import { usualReference } from "../../core/exercise/reference-contraction.ts";
import type { Repetition } from "../../core/exercise/repetition.ts";
import type { SetSummary } from "../../core/exercise/set-summary.ts";

export function createConditions(change: Partial<MeasuringConditions> = {}): MeasuringConditions {
	return {
		bandId: 1,
		bandLevel: 0.5,
		firstElectrodeDegrees: 0,
		side: "left",
		circumferenceMetre: 0.52,
		referenceId: 3,
		hamstringReferenceId: null,
		drive: "adjacent four-terminal 208",
		regularisation: "diagonal noise-figure",
		frequencyHertz: 50_000,
		currentMilliamp: 1,
		softwareVersion: "1",
		simulated: true,
		...change,
	};
}

export function createRepetition(
	onset: number,
	holdTime: number,
	kind: Repetition["kind"] = "full",
): Repetition {
	return {
		kind,
		onset,
		offset: onset + holdTime + 1,
		restLevel: 0,
		peak: 0.012,
		mean: 0.01,
		timeToPeak: 0.8,
		holdTime,
		timeInTarget: holdTime,
		longestGap: 0.04,
	};
}

export function createSetSummary(change: Partial<SetSummary> = {}): SetSummary {
	return {
		full: 2,
		partial: 1,
		unended: 0,
		unit: "percent",
		meanPeak: 62,
		meanEngagement: 50,
		meanHoldSeconds: 5,
		totalHoldSeconds: 10,
		meanTimeToPeakSeconds: 0.8,
		timeInTargetSeconds: 9,
		peakVariationPercent: 4,
		fatigue: null,
		coContraction: { state: "no-reference", missing: ["hamstrings"] },
		medialToLateral: { state: "measured", ratio: 0.9 },
		...change,
	};
}

export function createSetRecord(change: Partial<SetRecord> = {}): SetRecord {
	return {
		id: 1,
		sessionId: 7,
		storedAt: "2026-03-04T09:20:00.000Z",
		planId: null,
		planVersion: null,
		itemIndex: null,
		item: planItemOf(library.find(({ id }) => id === "quad-set")!, "left"),
		set: 1,
		startSeconds: 10,
		endSeconds: 40,
		countedIn: "vastus-medialis",
		repetitions: [createRepetition(12, 4), createRepetition(22, 6), createRepetition(32, 1, "partial")],
		peaks: [60, 64, 20],
		summary: createSetSummary(),
		count: { automatic: { full: 2, partial: 1 }, personal: null, corrections: [] },
		countThatHolds: { full: 2, partial: 1 },
		painBefore: 1,
		answer: { pain: 2, effort: 3, symptoms: [] },
		conditions: createConditions(),
		...change,
	};
}

export function createReview(change: Partial<SessionReview> = {}): SessionReview {
	return {
		session: {
			id: 7,
			personId: 2,
			personCode: "P-014",
			title: "Quad sets",
			notes: "",
			startedAt: "2026-03-04T09:15:00.000Z",
			durationSeconds: 60,
			frameCount: 600,
			lostCount: 6,
			badCount: 2,
			simulated: true,
			origin: "live",
			side: "left",
			closedCleanly: true,
		},
		conditions: createConditions(),
		soap: null,
		sets: [createSetRecord()],
		references: [
			{
				id: 3,
				personId: 2,
				takenAt: "2026-03-04T09:00:00.000Z",
				protocol: usualReference,
				unit: "S/m",
				regions: [
					{
						id: "vastus-medialis",
						name: "Vastus medialis",
						reference: {
							state: "taken",
							rest: { level: 0, noise: 0.0002 },
							change: -0.02,
							variationPercent: 6,
							repeatability: "repeatable",
						},
					},
				],
				conditions: createConditions({ referenceId: null }),
			},
		],
		measured: {
			check: null,
			limb: {
				side: "left",
				outline: { type: "circle", radius: 0.083 },
				fatThickness: 0.008,
				level: 0.5,
			},
			band: {
				name: "Test band",
				electrodeCount: 16,
				electrodeWidth: 0.02,
				firstElectrodeDegrees: 0,
				direction: "anticlockwise",
				positions: null,
			},
			board: "bench 1.2",
			drives: [
				{
					bandIndex: 0,
					electrodeCount: 16,
					drive: "adjacent",
					terminals: "four-terminal",
					readingCount: 208,
					currentMilliamp: 1,
					frequencyHertz: 50_000,
				},
			],
			pictures: [
				{
					bandIndex: 0,
					prior: "diagonal",
					rule: "noise-figure",
					lambdaByHand: null,
					allowsMovement: false,
					lambda: 0.021,
					noiseFigure: 0.5,
					unit: "S/m",
					algorithmVersion: "1",
				},
			],
			baselines: [{ bandIndex: 0, takenAt: "2026-03-04T09:15:00.000Z", seconds: 5, automatic: false }],
			appVersion: "0.1.0",
		},
		quality: {
			frames: 600,
			lost: 6,
			bad: { "bad-checksum": 2 },
			usableShare: 0.99,
			contacts: [400, null, 500],
		},
		marks: [],
		nextMorning: null,
		sincePrevious: null,
		...change,
	};
}

/** Of the review's person: one session of both sides, and a plan that was kept in part. */
export function createProgress(): Progress {
	const measure = (
		kind: MeasureProgress["kind"],
		unit: MeasureProgress["unit"],
		value: number,
		band: readonly [number, number] | null,
	): MeasureProgress => ({
		id: kind,
		kind,
		exerciseId: "quad-set",
		exerciseName: "Quad set",
		side: "left",
		name: kind,
		unit,
		points: [
			{
				day: 0,
				value,
				band,
				brokenBy: [],
				change: null,
				verdict: null,
				sessionId: 7,
				startedAt: "2026-03-04T09:15:00.000Z",
				sets: 1,
				asked: null,
			},
		],
		error: null,
	});
	const share = (done: number, prescribed: number) => ({
		percent: (100 * done) / prescribed,
		done,
		prescribed,
		beyond: 0,
	});
	return {
		person: {
			id: 2,
			code: "P-014",
			displayName: null,
			affectedSide: "left",
			sessionCount: 1,
			archived: false,
		},
		startedAt: "2026-03-04T09:15:00.000Z",
		measures: [measure("hold-seconds", "s", 4, [3.8, 4.2]), measure("peak-engagement", "%", 62, null)],
		adherence: [],
		adherenceOverall: {
			from: "2026-03-02",
			to: "2026-03-08",
			sessions: share(4, 6),
			sets: share(8, 12),
			repetitions: share(80, 120),
			days: share(4, 6),
			holdPercent: null,
		},
		pain: { points: [], verdict: null },
		effort: [],
		symmetry: [
			{
				kind: "hold-seconds",
				unit: "s",
				exerciseId: "quad-set",
				exerciseName: "Quad set",
				involved: { value: 4, sem: 0.1, sessionId: 7 },
				uninvolved: { value: 5, sem: null, sessionId: 7 },
				index: limbSymmetry(4, 5, "higher", "band"),
				error: null,
			},
		],
	};
}
