/**
 * A person's record as one JSON document (RFC 8259), to be kept or read on another computer. It holds everything but
 * the display name, which stays where it was typed. Ids count within the file. Times and units are those of the tables
 * (see the migrations); typed arrays are base64 (RFC 4648) of their little-endian bytes. Readings are the blobs of the
 * frames as they were stored, joined, compressed (RFC 1952) and in base64, in pieces.
 */
import { z } from "zod";
import { isCalendarDay } from "../../core/exercise/calendar-day.ts";
import { exerciseSchema } from "../../core/exercise/exercise.ts";
import { planSchema } from "../../core/exercise/plan.ts";
import { setCountSchema } from "../../core/exercise/set-record.ts";
import { redFlags } from "../../core/exercise/stop-rules.ts";
import { bandSetupSchema, isPlainLine, limbSetupSchema } from "../contract.ts";
import { protocolSchema, referenceRegionsSchema } from "./references.ts";
import { boardSchema } from "./session-records.ts";
import { answerSchema, itemSchema, repetitionsSchema, summarySchema } from "./set-columns.ts";

export const PERSON_FILE_FORMAT = "tautline-person";
/** Rises when a reader of the present one would misread a new file. */
export const PERSON_FILE_VERSION = 1;

const id = z.int("an id").positive("an id");
const text = z.string("text").max(100_000, "at most 100000 characters");
const time = z.string("a time").refine(isMoment, "a time such as 2025-03-04T09:15:30+01:00");
const count = z.int("a whole number").min(0, "at least 0");
const number = z.number("a number");
const base64 = z.base64("base64");
const prior = z.enum(["diagonal", "laplace"], "diagonal or laplace");
const rule = z.enum(["noise-figure", "gcv", "l-curve"], "a rule");
const unit = z.enum(["S/m", "relative"], "S/m or relative");
/** ms since the epoch, up to the year 9999. */
const createdMs = count.max(253_402_300_799_999, "a time before the year 10000");
/** What is kept as it is. */
const json = z
	.unknown()
	.refine((value) => isShallow(value, 64), "at most 64 lists or objects within one another");
const side = z.enum(["left", "right"], "left or right");

const conditionsSchema = z.object({
	bandId: id,
	bandLevel: number,
	firstElectrodeDegrees: number,
	side,
	circumferenceMetre: number.positive("a length"),
	referenceId: id.nullable(),
	// files that were written before these were kept can be read all the same
	hamstringReferenceId: id.nullable().default(null),
	drive: text.nullable().default(null),
	regularisation: text.nullable().default(null),
	frequencyHertz: number,
	currentMilliamp: number,
	softwareVersion: text,
	simulated: z.boolean("true or false"),
});

const configurationSchema = z.object({
	id,
	bandIndex: z.int("a band").min(0).max(3),
	configuration: count,
	electrodeCount: z.int("a number of electrodes").min(2).max(64),
	drive: text,
	terminals: z.enum(["four-terminal", "two-terminal"], "four-terminal or two-terminal"),
	currentMilliamp: number,
	frequencyHertz: number,
	gain: number,
	voltsPerUnit: number,
	fullScale: number,
	/** uint16 */
	pattern: base64,
	/** float64 */
	readingCurrentAmpere: base64.nullable(),
});

const baselineSchema = z.object({
	bandIndex: z.int("a band").min(0).max(3),
	fromOrdinal: count,
	configurationId: id,
	takenAt: time,
	seconds: number,
	frameCount: count,
	automatic: z.boolean("true or false"),
	/** float64, as readings */
	median: base64,
	noise: base64,
});

const seriesSchema = z.object({
	id,
	bandIndex: z.int("a band").min(0).max(3),
	algorithmVersion: text,
	prior,
	rule,
	lambdaByHand: number.positive("above zero").nullable().default(null),
	allowsMovement: z.boolean("true or false").default(false),
	lambda: number,
	noiseFigure: number,
	unit,
	regions: z.array(z.object({ id: text, name: text })).max(200, "at most 200 regions"),
	/** uint32 frame ordinals, float64 seconds, float32 means */
	batches: z.array(z.object({ ordinals: base64, seconds: base64, means: base64 })),
});

const eventSchema = z.object({
	kind: z.enum(["gap", "fault", "command", "mark", "link", "status", "left-out", "check"], "a kind of event"),
	at: time,
	ordinal: count,
	label: text,
	detail: json,
});

const contactsSchema = z.object({
	bandIndex: z.int("a band").min(0).max(3),
	at: time,
	ordinal: count,
	/** float64, ohm */
	ohm: base64,
});

/** A run of frames as columns of equal length. */
export const framePieceSchema = z
	.object({
		bandIndex: z.array(z.int("a band").min(0).max(3)),
		sequence: z.array(count),
		timeMicros: z.array(count),
		receivedAt: z.array(number),
		lostBefore: z.array(count),
		configurationId: z.array(id),
		quality: z.array(number.min(0, "at least 0").max(1, "at most 1")),
		/** Of each frame's blob. */
		readingBytes: z.array(
			z
				.int("a number of bytes")
				.min(2)
				.max(1 << 20),
		),
		readings: base64,
	})
	.refine(
		({ readings: _, ...columns }) =>
			new Set(Object.values(columns).map((column) => column.length)).size === 1,
		"columns of one length",
	);

