/**
 * Everything that crosses between `app` and `renderer`, declared once: requests (name → argument and reply),
 * the state that the app pushes on every change, and the picture stream (`core/wire/picture-packet.ts`).
 * Arguments are validated on arrival with the schemas below; replies are `Result`s and never thrown across.
 */
import { z } from "zod";
import type { Adherence } from "../core/exercise/adherence.ts";
import { isCalendarDay } from "../core/exercise/calendar-day.ts";
import type { CoachView } from "../core/exercise/coach-view.ts";
import type { RegionReference } from "../core/exercise/engagement.ts";
import { type Exercise, exerciseSchema, muscleRegions } from "../core/exercise/exercise.ts";
import type { SetResult } from "../core/exercise/exercise-run.ts";
import type { LimbSymmetry, SideValue } from "../core/exercise/limb-symmetry.ts";
import type { NeighbourError } from "../core/exercise/neighbour-error.ts";
import type { MorningAdvice, MorningVerdict } from "../core/exercise/next-morning.ts";
import type { PainVerdict } from "../core/exercise/pain.ts";
import { type DayPlan, type Plan, type PlanItem, planVersionSchema } from "../core/exercise/plan.ts";
import type { MeasuringConditions, ProgressPoint, UnsafeComparison } from "../core/exercise/progress.ts";
import type { RenewReason } from "../core/exercise/reference-age.ts";
import type { ReferenceProtocol, ReferenceView } from "../core/exercise/reference-contraction.ts";
import { type ReferenceTarget, referenceTargets } from "../core/exercise/reference-target.ts";
import type { Repetition } from "../core/exercise/repetition.ts";
import { countCorrectionSchema, type RepetitionCount, type SetCount } from "../core/exercise/set-record.ts";
import type { SetSummary } from "../core/exercise/set-summary.ts";
import { type NextStep, redFlags, type SetAnswer } from "../core/exercise/stop-rules.ts";
import type { Point } from "../core/limb/limb.ts";
import type { Result } from "../core/result.ts";
import { defaultWorkingLimitAmpere } from "../core/safety/current-limit.ts";
import type { BandSlip } from "../core/signal/band-slips.ts";
import type { FaultSign } from "../core/signal/electrode-watch.ts";
import { type BandDrive, type CheckResult, type CheckStep, checkSteps } from "../core/signal/signal-check.ts";
import type { BoardProfile } from "../core/wire/profile/board-profile.ts";

// ---- Faults the person can do something about: a closed set, turned into words by the renderer --------------

export type Fault =
	| {
			readonly kind: "invalid-argument";
			readonly path: string;
			readonly expected: string;
			readonly got: string;
	  }
	| { readonly kind: "no-such-port"; readonly path: string }
	| { readonly kind: "port-busy"; readonly path: string }
	| { readonly kind: "port-permission"; readonly path: string; readonly group: string | null }
	/** A file, or a device that is something else. */
	| { readonly kind: "not-a-port"; readonly path: string }
	| { readonly kind: "port-failed"; readonly path: string; readonly detail: string }
	| { readonly kind: "not-our-protocol"; readonly path: string; readonly bytesSeen: number }
	| { readonly kind: "no-data"; readonly path: string }
	/** Bytes as a port at another speed than its board's makes of them. `likelyBaudRate`: what they look like, where only one
	 *  speed explains them. */
	| {
			readonly kind: "wrong-speed";
			readonly path: string;
			readonly bytesSeen: number;
			readonly likelyBaudRate: number | null;
	  }
	/** Lines of the band's protocol come, but too few of them whole. */
	| {
			readonly kind: "too-disturbed";
			readonly path: string;
			readonly wholeLines: number;
			readonly badLines: number;
	  }
	/** Boards of different serial numbers talk on one line: whose frames are whose cannot be told. */
	| { readonly kind: "second-board"; readonly path: string; readonly first: string; readonly second: string }
	/** `percent`: as the band told last. */
	| { readonly kind: "battery-empty"; readonly percent: number }
	/** Nothing was heard meanwhile: the computer, or this program, stood still. */
	| { readonly kind: "computer-slept"; readonly seconds: number }
	| { readonly kind: "not-connected" }
	| { readonly kind: "board-refused"; readonly command: string; readonly reason: string }
	| { readonly kind: "board-silent"; readonly command: string }
	/** A board that is read by a profile: it only tells. */
	| { readonly kind: "takes-no-commands"; readonly command: string }
	/** Lines come, but no frame can be read of them. */
	| { readonly kind: "profile-does-not-fit"; readonly path: string; readonly profile: string }
	| {
			readonly kind: "over-current-limit";
			readonly reportedMilliamp: number;
			readonly limitMilliamp: number;
			readonly frequencyHertz: number;
	  }
	| { readonly kind: "no-baseline" }
	| { readonly kind: "no-volume"; readonly missing: VolumeGap }
	/** So many readings are left out that region means cannot be believed. Numbers of the failing electrodes, from 1. */
	| { readonly kind: "band-off"; readonly electrodes: readonly number[] }
	| { readonly kind: "baseline-not-steady"; readonly driftPercent: number }
	| { readonly kind: "cautions-not-acknowledged" }
	| { readonly kind: "already-recording" }
	| { readonly kind: "not-recording" }
	| {
			readonly kind: "no-such-record";
			readonly what: "person" | "limb" | "band" | "session" | "set" | "plan" | "reference";
			readonly id: number;
	  }
	| { readonly kind: "disk-full"; readonly path: string }
	| { readonly kind: "store-read-only"; readonly path: string }
	| { readonly kind: "store-corrupt"; readonly path: string; readonly keptAs: string | null }
	| {
			readonly kind: "store-newer";
			readonly path: string;
			readonly fileVersion: number;
			readonly appVersion: number;
	  }
	/** The file belongs to another program (or is no database at all) and was left as it is. */
	| { readonly kind: "store-foreign"; readonly path: string }
	| { readonly kind: "store-missing"; readonly path: string }
	/** Another program holds the file. */
	| { readonly kind: "store-busy"; readonly path: string }
	| { readonly kind: "store-failed"; readonly path: string; readonly detail: string }
	| {
			readonly kind: "bad-recording-file";
			readonly path: string;
			readonly expected: string;
			readonly got: string;
	  }
	/** The app is in home mode, which does not allow this. */
	| { readonly kind: "locked" }
	/** `waitSeconds`: how long no other number is tried; 0 for none. */
	| { readonly kind: "wrong-pin"; readonly waitSeconds: number }
	/** A reference is somebody's: the set-up says whose. */
	| { readonly kind: "no-person" }
	/** The set-up is for another person or the other leg: `wearBand` changes it. */
	| {
			readonly kind: "band-elsewhere";
			readonly personId: number;
			readonly side: "left" | "right";
	  }
	/** No thigh of this person was measured on that side: the set-up does it. */
	| {
			readonly kind: "limb-not-measured";
			readonly personId: number;
			readonly side: "left" | "right" | null;
	  }
	/** Its person works just now: what was asked would spoil it. */
	| { readonly kind: "busy"; readonly with: "reference" | "exercise" }
	/** What goes on belongs to the records that are open: they stay open. `file`: one is being read in or written out. */
	| { readonly kind: "records-in-use"; readonly by: "recording" | "exercise" | "file" }
	/** Other records have been opened since the page asked: its numbers mean other people. */
	| { readonly kind: "records-changed" }
	/** Nobody real is measured into the demo clinic. */
	| { readonly kind: "demo-records" }
	| { readonly kind: "not-running"; readonly what: "reference" | "exercise" }
	/** The stop rules have ended exercise (`stop-exercise`: this one alone): until the sitting is left, at home until the next
	 *  day. */
	| { readonly kind: "exercise-over"; readonly action: "stop-exercise" | "stop-session" | "get-help" }
	/** The questions after a set of today were left unanswered, and the stop rules wait for them: `answerLeftSet`. */
	| { readonly kind: "set-unanswered"; readonly setId: number }
	/** Too few frames came in a part of the given contraction to measure it. */
	| { readonly kind: "reference-incomplete"; readonly contraction: number; readonly frames: number }
	/** Not a person's record as this program exports it, or one that was changed or cut off. */
	| {
			readonly kind: "bad-person-file";
			readonly path: string;
			readonly expected: string;
			readonly got: string;
	  }
	/** `isSameRecord`: this very record is here already, under `code`; else another person has the file's code. */
	| { readonly kind: "person-exists"; readonly code: string; readonly isSameRecord: boolean }
	/** A person's record is larger than one file that can be read again. */
	| { readonly kind: "record-too-large"; readonly megabytes: number; readonly limitMegabytes: number }
	| { readonly kind: "cancelled" }
	| { readonly kind: "internal"; readonly detail: string };

