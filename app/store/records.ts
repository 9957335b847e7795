/** What the store keeps, as the rest of the app sees it. Records that were read are immutable. */
import type { BoardIdentity, DriveConfiguration } from "../../core/wire/frame.ts";
import type { BandSetup, LimbSetup, SessionSummary } from "../contract.ts";

export type Prior = "diagonal" | "laplace";
export type Rule = "noise-figure" | "gcv" | "l-curve";

/** How pictures are made, as far as somebody chose it. */
export interface StoredPictureSettings {
	readonly prior: Prior;
	readonly rule: Rule;
	/** λ that was set by hand; null, or left out, where the rule chose it. */
	readonly lambdaByHand?: number | null | undefined;
	/** Whether movement of the skin was told apart from a change of conductivity; not where left out. */
	readonly allowsMovement?: boolean | undefined;
}

/** As they were stored: nothing is left out. */
export interface KnownPictureSettings extends StoredPictureSettings {
	readonly lambdaByHand: number | null;
	readonly allowsMovement: boolean;
}

/** A drive configuration with the pattern spelled out, so that a record can be read without our pattern names. */
export interface NewConfiguration extends DriveConfiguration {
	/** [nReadings × 4] source, sink, plus, minus electrode, counted from 0, as in `ReadingPattern`. */
	readonly pattern: Uint16Array;
	/** [nReadings] A (A per metre of height in a 2D set-up) where readings differ in current; null where
	 *  `currentMilliamp` holds for all. */
	readonly readingCurrentAmpere: Float64Array | null;
}

/** A board may give one number to two configurations in turn; `id` is unique within the session. */
export interface StoredConfiguration extends NewConfiguration {
	readonly id: number;
}

/** Settings in force when a recording starts. */
export interface NewSession extends StoredPictureSettings {
	readonly personId: number | null;
	readonly limbId: number | null;
	readonly bandId: number | null;
	readonly title: string;
	/** RFC 3339 with offset. */
	readonly startedAt: string;
	readonly board: BoardIdentity;
	/** r.m.s. limit in force for the board's frequency, mA. */
	readonly currentLimitMilliamp: number;
	/** Version of the code that computes pictures and region means. */
	readonly algorithmVersion: string;
}

/** Rest baseline of one band. A frame uses the newest baseline of its band whose `fromOrdinal` is not above its own. */
export interface NewBaseline {
	readonly bandIndex: number;
	/** First frame (ordinal within the session) that it holds for; 0 for one taken before the recording. */
	readonly fromOrdinal: number;
	/** RFC 3339 with offset. */
	readonly takenAt: string;
	readonly seconds: number;
	readonly frameCount: number;
	/** True for the one the app takes by itself when a stream begins. */
	readonly automatic: boolean;
	/** The drive configuration (`DriveConfiguration.configuration`) that it was taken with. */
	readonly configuration: number;
	/** [nReadings] median over the rest, in the configuration's unit. */
	readonly median: Float64Array;
	/** [nReadings] standard deviation at rest, in the configuration's unit. */
	readonly noise: Float64Array;
}

export interface StoredBaseline extends NewBaseline {
	readonly configurationId: number;
}

/** How a run of region means was computed. */
export interface TrendSeries extends StoredPictureSettings {
	readonly bandIndex: number;
	readonly algorithmVersion: string;
	readonly lambda: number;
	readonly noiseFigure: number;
	readonly unit: "S/m" | "relative";
	/** In the order of the means. */
	readonly regions: readonly { readonly id: string; readonly name: string }[];
}

export interface StoredTrendSeries
	extends Omit<TrendSeries, keyof StoredPictureSettings>,
		KnownPictureSettings {
	readonly id: number;
}

export type EventKind = "gap" | "fault" | "command" | "mark" | "link" | "status" | "left-out" | "check";

export interface SessionEvent {
	readonly kind: EventKind;
	/** RFC 3339 with offset. */
	readonly at: string;
	/** The frame that was next when it happened. */
	readonly ordinal: number;
	/** Short and for people: the mark's name, the command sent. */
	readonly label: string;
	/** Facts as JSON, such as a `Fault` or a command's argument. */
	readonly detail: unknown;
}

export interface StoredContacts {
	readonly bandIndex: number;
	readonly at: string;
	readonly ordinal: number;
	/** [nElectrodes] ohm; NaN where unreadable. */
	readonly ohm: Float64Array;
}

export interface StoredFrame {
	/** Counts the session's frames over all bands in order of arrival, from 0. */
	readonly ordinal: number;
	readonly bandIndex: number;
	readonly sequence: number;
	/** Device time, µs. */
	readonly timeMicros: number;
	/** µs since the session's first frame. */
	readonly sessionMicros: number;
	/** ms since the epoch. */
	readonly receivedAt: number;
	readonly lostBefore: number;
	/** `StoredConfiguration.id` */
	readonly configurationId: number;
	/** Share of the readings that could be used, 0 to 1. */
	readonly quality: number;
	/** [nReadings] exactly as received, in the configuration's unit. */
	readonly values: Float64Array;
}

export interface SessionCounters {
	readonly lost: number;
	/** Lines that were skipped, by cause. */
	readonly bad: Readonly<Record<string, number>>;
}

export interface SessionDetail extends KnownPictureSettings {
	readonly summary: SessionSummary;
	readonly appVersion: string;
	readonly algorithmVersion: string;
	/** RFC 3339 with offset; null while it is being recorded or when the app was killed. */
	readonly endedAt: string | null;
	readonly badByCause: Readonly<Record<string, number>>;
	/** Null for imported sessions. */
	readonly board: BoardIdentity | null;
	readonly currentLimitMilliamp: number | null;
	readonly limb: LimbSetup | null;
	readonly band: BandSetup | null;
	/** An imported file's own description of its set-up (the reference case format), as read; else null. */
	readonly setup: unknown;
	readonly configurations: readonly StoredConfiguration[];
	readonly series: readonly StoredTrendSeries[];
}

/** Region means of one series in the order they were computed. */
export interface TrendColumns {
	readonly series: StoredTrendSeries;
	/** [n] */
	readonly ordinals: Uint32Array;
	/** [n] s since the session's first frame. */
	readonly seconds: Float64Array;
	/** [n × nRegions] row-major, in the series' unit. */
	readonly means: Float32Array;
}

/** A recording read from a file. Frames carry their own times; baselines refer to them by ordinal. */
export interface ImportedSession extends StoredPictureSettings {
	readonly personId: number | null;
	readonly title: string;
	/** Provenance: citation, licence, changes. */
	readonly notes: string;
	/** RFC 3339 with offset: when it was imported, where the file tells no time. */
	readonly startedAt: string;
	readonly simulated: boolean;
	readonly algorithmVersion: string;
	readonly setup: unknown;
	readonly configurations: readonly NewConfiguration[];
	readonly frames: readonly {
		readonly bandIndex: number;
		/** `DriveConfiguration.configuration` of one of the above. */
		readonly configuration: number;
		readonly timeMicros: number;
		readonly values: Float64Array;
		/** Share of its readings that pictures are made of, 0 to 1. */
		readonly quality: number;
		/** Becomes a `mark` event at this frame; null for none. */
		readonly label: string | null;
		/** Facts about the frame kept with its mark, such as known targets. */
		readonly detail?: unknown;
	}[];
	readonly baselines: readonly NewBaseline[];
	/** Besides marks, in the order of their ordinals. */
	readonly events: readonly Omit<SessionEvent, "at">[];
}