const knownAnswer = answerSchema.refine(
	({ symptoms }) => symptoms.every((symptom) => redFlags.some((flag) => flag.id === symptom)),
	{ path: ["symptoms"], message: "symptoms that this version asks for" },
);

const setSchema = z.object({
	storedAt: time,
	plan: z.object({ planId: id, version: id, itemIndex: count }).nullable(),
	item: itemSchema,
	set: id,
	start: number,
	end: number,
	countedIn: text.nullable(),
	repetitions: repetitionsSchema,
	summary: summarySchema.nullable(),
	count: setCountSchema,
	painBefore: number.min(0).max(10).nullable(),
	answer: knownAnswer.nullable(),
	conditions: conditionsSchema,
});

const checkInSchema = z.object({
	toldAt: time,
	now: number.min(0).max(10).nullable(),
	nextMorning: number.min(0).max(10).nullable(),
});

const soapSchema = z.object({
	subjective: text,
	objective: text,
	assessment: text,
	plan: text,
	savedAt: time,
});

const sessionSchema = z.object({
	id,
	limbId: id.nullable(),
	bandId: id.nullable(),
	origin: z.enum(["live", "imported"], "live or imported"),
	simulated: z.boolean("true or false"),
	title: text,
	notes: text,
	appVersion: text,
	algorithmVersion: text,
	prior,
	rule,
	lambdaByHand: number.positive("above zero").nullable().default(null),
	allowsMovement: z.boolean("true or false").default(false),
	/** As the board said it, null for an imported recording. */
	board: boardSchema.nullable(),
	currentLimitMilliamp: number.nullable(),
	setup: json,
	startedAt: time,
	endedAt: time.nullable(),
	closedCleanly: z.boolean("true or false"),
	frameCount: count,
	firstTimeMicros: count.nullable(),
	durationMicros: count,
	lostCount: count,
	badCount: count,
	badByCause: z.record(z.string(), count),
	configurations: z.array(configurationSchema),
	baselines: z.array(baselineSchema),
	series: z.array(seriesSchema),
	events: z.array(eventSchema),
	contacts: z.array(contactsSchema),
	frames: z.array(framePieceSchema),
	sets: z.array(setSchema),
	soap: soapSchema.nullable(),
});

/** Whatever refers to an id must find one thing. */
function eachOnce<T extends z.ZodType<{ readonly id: number }>>(record: T) {
	return z
		.array(record, "a list")
		.refine((all) => new Set(all.map((one) => one.id)).size === all.length, "ids, each once");
}

function isMoment(text: string): boolean {
	const match = /^(.{10})T([01]\d|2[0-3]):[0-5]\d:[0-5]\d(\.\d+)?(Z|[+-]\d{2}:\d{2})$/.exec(text);
	return match !== null && isCalendarDay(match[1]!);
}

function isShallow(value: unknown, most: number): boolean {
	if (typeof value !== "object" || value === null) return true;
	return most > 0 && Object.values(value).every((inner) => isShallow(inner, most - 1));
}

const fileShape = {
	format: z.literal(PERSON_FILE_FORMAT, `"${PERSON_FILE_FORMAT}": a person's record of Tautline`),
	schemaVersion: z.literal(
		PERSON_FILE_VERSION,
		`version ${PERSON_FILE_VERSION}: a newer file needs a newer Tautline`,
	),
	exportedBy: text,
	exportedAt: time,
	person: z.object({
		recordKey: z.string("a key").regex(/^[0-9a-f]{32}$/, "32 hexadecimal digits"),
		code: z
			.string("a code")
			.trim()
			.min(1, "a code")
			.max(40, "at most 40 characters")
			.refine(isPlainLine, "a code without control characters"),
		affectedSide: z.enum(["left", "right", "both", "none"], "left, right, both or none"),
		goals: z.string("text").max(4000, "at most 4000 characters"),
		archived: z.boolean("true or false"),
		cautionsVersion: id.nullable(),
		cautionsAcknowledgedAt: time.nullable(),
		createdMs,
	}),
	bands: eachOnce(z.object({ id, createdMs, setup: bandSetupSchema })),
	limbs: eachOnce(z.object({ id, createdMs, setup: limbSetupSchema })),
	/** Own exercises that the plans hold. */
	exercises: z.array(exerciseSchema),
	plans: eachOnce(z.object({ id, plan: planSchema })),
	references: eachOnce(
		z.object({
			id,
			takenAt: time,
			protocol: protocolSchema,
			unit,
			regions: referenceRegionsSchema,
			conditions: conditionsSchema,
		}),
	),
	/** In the order told. */
	checkIns: z.array(checkInSchema).default([]),
	sessions: eachOnce(sessionSchema),
};

export const personFileSchema = z.object(fileShape, "a person's record of Tautline");

export type PersonFile = z.infer<typeof personFileSchema>;
export type SessionInFile = PersonFile["sessions"][number];
export type FramePiece = z.infer<typeof framePieceSchema>;