// ---- Schemas of arguments -----------------------------------------------------------------------------------

const id = z.int().positive();

/** Whether a text is what it looks like on one line: no control characters, no change of the writing direction. */
export function isPlainLine(text: string): boolean {
	return !/[\p{Cc}\p{Zl}\p{Zp}\u202a-\u202e\u2066-\u2069]/u.test(text);
}

const point = z.tuple([z.number().min(-1).max(1), z.number().min(-1).max(1)]);

export const outlineSchema = z.discriminatedUnion("type", [
	z.object({ type: z.literal("circle"), radius: z.number().min(0.01).max(0.3) }),
	z.object({
		type: z.literal("ellipse"),
		a: z.number().min(0.01).max(0.3),
		b: z.number().min(0.01).max(0.3),
	}),
	z.object({ type: z.literal("polygon"), points: z.array(point).min(6).max(2000) }),
	z.object({ type: z.literal("smooth"), points: z.array(point).min(6).max(2000) }),
]);

export const limbSetupSchema = z.object({
	side: z.enum(["left", "right"]),
	outline: outlineSchema,
	/** m */
	fatThickness: z.number().min(0.001).max(0.06),
	/** How that is known; left out where nobody said. */
	fatSource: z.enum(["ultrasound", "skinfold", "assumed"]).optional(),
	/** Where around the thigh the band sits, as a fraction of thigh length above the knee. */
	level: z.number().min(0.1).max(0.9),
});

export const bandSetupSchema = z.object({
	name: z.string().trim().min(1).max(80),
	electrodeCount: z.int().min(8).max(64),
	/** m, along the skin */
	electrodeWidth: z.number().min(0.001).max(0.06),
	/** Degrees from the front of the thigh to electrode 1's centre, positive towards the person's left. */
	firstElectrodeDegrees: z.number().min(-180).max(180),
	/** As seen from the foot. */
	direction: z.enum(["anticlockwise", "clockwise"]),
	/** Fractions of the circumference; null for even spacing. */
	positions: z.array(z.number().min(0).lt(1)).min(8).max(64).nullable(),
});

/** Where a band sits along the thigh, and what a tape measures there. */
export const bandPlaceSchema = z.object({
	/** From the upper edge of the knee cap to the middle of the band's electrodes, m. */
	aboveKnee: z.number().min(0).max(0.6),
	/** m */
	circumference: z.number().min(0.2).max(1.1),
});

export const scenarioNames = [
	"tour",
	"rest",
	"quad-sets",
	"leg-raises",
	"fatigue",
	"slippage",
	"poor-contact",
	/** Does what a reference contraction or an exercise asks for, when it asks. */
	"follow-coach",
] as const;

export const sourceSchema = z.discriminatedUnion("kind", [
	z.object({
		kind: z.literal("simulated"),
		scenario: z.enum(scenarioNames),
		seed: z.int().min(0).max(0xffffffff),
		framesPerSecond: z.number().min(1).max(60),
		bandCount: z.int().min(1).max(4),
		electrodeCount: z.int().min(8).max(64),
		/** Share of lines that are corrupted and dropped, 0 to 1. */
		corruptShare: z.number().min(0).max(0.5),
		dropShare: z.number().min(0).max(0.5),
	}),
	z.object({
		kind: z.literal("serial"),
		portId: z.string().max(200),
		baudRate: z.int().min(9600).max(4_000_000),
	}),
	/** A board that prints numbers in its own way, read by a profile. */
	z.object({
		kind: z.literal("profile"),
		portId: z.string().max(200),
		baudRate: z.int().min(300).max(4_000_000),
		/** Its name. */
		profile: z.string().max(80),
	}),
]);

const side = z.enum(["left", "right"]);
const pain = z.number("a number from 0 to 10").min(0).max(10).nullable();
const setAnswer = z.object({
	pain,
	/** Borg CR10 */
	effort: z.number("a number from 0 to 10").min(0).max(10).nullable(),
	/** Ids of `redFlags` (`core/exercise/stop-rules.ts`) that apply. */
	symptoms: z.array(z.enum(redFlags.map(({ id: flag }) => flag))).max(redFlags.length),
});
const pin = z.string().regex(/^\d{4,12}$/, "4 to 12 digits");

const calendarDay = z.string("a day").refine(isCalendarDay, "a day such as 2025-03-04");
const noteText = z.string().max(20_000);

/** What a band can look at, and exercises can therefore aim at. */
const muscles: readonly string[] = Object.values(muscleRegions);

/** Largest file of a person's record, bytes; what is larger is not written either. */
export const LARGEST_PERSON_FILE_BYTES = 256 * 1024 * 1024;

