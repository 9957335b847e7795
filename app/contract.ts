/**
 * Everything that crosses between `app` and `renderer`, declared once: requests (name → argument and reply),
 * the state that the app pushes on every change, and the picture stream (`core/wire/picture-packet.ts`).
 * Arguments are validated on arrival with the schemas below; replies are `Result`s and never thrown across.
 */
import { z } from "zod";
import type { Point } from "../core/limb/limb.ts";
import type { Result } from "../core/result.ts";

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
	| { readonly kind: "port-failed"; readonly path: string; readonly detail: string }
	| { readonly kind: "not-our-protocol"; readonly path: string; readonly bytesSeen: number }
	| { readonly kind: "no-data"; readonly path: string }
	| { readonly kind: "not-connected" }
	| { readonly kind: "board-refused"; readonly command: string; readonly reason: string }
	| { readonly kind: "board-silent"; readonly command: string }
	| {
			readonly kind: "over-current-limit";
			readonly reportedMilliamp: number;
			readonly limitMilliamp: number;
			readonly frequencyHertz: number;
	  }
	| { readonly kind: "no-baseline" }
	| { readonly kind: "baseline-not-steady"; readonly driftPercent: number }
	| { readonly kind: "cautions-not-acknowledged" }
	| { readonly kind: "already-recording" }
	| { readonly kind: "not-recording" }
	| {
			readonly kind: "no-such-record";
			readonly what: "person" | "limb" | "band" | "session";
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
	| { readonly kind: "cancelled" }
	| { readonly kind: "internal"; readonly detail: string };

// ---- Schemas of arguments -----------------------------------------------------------------------------------

const id = z.int().positive();
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

export const scenarioNames = [
	"tour",
	"rest",
	"quad-sets",
	"leg-raises",
	"fatigue",
	"slippage",
	"poor-contact",
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
]);

export const requestSchemas = {
	/** What is happening now; also pushed on every change. */
	getState: z.null(),
	acknowledgeCautions: z.object({ version: z.int().positive() }),
	listPorts: z.null(),
	connect: sourceSchema,
	disconnect: z.null(),
	sendCommand: z.discriminatedUnion("command", [
		z.object({ command: z.literal("set-current"), milliamp: z.number().min(0).max(10) }),
		z.object({ command: z.literal("set-frequency"), hertz: z.number().min(1000).max(1_000_000) }),
		z.object({ command: z.literal("set-gain"), gain: z.number().min(0.01).max(10000) }),
		z.object({ command: z.literal("contact-check") }),
		z.object({ command: z.literal("start") }),
		z.object({ command: z.literal("stop") }),
	]),
	/** Takes the next `seconds` as rest: median frame and noise per reading. */
	takeBaseline: z.object({ seconds: z.number().min(1).max(30) }),
	setPrior: z.object({
		prior: z.enum(["diagonal", "laplace"]),
		rule: z.enum(["noise-figure", "gcv", "l-curve"]),
	}),
	/** Which band's picture is streamed. */
	selectBand: z.object({ bandIndex: z.int().min(0).max(3) }),

	listPeople: z.null(),
	savePerson: z.object({
		id: id.nullable(),
		code: z.string().trim().min(1).max(40),
		displayName: z.string().trim().max(80).nullable(),
		affectedSide: z.enum(["left", "right", "both", "none"]),
	}),
	/** Whom and what the next recording belongs to; stored as a new limb/band record when it differs. */
	setUp: z.object({ personId: id.nullable(), limb: limbSetupSchema, band: bandSetupSchema }),

	startRecording: z.object({ title: z.string().trim().max(120) }),
	stopRecording: z.null(),
	listSessions: z.object({ personId: id.nullable(), offset: z.int().min(0), limit: z.int().min(1).max(200) }),
	saveSessionNotes: z.object({
		sessionId: id,
		title: z.string().trim().max(120),
		notes: z.string().max(20_000),
	}),
	exportSession: z.object({ sessionId: id, format: z.enum(["csv", "json"]) }),
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
	/** Region means of the whole session open in replay, thinned to at most `points` per region keeping extremes. */
	getReplayTrends: z.object({ points: z.int().min(10).max(20_000) }),
	/** Geometry that picture packets refer to. */
	getGeometry: z.object({ geometryId: z.int().positive() }),
	/** Region means of the live stream so far, for a page that opens late. */
	getLiveTrends: z.object({ seconds: z.number().min(1).max(7200) }),
} as const;

export type RequestName = keyof typeof requestSchemas;
export type RequestArgument<K extends RequestName> = z.infer<(typeof requestSchemas)[K]>;
export type LimbSetup = z.infer<typeof limbSetupSchema>;
export type BandSetup = z.infer<typeof bandSetupSchema>;
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
	readonly lambda: number;
	readonly noiseFigure: number;
	/** Standard deviation of each trend region at rest, in `unit`; null before a baseline. */
	readonly regionNoise: readonly (number | null)[];
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

export interface Replies {
	getState: AppState;
	acknowledgeCautions: null;
	listPorts: { readonly ports: readonly PortInfo[]; readonly note: string | null };
	connect: null;
	disconnect: null;
	sendCommand: null;
	takeBaseline: null;
	setPrior: null;
	selectBand: null;
	listPeople: readonly Person[];
	savePerson: Person;
	setUp: null;
	startRecording: { readonly sessionId: number };
	stopRecording: { readonly sessionId: number };
	listSessions: { readonly total: number; readonly sessions: readonly SessionSummary[] };
	saveSessionNotes: null;
	exportSession: ExportedFile;
	importRecording: { readonly sessionId: number };
	openReplay: null;
	controlReplay: null;
	closeReplay: null;
	getReplayTrends: Trends;
	getGeometry: PictureGeometry;
	getLiveTrends: Trends;
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

export interface ReplayState {
	readonly session: SessionSummary;
	readonly durationSeconds: number;
	readonly positionSeconds: number;
	readonly playing: boolean;
	readonly speed: number;
	/** Named moments: baselines, gaps, frames of an imported file. */
	readonly marks: readonly { readonly seconds: number; readonly label: string }[];
}

export interface AppState {
	readonly appVersion: string;
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
	readonly setup: { readonly person: Person | null; readonly limb: LimbSetup; readonly band: BandSetup };
	readonly picture:
		| { readonly state: "none" }
		| { readonly state: "preparing"; readonly step: string }
		| { readonly state: "ready"; readonly geometryId: number; readonly bandIndex: number }
		| { readonly state: "failed"; readonly fault: Fault };
	readonly baseline: BaselineState | null;
	readonly takingBaseline: { readonly secondsLeft: number } | null;
	readonly recording: {
		readonly sessionId: number;
		readonly title: string;
		readonly startedAt: string;
		readonly frames: number;
	} | null;
	readonly replay: ReplayState | null;
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
	| { readonly type: "request"; readonly id: number; readonly name: RequestName; readonly argument: unknown }
	| { readonly type: "abort"; readonly id: number }
	/** A picture packet has been drawn: the app keeps at most two undrawn ones under way and drops older ones. */
	| { readonly type: "drawn"; readonly sequence: number };

/** Besides these, the app sends picture packets as binary messages (`core/wire/picture-packet.ts`). */
export type ToRenderer =
	| { readonly type: "reply"; readonly id: number; readonly reply: Result<unknown, Fault> }
	| { readonly type: "state"; readonly state: AppState };