export const requestSchemas = {
	/** What is happening now; also pushed on every change. */
	getState: z.null(),
	acknowledgeCautions: z.object({ version: z.int().positive() }),
	listPorts: z.null(),
	connect: sourceSchema,
	disconnect: z.null(),

	/** Those of the program, then own ones by name. */
	listProfiles: z.null(),
	/** New or changed: its name tells which. The whole file is checked, and told where it is wrong. */
	saveProfile: z.object({ profile: z.unknown() }),
	deleteProfile: z.object({ profile: z.string().max(80) }),
	/** What a port says in that time, a character for each byte. */
	captureLines: z.object({
		portId: z.string().max(200),
		baudRate: z.int().min(300).max(4_000_000),
		seconds: z.number().min(0.5).max(10),
	}),
	/** Plays a recorded text log as if its board were connected; the rate counts where the log tells no time. */
	playLog: z.object({
		fileName: z.string().max(200),
		text: z.string().max(64 * 1024 * 1024),
		profile: z.string().max(80),
		framesPerSecond: z.number().min(1).max(200),
	}),
	sendCommand: z.discriminatedUnion("command", [
		z.object({ command: z.literal("set-current"), milliamp: z.number().min(0).max(10) }),
		z.object({ command: z.literal("set-frequency"), hertz: z.number().min(1000).max(1_000_000) }),
		z.object({ command: z.literal("set-gain"), gain: z.number().min(0.01).max(10000) }),
		z.object({ command: z.literal("contact-check") }),
		z.object({ command: z.literal("start") }),
		z.object({ command: z.literal("stop") }),
	]),
	/** From the first step, or again from the given one on. Answers once it has begun: `AppState.check` tells how it goes. */
	startCheck: z.object({ from: z.enum(checkSteps).nullable() }),
	/** Goes on although the step at which it stopped is as it is; refused where no picture could be made so. */
	passOverCheck: z.null(),
	stopCheck: z.null(),
	/** Sets current and gain by the level of the readings. What it chose and why is in `AppState.check`. */
	rangeAgain: z.null(),
	/** The largest current that is allowed, r.m.s.; null for the usual limit, above which none can be set. A board that drives
	 *  more is told to drive less, and stopped if it does not. */
	setCurrentLimit: z.object({
		milliamp: z
			.number()
			.min(0.05)
			.max(1000 * defaultWorkingLimitAmpere)
			.nullable(),
	}),
	/** Takes the next `seconds` as rest: median frame and noise per reading. */
	takeBaseline: z.object({ seconds: z.number().min(1).max(30) }),
	setPrior: z.object({
		prior: z.enum(["diagonal", "laplace"]),
		rule: z.enum(["noise-figure", "gcv", "l-curve"]),
		/** λ, relative as in `core/picture/strength.ts`, in the place of what the rule chooses; null or left out: the rule chooses. */
		lambdaByHand: z.number().min(1e-5).max(10).nullable().optional(),
		/** Whether skin and band may have moved since rest: what movement can explain is then not painted as a change of
		 *  conductivity (`core/picture/movement.ts`). */
		allowsMovement: z.boolean().optional(),
	}),
	/** Whether the rest baseline follows slow drift from one stretch of rest to the next (`core/signal/drift.ts`). */
	setRestFollowing: z.object({ isOn: z.boolean() }),
	/** What a band would see of a limb, with the settings of pictures and the noise of the rest that are there; made in a
	 *  worker. `towards`: the direction of the radius along which the figures are computed. */
	studyBand: z.object({
		limb: limbSetupSchema,
		band: bandSetupSchema,
		towards: z.enum(["front", "outer", "back", "inner"]),
	}),
	/** What typical contractions would show if the fat were thinner or thicker than the limb says; made in a worker. */
	studyFat: z.object({ limb: limbSetupSchema, band: bandSetupSchema }),
	/** How the strength of the live picture's smoothing was chosen. */
	getStrength: z.null(),
	/** The newest live frame pictured at the strength in use and at another; nothing is changed. */
	tryStrength: z.object({
		lambda: z.number().min(1e-5).max(10),
		/** `same`: the frame of the last answer once more, where it is of the same picture. */
		frame: z.enum(["newest", "same"]),
	}),
	/** Which band's picture is streamed. */
	selectBand: z.object({ bandIndex: z.int().min(0).max(3) }),

	/** Null leaves out who was archived. */
	listPeople: z.object({ includeArchived: z.boolean() }).nullable(),
	savePerson: z.object({
		id: id.nullable(),
		code: z.string().trim().min(1).max(40).refine(isPlainLine, "a code without control characters"),
		displayName: z.string().trim().max(80).nullable(),
		affectedSide: z.enum(["left", "right", "both", "none"]),
	}),
	/** Everything of one person but the sets. */
	getPerson: z.object({ personId: id }),
	savePersonDetails: z.object({ personId: id, goals: z.string().max(4000), archived: z.boolean() }),
	/** The person was told the cautions, of this version. */
	acknowledgeForPerson: z.object({ personId: id, version: z.int().positive() }),
	/** What `deletePerson` would remove. */
	countPersonRecords: z.object({ personId: id }),
	/** For good, with all sessions and frames. `code` is typed again by whoever asks. */
	deletePerson: z.object({ personId: id, code: z.string().max(40) }),
	/** Everything of one person in one file, raw frames included. */
	exportPerson: z.object({ personId: id }),
	/** The whole text of such a file. All of it is stored, or nothing. */
	importPerson: z.object({
		fileName: z.string().max(200),
		text: z.string().max(LARGEST_PERSON_FILE_BYTES),
	}),

	/** The library, then own ones by name. */
	listExercises: z.null(),
	/** An own exercise, new or changed; its id tells which. Plans that hold it keep it as it was. */
	saveExercise: z.object({
		exercise: exerciseSchema
			.refine(({ origin }) => origin === "own", {
				path: ["origin"],
				message: "own: the library stays as it is",
			})
			.refine(({ targetRegions }) => targetRegions.every((region) => muscles.includes(region)), {
				path: ["targetRegions"],
				message: `muscles of the thigh, each one of ${muscles.join(", ")}`,
			}),
	}),
	/** A new version of the person's plan, or a new plan where there is none or the last one has ended. */
	savePlan: z.object({ personId: id, draft: planVersionSchema.unwrap().omit({ version: true }).readonly() }),
	/** `endedOn`: the first day on which nothing is prescribed any more. */
	endPlan: z.object({ personId: id, endedOn: calendarDay }),

	listSets: z.object({ sessionId: id }),
	/** What a person says the count was; kept beside the automatic one. */
	correctSet: z.object({
		setId: id,
		correction: countCorrectionSchema.unwrap().omit({ at: true }).readonly(),
	}),
	saveSoap: z.object({
		sessionId: id,
		subjective: noteText,
		objective: noteText,
		assessment: noteText,
		plan: noteText,
	}),
	getSessionReview: z.object({ sessionId: id }),
	/** Region means as they were computed while recording, thinned to about `points` rows keeping extremes; needs no
	 *  replay, so that two sessions can be looked at together. */
	getSessionTrends: z.object({
		sessionId: id,
		bandIndex: z.int().min(0).max(3),
		points: z.int().min(10).max(20_000),
	}),
	getProgress: z.object({ personId: id }),
	/** Mean picture over the holds (repetitions) of a set, from its stored frames; made in the worker. */
	getAveragePicture: z.object({ sessionId: id, setId: id }),
	/** Whom and what the next recording belongs to; stored as a new limb/band record when it differs. */
	setUp: z.object({
		personId: id.nullable(),
		limb: limbSetupSchema,
		band: bandSetupSchema,
		/** One for each band, in their order, where several are worn: what volume pictures need. */
		places: z.array(bandPlaceSchema).min(1).max(4).optional(),
	}),

	startRecording: z.object({ title: z.string().trim().max(120) }),
	stopRecording: z.null(),
	listSessions: z.object({ personId: id.nullable(), offset: z.int().min(0), limit: z.int().min(1).max(200) }),
	saveSessionNotes: z.object({
		sessionId: id,
		title: z.string().trim().max(120),
		notes: z.string().max(20_000),
	}),
	/** Opens a file of the session; `readExport` gives it piece by piece, for it may be larger than one text can be. What
	 *  volumes show is computed first: pieces are empty until then. */
	exportSession: z.object({ sessionId: id, format: z.enum(["csv", "json", "volume-csv", "volume-json"]) }),
	readExport: z.object({ exportId: id }),
	/** The whole file's text; the app checks and stores it as a recorded session. */
	importRecording: z.object({ fileName: z.string().max(200), text: z.string().max(64 * 1024 * 1024) }),

	openReplay: z.object({ sessionId: id }),
	controlReplay: z.object({
		playing: z.boolean().nullable(),
		/** 0.1 to 100; 1 is real time. */
		speed: z.number().min(0.1).max(100).nullable(),
		/** Seconds from the session's start. */
		seekSeconds: z.number().min(0).nullable(),
	}),
	closeReplay: z.null(),
	/** Region means of the whole session open in replay, thinned to at most `points` per region keeping extremes; of the
	 *  band's sections, or of volumes, which are computed the first time. */
	getReplayTrends: z.object({
		points: z.int().min(10).max(20_000),
		of: z.enum(["sections", "volumes"]).optional(),
	}),
	/** Geometry that picture packets refer to. */
	getGeometry: z.object({ geometryId: z.int().positive() }),
	/** Region means of the live stream so far, for a page that opens late. */
	getLiveTrends: z.object({ seconds: z.number().min(1).max(7200) }),

	/** Makes volume pictures of all bands together from now on: finds or makes the model for them, anew whenever the set-up
	 *  or the bands change. `AppState.volume` tells how that goes. While a session is open in replay, this and what follows
	 *  is about its volumes. */
	startVolume: z.null(),
	/** Gives up what is being made, and makes no volume pictures any more. */
	stopVolume: z.null(),
	/** Geometry that packets of volume pictures refer to. */
	getVolumeGeometry: z.object({ geometryId: z.int().positive() }),
	/** Means over regions' volumes so far. */
	getVolumeTrends: z.object({ seconds: z.number().min(1).max(7200) }),

	/** The band is on this leg of this person: the set-up becomes theirs, with the newest measures of that thigh, and
	 *  rest is taken anew. */
	wearBand: z.object({ personId: id, side }),
	/** Guides through a reference contraction of the set-up's person; stored by itself when it is done. */
	startReference: z.object({
		/** Muscles that the person is to tense. */
		target: z.enum(referenceTargets),
		effort: z.enum(["maximal", "comfortable"]),
		contractions: z.int().min(1).max(10),
		/** s between two contractions */
		pauseSeconds: z.number().min(6).max(300),
	}),
	/** Gives a running one up, or puts the result of one that is done away. */
	stopReference: z.null(),
	/** Pain before a sitting, and on the morning after the one before where that was asked (else null). It holds until the
	 *  sitting is left. */
	tellPain: z.object({ personId: id, now: pain, nextMorning: pain }),
	/** One exercise of a plan. The first one of a sitting begins a session's recording by itself. */
	startExercise: z.object({
		personId: id,
		planVersion: z.int().min(1),
		itemIndex: z.int().min(0).max(29),
		painBefore: pain,
	}),
	/** `tap`: one repetition, where the person counts. `stop`: the questions come next, then the end. */
	controlExercise: z.object({ action: z.enum(["tap", "pause", "resume", "stop"]) }),
	/** Answers to the questions after a set. */
	answerSet: setAnswer,
	/** The same, for a set that was left without them (`Today.unanswered`): no exercise starts before. */
	answerLeftSet: setAnswer.extend({ personId: id, setId: id }),
	/** Ends the sitting: an exercise that runs is stopped as it is, and the recording is closed. When the last sets cannot be
	 *  stored it says so and keeps them for one more try: leaving again. */
	leaveExercise: z.null(),

	/** `day`: today where the person is. */
	getToday: z.object({ personId: id, day: calendarDay }),
	/** Home mode for one person, with the newest measures of their thigh. `pin`: what ends it from now on; null keeps the
	 *  one that was set before, and without any it ends without. */
	enterHome: z.object({ personId: id, pin: pin.nullable() }),
	leaveHome: z.object({ pin: pin.nullable() }),

	/** Puts the demo clinic in the place of the own records, which stay as they are; a demo that is not there, or is wanted
	 *  `anew`, is made first. Answers once it is open or is being made: `AppState.demo` tells how that goes, and at its end
	 *  it opens by itself. Not while a recording runs, a person works or a file is read or written. */
	openDemo: z.object({ anew: z.boolean() }),
	/** Gives up making it, and puts away what it failed with; one that was there before stays. */
	cancelDemo: z.null(),
	/** Back to the own records. */
	closeDemo: z.null(),
} as const;

export type RequestName = keyof typeof requestSchemas;
export type RequestArgument<K extends RequestName> = z.infer<(typeof requestSchemas)[K]>;
export type LimbSetup = z.infer<typeof limbSetupSchema>;
export type BandSetup = z.infer<typeof bandSetupSchema>;
export type BandPlace = z.infer<typeof bandPlaceSchema>;
export type SourceChoice = z.infer<typeof sourceSchema>;
export type ScenarioName = (typeof scenarioNames)[number];

// ---- Replies ------------------------------------------------------------------------------------------------

export interface PortInfo {
	readonly portId: string;
	/** Such as `/dev/ttyUSB0` or `COM3`. */
	readonly path: string;
	readonly description: string;
	readonly transport: "usb" | "bluetooth" | "other";
}

export interface Person {
	readonly id: number;
	readonly code: string;
	readonly displayName: string | null;
	readonly affectedSide: "left" | "right" | "both" | "none";
	readonly sessionCount: number;
	readonly archived: boolean;
}

export interface LimbRecord {
	readonly id: number;
	/** RFC 3339 with offset. */
	readonly measuredAt: string;
	readonly setup: LimbSetup;
}

/** A reference contraction as it was stored. */
export interface ReferenceRecord {
	readonly id: number;
	readonly personId: number | null;
	/** RFC 3339 with offset. */
	readonly takenAt: string;
	readonly protocol: ReferenceProtocol;
	readonly unit: "S/m" | "relative";
	readonly regions: readonly {
		readonly id: string;
		readonly name: string;
		readonly reference: RegionReference;
	}[];
	/** They name no reference. */
	readonly conditions: MeasuringConditions;
}

export interface PersonRecord {
	readonly person: Person;
	readonly goals: string;
	readonly archived: boolean;
	/** RFC 3339 with offset; null when never, or for an older version of the cautions. */
	readonly cautionsAcknowledgedAt: string | null;
	/** Newest first. */
	readonly limbs: readonly LimbRecord[];
	/** The one that has not ended by today, whatever follows it; else the newest, which its `endedOn` tells. Null before the
	 *  first. */
	readonly plan: Plan | null;
	/** Newest first. */
	readonly references: readonly ReferenceRecord[];
	/** Which of the newest references are to be taken anew, and why, as far as it is known what would be measured with. */
	readonly renewals: readonly { readonly referenceId: number; readonly reasons: readonly RenewReason[] }[];
	readonly sessions: number;
}

/** What is stored of one person. */
export interface PersonRecordCounts {
	readonly limbs: number;
	readonly plans: number;
	readonly planVersions: number;
	readonly references: number;
	readonly sessions: number;
	readonly frames: number;
	readonly sets: number;
	/** Sessions with notes in subjective/objective/assessment/plan form. */
	readonly soapNotes: number;
	/** How pain was said to be before sittings. */
	readonly checkIns: number;
	/** Names of files beside the database, made before updates, that may still hold what is removed from it. */
	readonly keptCopies: readonly string[];
}

/** One set as it was stored. Times are seconds since the session's first frame (since its start where it has none). */
export interface SetRecord {
	readonly id: number;
	readonly sessionId: number;
	/** RFC 3339 with offset: when it was stored. */
	readonly storedAt: string;
	/** Which plan it was done for; null without a plan. */
	readonly planId: number | null;
	readonly planVersion: number | null;
	/** Place of the exercise in that version, from 0. */
	readonly itemIndex: number | null;
	/** As prescribed when it was done. */
	readonly item: PlanItem;
	/** 1 for the first of its exercise. */
	readonly set: number;
	readonly startSeconds: number;
	readonly endSeconds: number;
	/** Region that was counted in; null where the person counted. */
	readonly countedIn: string | null;
	/** `onset` and `offset` as above. */
	readonly repetitions: readonly Repetition[];
	/** Peak of each repetition in the summary's unit (percent of the reference, or the signal's own); empty where the
	 *  person counted. */
	readonly peaks: readonly number[];
	/** Null where the person counted. */
	readonly summary: SetSummary | null;
	readonly count: SetCount;
	/** The latest correction, else the automatic count, else the person's; null where none is known. */
	readonly countThatHolds: RepetitionCount | null;
	/** Asked before the exercise; null where not answered. */
	readonly painBefore: number | null;
	/** Null where the questions were left unanswered. */
	readonly answer: SetAnswer | null;
	readonly conditions: MeasuringConditions;
}

/** What a person said about pain before a sitting; 0 to 10. */
export interface CheckIn {
	/** RFC 3339 with offset. */
	readonly toldAt: string;
	/** Just now; null where not answered. */
	readonly now: number | null;
	/** On the morning after the sitting before; null where it was not asked. */
	readonly nextMorning: number | null;
}

/** What was told about the morning after a sitting. */
export interface NextMorning {
	/** RFC 3339 with offset. */
	readonly toldAt: string;
	/** 0 to 10 */
	readonly pain: number;
	readonly verdict: MorningVerdict;
}

export interface SoapNotes {
	readonly subjective: string;
	readonly objective: string;
	readonly assessment: string;
	readonly plan: string;
	/** RFC 3339 with offset. */
	readonly savedAt: string;
}

export interface SessionReview {
	readonly session: SessionSummary;
	/** Of the first set; null without sets. */
	readonly conditions: MeasuringConditions | null;
	readonly soap: SoapNotes | null;
	readonly sets: readonly SetRecord[];
	/** Those that the sets' engagement is a share of, newest first. */
	readonly references: readonly ReferenceRecord[];
	/** How it was measured, for the report. */
	readonly measured: {
		readonly limb: LimbSetup | null;
		readonly band: BandSetup | null;
		readonly board: string | null;
		readonly drives: readonly {
			readonly bandIndex: number;
			readonly electrodeCount: number;
			readonly drive: string;
			readonly terminals: "four-terminal" | "two-terminal";
			readonly readingCount: number;
			/** r.m.s. */
			readonly currentMilliamp: number;
			readonly frequencyHertz: number;
		}[];
		/** One for each model that computed region means. */
		readonly pictures: readonly {
			readonly bandIndex: number;
			readonly prior: "diagonal" | "laplace";
			readonly rule: "noise-figure" | "gcv" | "l-curve";
			/** Null where the rule chose it. */
			readonly lambdaByHand: number | null;
			readonly allowsMovement: boolean;
			readonly lambda: number;
			readonly noiseFigure: number;
			readonly unit: "S/m" | "relative";
			readonly algorithmVersion: string;
		}[];
		readonly baselines: readonly {
			readonly bandIndex: number;
			readonly takenAt: string;
			readonly seconds: number;
			readonly automatic: boolean;
		}[];
		readonly appVersion: string;
		/** The signal check that was done before it; null for none. */
		readonly check: CheckResult | null;
	};
	readonly quality: {
		readonly frames: number;
		readonly lost: number;
		readonly bad: Readonly<Record<string, number>>;
		/** Mean share of readings that could be used, 0 to 1; null without frames. */
		readonly usableShare: number | null;
		/** Per electrode, ohm: median over the session's contact checks; null where unreadable; empty for none. */
		readonly contacts: readonly (number | null)[];
	};
	/** Named moments: marks, gaps, faults, baselines. Seconds as in `SetRecord`. */
	readonly marks: readonly { readonly seconds: number; readonly label: string }[];
	/** Null where it was not asked or not answered. */
	readonly nextMorning: NextMorning | null;
	/** Against the person's session with sets before this one; null for the first. */
	readonly sincePrevious: {
		readonly sessionId: number;
		readonly startedAt: string;
		readonly unsafe: readonly UnsafeComparison[];
	} | null;
}

export const measureKinds = [
	"peak-engagement",
	"mean-engagement",
	"hold-seconds",
	"repetitions",
	"time-in-target",
	"time-to-peak",
	"medial-to-lateral",
	"co-contraction",
	"fatigue",
] as const;

export type MeasureKind = (typeof measureKinds)[number];

/** One measure of one exercise on one side over all sessions: each point is the mean over the session's sets. */
export interface MeasureProgress {
	/** Unlike all others of the person. */
	readonly id: string;
	readonly kind: MeasureKind;
	readonly exerciseId: string;
	readonly exerciseName: string;
	readonly side: "left" | "right";
	/** Such as `Peak engagement`. */
	readonly name: string;
	readonly unit: "%" | "S/m" | "s" | "repetitions" | "ratio" | "% per repetition";
	/** `day` counts from the person's first session with sets. */
	readonly points: readonly (ProgressPoint & {
		readonly sessionId: number;
		readonly startedAt: string;
		readonly sets: number;
		/** What the plan asked for, where the measure follows from it: only equal ones compare. */
		readonly asked: string | null;
	})[];
	/** How much it moves by itself, from neighbouring sessions; null with too few to tell. */
	readonly error: NeighbourError | null;
}

export interface Progress {
	readonly person: Person;
	/** RFC 3339 with offset, of the first session with sets; null before it. */
	readonly startedAt: string | null;
	readonly measures: readonly MeasureProgress[];
	/** ISO weeks, oldest first, over all plans; empty without one. */
	readonly adherence: readonly Adherence[];
	/** Over all of the present plan, to today; null without one. */
	readonly adherenceOverall: Adherence | null;
	readonly pain: {
		readonly points: readonly {
			readonly sessionId: number;
			readonly startedAt: string;
			readonly day: number;
			readonly before: number | null;
			/** The highest that was told after a set. */
			readonly worst: number | null;
			/** Of the morning after; null where it was not asked or not answered. */
			readonly nextMorning: NextMorning | null;
		}[];
		/** Of the worst pain, the mean of the last three sessions against the first three (of fewer sessions, the halves);
		 *  null with fewer than two. */
		readonly verdict: PainVerdict | null;
	};
	/** Borg CR10, per session. */
	readonly effort: readonly {
		readonly sessionId: number;
		readonly startedAt: string;
		readonly day: number;
		readonly mean: number;
		readonly highest: number;
	}[];
	/** Newest measurements of both sides; empty where not just one side is affected. Engagement in percent is a share of
	 *  each side's own reference, so no index is made of it. */
	readonly symmetry: readonly {
		readonly kind: MeasureKind;
		readonly exerciseId: string;
		readonly exerciseName: string;
		readonly unit: MeasureProgress["unit"];
		readonly involved: SideValue & { readonly sessionId: number };
		readonly uninvolved: SideValue & { readonly sessionId: number };
		readonly index: LimbSymmetry;
		/** Standard error of the index in points; null where that of either side is unknown. */
		readonly error: number | null;
	}[];
}

export interface AveragePicture {
	readonly geometryId: number;
	readonly nodeValues: readonly number[];
	/** How many frames it is the mean of. */
	readonly frames: number;
	/** Held time that it covers, s. */
	readonly seconds: number;
}

export interface ListedProfile {
	readonly profile: BoardProfile;
	/** Comes with the program: it can be used and copied, not changed. */
	readonly isShipped: boolean;
}

export interface SessionSummary {
	readonly id: number;
	readonly personId: number | null;
	readonly personCode: string | null;
	readonly title: string;
	readonly notes: string;
	/** RFC 3339 with offset. */
	readonly startedAt: string;
	readonly durationSeconds: number;
	readonly frameCount: number;
	readonly lostCount: number;
	readonly badCount: number;
	readonly simulated: boolean;
	/** `live` recorded here, `imported` read from a file. */
	readonly origin: "live" | "imported";
	readonly side: "left" | "right" | null;
	/** False when the app was killed while recording; what had arrived is there. */
	readonly closedCleanly: boolean;
}

/** What a picture packet's numbers are drawn on. Fixed for its id. */
export interface PictureGeometry {
	readonly geometryId: number;
	readonly bandIndex: number;
	/** [nNodes × 2] m, in the limb's axes (see `core/limb/limb.ts`). */
	readonly nodes: readonly number[];
	/** [nTriangles × 3] */
	readonly triangles: readonly number[];
	/** Closed skin line, m. */
	readonly skin: readonly Point[];
	readonly electrodes: readonly { readonly number: number; readonly arc: readonly Point[] }[];
	readonly regions: readonly {
		readonly id: string;
		readonly name: string;
		readonly tissue: "muscle" | "fat" | "bone";
		/** Takes part in trends; its position in `regionMeans`. Null for outlines that are only drawn. */
		readonly trendIndex: number | null;
		readonly outline: readonly Point[];
	}[];
	/** Null where left and right mean nothing (a tank). */
	readonly side: "left" | "right" | null;
	readonly unit: "S/m" | "relative";
	readonly prior: "diagonal" | "laplace";
	readonly rule: "noise-figure" | "gcv" | "l-curve";
	/** Null where the rule chose it. */
	readonly lambdaByHand: number | null;
	readonly allowsMovement: boolean;
	readonly lambda: number;
	readonly noiseFigure: number;
	/** Standard deviation of each trend region at rest, in `unit`; null before a baseline. */
	readonly regionNoise: readonly (number | null)[];
}

/**
 * What a volume picture's numbers are drawn on: a cross-section's triangles at each of several levels along the limb.
 * Node v of level k has number k · nodesPerLevel + v. Triangles of neighbouring levels make prisms; values go linearly
 * along their sides. Fixed for its id.
 */
export interface VolumePictureGeometry {
	readonly geometryId: number;
	/** [nLevels × nodesPerLevel × 2] x and y, m, in the limb's axes. */
	readonly nodes: readonly number[];
	readonly nodesPerLevel: number;
	/** [nLevels] m above the knee cap, ascending towards the hip. */
	readonly levels: readonly number[];
	/** [nTriangles × 3] nodes of a level, from 0. */
	readonly triangles: readonly number[];
	/** Nodes of a level on the skin, in their order. */
	readonly skin: readonly number[];
	/** [nTriangles] 0 for no region, i + 1 for the i-th. */
	readonly regionOf: readonly number[];
	/** [nFaces × 3] triangles of the skin under electrodes, nodes of all levels. */
	readonly electrodeFaces: readonly number[];
	/** [nFaces] electrode from 0, numbered band by band. */
	readonly electrodeOfFace: readonly number[];
	readonly regions: readonly {
		readonly id: string;
		readonly name: string;
		readonly tissue: "muscle" | "fat" | "bone";
		/** As in `PictureGeometry`. */
		readonly trendIndex: number | null;
	}[];
	/** Middles of the bands' electrodes, m above the knee cap. */
	readonly bandHeights: readonly number[];
	/** [bands] electrodes of each. */
	readonly electrodeCounts: readonly number[];
	readonly side: "left" | "right" | null;
	readonly unit: "S/m";
	readonly prior: "diagonal";
	readonly rule: "noise-figure" | "gcv" | "l-curve";
	readonly lambda: number;
	readonly noiseFigure: number;
}

/** Figures of merit of a small target on its way from the middle to the skin (Adler et al., Physiol. Meas. 30:S35, 2009; see
 *  `core/picture/figures-of-merit.ts`). Columns of equal length; null where nothing of the target is shown. */
export interface BandStudy {
	/** Whether a rest was taken with such a band: without, noise is left out of account. */
	readonly knowsNoise: boolean;
	/** Share of the way from the middle to the skin. */
	readonly place: readonly number[];
	readonly merit: Readonly<
		Record<
			"amplitude" | "positionError" | "resolution" | "shapeDeformation" | "ringing",
			readonly (number | null)[]
		>
	>;
	/** m, of the target. */
	readonly targetRadius: number;
	/** m, from the middle to the skin in that direction. */
	readonly reach: number;
	readonly regions: readonly {
		readonly id: string;
		readonly name: string;
		readonly grade: "well" | "poorly" | "not";
		/** What keeps it from being seen well; null where nothing does. */
		readonly trouble: "too-little" | "others-show-it" | "noise" | null;
		/** Its mean over the true change. */
		readonly share: number;
		/** The largest mean of another region over its own; null where its own is not above zero. */
		readonly leak: number | null;
		/** Its mean, for a change by a tenth, over that mean's standard deviation at rest; null where no noise is known. */
		readonly signalToNoise: number | null;
	}[];
	readonly map: {
		/** Of no stream: its number is 0. */
		readonly geometry: PictureGeometry;
		/** [nNodes] log₁₀ of how strongly the readings answer to a change there, over the strongest: 0 and below. */
		readonly values: readonly number[];
	};
}

export interface FatStudy {
	/** m, ascending: less, as entered, more. */
	readonly fatThickness: readonly number[];
	/** What each region's mean would be for one and the same contraction, S/m, for each thickness. */
	readonly regions: readonly {
		readonly id: string;
		readonly name: string;
		readonly means: readonly number[];
	}[];
}

export interface StrengthChoice {
	readonly geometryId: number;
	readonly rule: "noise-figure" | "gcv" | "l-curve";
	/** Null where the rule chose it. */
	readonly lambdaByHand: number | null;
	readonly lambda: number;
	readonly noiseFigure: number;
	/** λ that each rule would choose. */
	readonly choices: Readonly<Record<"noise-figure" | "gcv" | "l-curve", number>>;
	/** Columns of equal length, by λ ascending. */
	readonly curve: {
		readonly lambda: readonly number[];
		readonly noiseFigure: readonly number[];
		/** V(λ) of generalised cross-validation. */
		readonly crossValidation: readonly number[];
		/** The axes of the L-curve. */
		readonly residualNorm: readonly number[];
		readonly imageNorm: readonly number[];
	};
}

/** One frame at two strengths. */
export interface StrengthTrial {
	readonly geometryId: number;
	readonly unit: "S/m" | "relative";
	readonly inUse: { readonly nodeValues: readonly number[]; readonly regionMeans: readonly number[] };
	readonly tried: { readonly nodeValues: readonly number[]; readonly regionMeans: readonly number[] };
	readonly regions: readonly { readonly id: string; readonly name: string }[];
}

/** Columns of equal length; a gap is a null. Seconds are device time since the stream or session began. */
export interface Trends {
	readonly regions: readonly { readonly id: string; readonly name: string }[];
	readonly seconds: readonly number[];
	/** [region][sample] S/m or relative. */
	readonly values: readonly (readonly (number | null)[])[];
}

export interface ExportedFile {
	readonly fileName: string;
	readonly mediaType: string;
	readonly text: string;
}

/** A file that is being written out. One that nobody reads any more is put away when others are opened. */
export interface OpenExport {
	readonly exportId: number;
	readonly fileName: string;
	readonly mediaType: string;
}

export interface ExportPiece {
	/** Empty after the last piece. */
	readonly text: string;
	/** Nothing follows. */
	readonly isLast: boolean;
	/** Of the work that is done by now, 0 to 1. */
	readonly share: number;
}

/** A set whose questions were left unanswered: by leaving, or because the app was ended. */
export interface UnansweredSet {
	readonly setId: number;
	readonly exerciseName: string;
	readonly side: "left" | "right";
	/** 1 for the first of its exercise. */
	readonly set: number;
}

/** What a plan asks for on a day, and how it has gone. */
export interface Today {
	/** Null without a plan. */
	readonly plan: DayPlan | null;
	/** One for each item of the day's version: how many of its sets are done today. */
	readonly setsDone: readonly number[];
	/** One for each item: whether pain has ended that exercise for today. */
	readonly isEnded: readonly boolean[];
	/** The oldest set of the day that was left without answers; null for none. Nothing starts before it has them. */
	readonly unanswered: UnansweredSet | null;
	/** Of the last 28 days or since the plan began, today included; null without a plan. */
	readonly adherence: Adherence | null;
	/** Days in a row; see `streakOf`. */
	readonly streak: number;
	/** Whether to ask how much it hurt on the morning after the last sitting. */
	readonly asksNextMorning: boolean;
	/** Why today's exercise is over although some is left; null if it goes on. */
	readonly over: NextStep | null;
	/** Whether this person has acknowledged the present cautions, without which nothing starts. */
	readonly cautionsAcknowledged: boolean;
}

export interface Replies {
	getState: AppState;
	acknowledgeCautions: null;
	listPorts: { readonly ports: readonly PortInfo[]; readonly note: string | null };
	connect: null;
	disconnect: null;
	listProfiles: readonly ListedProfile[];
	saveProfile: BoardProfile;
	deleteProfile: null;
	captureLines: { readonly text: string };
	playLog: null;
	sendCommand: null;
	startCheck: null;
	passOverCheck: null;
	stopCheck: null;
	rangeAgain: null;
	setCurrentLimit: null;
	takeBaseline: null;
	setPrior: null;
	setRestFollowing: null;
	studyBand: BandStudy;
	studyFat: FatStudy;
	getStrength: StrengthChoice;
	tryStrength: StrengthTrial;
	selectBand: null;
	listPeople: readonly Person[];
	savePerson: Person;
	getPerson: PersonRecord;
	savePersonDetails: null;
	acknowledgeForPerson: null;
	countPersonRecords: PersonRecordCounts;
	deletePerson: PersonRecordCounts;
	exportPerson: ExportedFile;
	importPerson: { readonly personId: number };
	listExercises: readonly Exercise[];
	saveExercise: Exercise;
	savePlan: Plan;
	endPlan: Plan;
	listSets: readonly SetRecord[];
	correctSet: SetRecord;
	saveSoap: SoapNotes;
	getSessionReview: SessionReview;
	getSessionTrends: Trends;
	getProgress: Progress;
	getAveragePicture: AveragePicture;
	setUp: null;
	startRecording: { readonly sessionId: number };
	stopRecording: { readonly sessionId: number };
	listSessions: { readonly total: number; readonly sessions: readonly SessionSummary[] };
	saveSessionNotes: null;
	exportSession: OpenExport;
	readExport: ExportPiece;
	importRecording: { readonly sessionId: number };
	openReplay: null;
	controlReplay: null;
	closeReplay: null;
	getReplayTrends: Trends;
	getGeometry: PictureGeometry;
	getLiveTrends: Trends;
	startVolume: null;
	stopVolume: null;
	getVolumeGeometry: VolumePictureGeometry;
	getVolumeTrends: Trends;
	wearBand: null;
	startReference: null;
	stopReference: null;
	tellPain: null;
	startExercise: null;
	controlExercise: null;
	answerSet: NextStep;
	answerLeftSet: NextStep;
	leaveExercise: null;
	getToday: Today;
	enterHome: null;
	leaveHome: null;
	openDemo: null;
	cancelDemo: null;
	closeDemo: null;
}

export type Reply<K extends RequestName> = Result<Replies[K], Fault>;

// ---- State pushed by the app --------------------------------------------------------------------------------

export type LinkState =
	| { readonly state: "idle" }
	| { readonly state: "opening"; readonly label: string }
	| { readonly state: "waiting-for-board"; readonly label: string }
	| { readonly state: "streaming"; readonly label: string }
	| { readonly state: "stopped"; readonly label: string }
	| {
			readonly state: "reconnecting";
			readonly label: string;
			readonly attempt: number;
			readonly fault: Fault;
	  }
	| { readonly state: "failed"; readonly label: string; readonly fault: Fault };

export interface LinkQuality {
	readonly framesPerSecond: number;
	readonly frames: number;
	/** Found by gaps in sequence numbers. */
	readonly lost: number;
	/** Came a tenth of a second and more after they should have. */
	readonly late: number;
	/** Of the board's clock against the computer's, parts per million, above zero when it runs fast; null until it has been
	 *  followed for a while. Times of trends are the board's. */
	readonly clockDriftPpm: number | null;
	/** Lines that were skipped, by cause. */
	readonly bad: Readonly<Record<string, number>>;
	/** dB, median over readings at rest; null before a baseline. */
	readonly signalToNoiseDecibel: number | null;
	/** Median reciprocity error, percent; null where the pattern has no reciprocal pairs. */
	readonly reciprocityPercent: number | null;
	readonly overall: "good" | "fair" | "poor" | "unknown";
	readonly reason: string;
}

export interface BoardState {
	readonly board: string;
	readonly firmware: string;
	readonly serial: string;
	readonly simulated: boolean;
	readonly bandCount: number;
	/** The band that is looked at: what follows, and contacts, are its. */
	readonly bandIndex: number;
	readonly electrodeCount: number;
	readonly pattern: string;
	readonly readingCount: number;
	/** r.m.s. */
	readonly currentMilliamp: number;
	readonly currentLimitMilliamp: number;
	readonly frequencyHertz: number;
	readonly gain: number;
	readonly batteryPercent: number | null;
}

export interface BaselineState {
	readonly takenAt: string;
	readonly seconds: number;
	readonly frames: number;
	/** True for the one the app takes by itself when a stream begins. */
	readonly automatic: boolean;
	readonly ageSeconds: number;
}

/** What pictures are made without just now. */
export interface LeftOutState {
	readonly electrodes: readonly {
		/** From 1. */
		readonly number: number;
		readonly sign: FaultSign;
		/** It was off when rest was taken: it comes back with the next rest. */
		readonly isSinceRest: boolean;
	}[];
	/** How many readings are at the converter's limit or missing. */
	readonly readings: number;
	/** Of all readings, 0 to 1. */
	readonly share: number;
	/** What is left is enough for region means to be believed. */
	readonly isTrustworthy: boolean;
}

/** What is to be known about lines of region means, in their seconds. */
export interface TrendMarks {
	/** Spans in which some readings failed, oldest first; `to` null while one lasts. */
	readonly leftOut: readonly {
		readonly from: number;
		/** Lines are without those readings from here on; between `from` and here they are wrong. */
		readonly rightFrom: number;
		readonly to: number | null;
		/** Numbers from 1. */
		readonly electrodes: readonly number[];
		readonly isTrustworthy: boolean;
	}[];
	/** From when on changes are counted from another rest. */
	readonly rests: readonly number[];
	/** From when on they are counted from the same rest, moved by the drift since. */
	readonly followed: readonly number[];
}

export interface ReplayState {
	readonly session: SessionSummary;
	readonly durationSeconds: number;
	readonly positionSeconds: number;
	readonly playing: boolean;
	readonly speed: number;
	/** Named moments: baselines, gaps, frames of an imported file. */
	readonly marks: readonly { readonly seconds: number; readonly label: string }[];
	/** At the frame that is shown; null where nothing is left out. */
	readonly leftOut: LeftOutState | null;
	readonly trendMarks: TrendMarks;
}

export interface ReferenceState {
	readonly personId: number;
	/** Muscles that it aims at; only their regions get a reference of it. */
	readonly target: ReferenceTarget;
	readonly view: ReferenceView;
	/** What each region gave, once it is done. */
	readonly result:
		| readonly {
				readonly regionId: string;
				readonly name: string;
				readonly reference: RegionReference;
		  }[]
		| null;
	/** Under which it was stored; null before, and when it could not be. */
	readonly referenceId: number | null;
	/** Why it was broken off, could not be measured or could not be stored. */
	readonly fault: Fault | null;
}

export interface ExerciseState {
	readonly personId: number;
	readonly planVersion: number;
	readonly itemIndex: number;
	readonly item: PlanItem;
	/** Id of the region that is counted in; null where the person counts. */
	readonly countedIn: string | null;
	/** The reference that the counted region's engagement is a share of; null where it is shown in raw units. */
	readonly referenceId: number | null;
	readonly view: CoachView;
	/** Of this exercise; the last one has no answers while the questions are open. */
	readonly results: readonly SetResult[];
	/** What the latest answers lead to. */
	readonly nextStep: NextStep | null;
	/** `link`: nothing came from the band any more; `band`: too many of its electrodes fail. Going on is the person's
	 *  decision. */
	readonly pausedBy: "person" | "link" | "band" | null;
	/** The session that is recorded around the sitting; null once it is closed. */
	readonly sessionId: number | null;
	/** Why the latest set could not be stored. It is tried again with every set that follows and when leaving. */
	readonly fault: Fault | null;
}

/** Whose records are open. */
export interface RecordsState {
	/** Rises whenever other records are opened: what a page knew of people and sessions is void then. */
	readonly number: number;
	/** Everybody in them is invented. */
	readonly isDemo: boolean;
	/** Whether `closeDemo` leads back to own records. */
	readonly hasOwnBehind: boolean;
}

export interface DemoState {
	readonly isMade: boolean;
	/** `share` 0 to 1; `who` is being made; null while none is made. */
	readonly making: { readonly share: number; readonly who: string } | null;
	/** Why the last one could not be made or opened. */
	readonly fault: Fault | null;
}

/** Volume pictures of all bands together: live ones, or those of the session that is open in replay. */
export type VolumeState =
	/** Not asked for. */
	| { readonly state: "off" }
	/** Asked for, but something is missing; it goes on by itself. */
	| { readonly state: "waiting"; readonly for: "bands" | "places" | "rest" }
	/** `share` of the work, 0 to 1. */
	| { readonly state: "preparing"; readonly step: string; readonly share: number }
	/** `seconds`: how long that took; `wasKept`: it had been made before. */
	| {
			readonly state: "ready";
			readonly geometryId: number;
			readonly seconds: number;
			readonly wasKept: boolean;
			/** Standard deviation of each trend region's mean at rest, S/m. */
			readonly regionNoise: readonly number[];
			/** [bands] electrodes, from 1, that pictures are made without. */
			readonly leftOut: readonly (readonly number[])[];
			/** Enough is left of every band for means to be believed. */
			readonly isTrustworthy: boolean;
			/** Bands that lost their place against each other since the rest; of live pictures only. */
			readonly slips?: readonly BandSlip[];
	  }
	/** Of a stored session: what its record lacks does not come any more. */
	| { readonly state: "impossible"; readonly missing: VolumeGap }
	| { readonly state: "failed"; readonly fault: Fault };

/** What a stored session's record lacks for volumes: it is of no limb, of fewer bands than its board has, it does not tell
 *  where several bands sat, or a band has no rest. */
export type VolumeGap = "limb" | "bands" | "places" | "rest";

/** Why current and gain are to be set anew. */
export type RangingCause = "asked" | "clipping" | "limb-changed" | "limit-changed";

export interface CheckState {
	/** A band streams with which no check has been done today on this limb. */
	readonly isDue: boolean;
	/** The one that runs, or the last one; null before the first, and once the band was put on anew. */
	readonly run: {
		readonly isRunning: boolean;
		readonly steps: readonly CheckStep[];
		/** Whether one may go on although it stopped. */
		readonly mayPassOver: boolean;
	} | null;
	/** The last check that came to its end, with this band on this limb today. */
	readonly last: CheckResult | null;
	readonly ranging: {
		/** Running just now. */
		readonly isRunning: boolean;
		/** Worth doing, but somebody should say so: a recording or somebody's work would be touched. */
		readonly proposal: RangingCause | null;
		/** What it chose last, and what made it do so. */
		readonly last: {
			readonly cause: RangingCause;
			/** RFC 3339 with offset. */
			readonly at: string;
			readonly bands: readonly BandDrive[];
		} | null;
	};
}

export interface AppState {
	readonly appVersion: string;
	readonly records: RecordsState;
	/** The demo clinic that can be opened from here; null where none can. */
	readonly demo: DemoState | null;
	/** Where records are kept, as shown to people. */
	readonly dataFolder: string;
	readonly storeFault: Fault | null;
	readonly cautions: { readonly version: number; readonly acknowledged: boolean };
	readonly link: LinkState;
	readonly source: SourceChoice | null;
	readonly board: BoardState | null;
	readonly quality: LinkQuality;
	/** Per electrode of the selected band: contact impedance (ohm) where the board reports it, and a verdict. */
	readonly contacts: readonly {
		readonly ohm: number | null;
		readonly verdict: "good" | "fair" | "poor" | "off" | "unknown";
	}[];
	/** Of the selected band; null where nothing is left out. */
	readonly leftOut: LeftOutState | null;
	/** Of the live trends. */
	readonly trendMarks: TrendMarks;
	readonly check: CheckState;
	/** The largest current that is allowed at any frequency, r.m.s. */
	readonly currentLimit: { readonly milliamp: number; readonly isLowered: boolean };
	readonly setup: {
		readonly person: Person | null;
		readonly limb: LimbSetup;
		readonly band: BandSetup;
		/** As they were entered; else those of the simulated bands; null where none are known. */
		readonly places: readonly BandPlace[] | null;
	};
	readonly picture:
		| { readonly state: "none" }
		| { readonly state: "preparing"; readonly step: string }
		| { readonly state: "ready"; readonly geometryId: number; readonly bandIndex: number }
		| { readonly state: "failed"; readonly fault: Fault };
	readonly volume: VolumeState;
	/** The one that was taken last, whatever has been followed since. */
	readonly baseline: BaselineState | null;
	readonly followsRest: boolean;
	readonly takingBaseline: { readonly secondsLeft: number } | null;
	readonly recording: {
		readonly sessionId: number;
		readonly title: string;
		readonly startedAt: string;
		readonly frames: number;
		/** Serial number of the board that it is of, while another one is connected: nothing of that is recorded. */
		readonly waitsFor: string | null;
	} | null;
	readonly replay: ReplayState | null;
	/** Null when none was begun since the last was put away. */
	readonly reference: ReferenceState | null;
	/** The exercise that runs, or the last one of the sitting, until it is left. */
	readonly exercise: ExerciseState | null;
	/** What was told about pain for the sitting that is begun or going on; null once it is left. */
	readonly checkIn: {
		readonly personId: number;
		readonly painBefore: number | null;
		readonly advice: MorningAdvice;
	} | null;
	/** Home mode; null at the clinic. */
	readonly home: {
		readonly personId: number;
		readonly displayName: string | null;
		/** Whether a PIN is needed to end it. */
		readonly needsPin: boolean;
	} | null;
}

// ---- The pipe: one per page, the same over Electron's MessagePort and the loopback socket --------------------
//
// Loopback: `new WebSocket("ws://" + location.host + "/pipe")`; `ToApp` and `ToRenderer` travel as JSON text, picture
// packets as binary messages (set `binaryType = "arraybuffer"`).
// Electron: the preload script hands the page one MessagePort, by `window.postMessage("tautline-port", origin, [port])`
// after the page has called `window.tautline.openPipe()`; `window.tautline` is missing in a browser. The page takes the
// port only from an event whose `source` is `window`, once. `ToApp` and `ToRenderer` travel as objects, picture packets
// as ArrayBuffers.
// On both, the app sends one `state` message as soon as the pipe is open.

export type ToApp =
	| {
			readonly type: "request";
			readonly id: number;
			readonly name: RequestName;
			readonly argument: unknown;
			/** `AppState.records.number` that the page asks about: others have been opened if it is not the present one. */
			readonly records?: number | undefined;
	  }
	| { readonly type: "abort"; readonly id: number }
	/** A picture packet has been drawn: the app keeps at most two undrawn ones under way and drops older ones. */
	| { readonly type: "drawn"; readonly sequence: number }
	/** Which pictures the page shows from now on: only those are sent. Sections until it says otherwise. */
	| { readonly type: "watch"; readonly what: "sections" | "volume" };

/** Besides these, the app sends picture packets as binary messages (`core/wire/picture-packet.ts`). */
export type ToRenderer =
	| { readonly type: "reply"; readonly id: number; readonly reply: Result<unknown, Fault> }
	| { readonly type: "state"; readonly state: AppState };
