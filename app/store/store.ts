/**
 * The records of the app: one SQLite file, reached only from this folder. Everything is synchronous; reads are
 * cut into pieces so that no call holds the thread for long. Faults of the world come back as `Result`s.
 *
 * A recording is written in batches of at most half a second, each in one transaction that is on the disk when it
 * returns (WAL, `synchronous = FULL`): killing the process or the machine loses at most what came after the last
 * batch, and never damages the file.
 */
import type { Result } from "../../core/result.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { BandSetup, Fault, LimbSetup, Person, RequestArgument, SessionSummary } from "../contract.ts";
import type {
	EventKind,
	ImportedSession,
	NewBaseline,
	NewConfiguration,
	NewSession,
	SessionCounters,
	SessionDetail,
	SessionEvent,
	StoredBaseline,
	StoredContacts,
	StoredFrame,
	TrendColumns,
	TrendSeries,
} from "./records.ts";

export interface StoreTimers {
	/** @returns what `clearInterval` takes. */
	setInterval(run: () => void, milliseconds: number): unknown;
	clearInterval(handle: unknown): void;
}

export interface StoreOptions {
	readonly path: string;
	/** `create` makes the file and its folder when missing, `write` wants an existing file, `read` changes nothing. */
	readonly mode: "create" | "write" | "read";
	readonly appVersion: string;
	/**
	 * What to do with a file that is damaged. `refuse` leaves it as it is; `set-aside` renames it and still fails,
	 * so that the person is told first; `start-fresh` renames it and opens an empty one (`Store.setAside` says so).
	 */
	readonly whenCorrupt: "refuse" | "set-aside" | "start-fresh";
	/** ms since the epoch. */
	readonly now: () => number;
	readonly timers: StoreTimers;
	/** A batch could not be written: told once per failure, again only after a success. */
	readonly onFault: (fault: Fault) => void;
	/** Folder of the numbered SQL files; beside the sources when left out. */
	readonly migrationsFolder?: string;
	/** Path of better-sqlite3's native part for a packaged app; found by itself when left out. */
	readonly nativeBinding?: string;
}

export interface Store {
	readonly path: string;
	/** Where a damaged file was put before this one was begun; null normally. */
	readonly setAside: string | null;

	listPeople(): Result<readonly Person[], Fault>;
	/** New when `id` is null. A code that another person has is an `invalid-argument`. */
	savePerson(person: RequestArgument<"savePerson">): Result<Person, Fault>;
	/** @returns the id of this person's newest limb record, made new only when it differs from it. */
	saveLimb(personId: number | null, limb: LimbSetup): Result<number, Fault>;
	/** @returns the id of the newest band record of this name, made new only when it differs from it. */
	saveBand(band: BandSetup): Result<number, Fault>;
	latestLimb(personId: number | null): Result<LimbSetup | null, Fault>;

	/** JSON value under `key`; undefined when never saved. */
	setting(key: string): Result<unknown, Fault>;
	saveSetting(key: string, value: unknown): Result<null, Fault>;

	startSession(session: NewSession): Result<SessionRecorder, Fault>;
	/** In one transaction: all of it or nothing. */
	importSession(session: ImportedSession): Result<number, Fault>;

	/** Newest first. */
	listSessions(
		filter: RequestArgument<"listSessions">,
	): Result<{ readonly total: number; readonly sessions: readonly SessionSummary[] }, Fault>;
	session(sessionId: number): Result<SessionDetail, Fault>;
	saveSessionNotes(notes: RequestArgument<"saveSessionNotes">): Result<null, Fault>;

	/** At most `limit` frames from `fromOrdinal` on, in order; empty at the end. */
	readFrames(sessionId: number, fromOrdinal: number, limit: number): Result<readonly StoredFrame[], Fault>;
	/** Ordinal of the first frame at or after `sessionMicros`; the number of frames when there is none. */
	ordinalAt(sessionId: number, sessionMicros: number): Result<number, Fault>;
	/** In order of `fromOrdinal`. */
	readBaselines(sessionId: number): Result<readonly StoredBaseline[], Fault>;
	readEvents(sessionId: number): Result<readonly SessionEvent[], Fault>;
	readContacts(sessionId: number): Result<readonly StoredContacts[], Fault>;
	/** Region means as computed while recording, one entry per series, in order. */
	readTrends(sessionId: number, bandIndex: number): Result<readonly TrendColumns[], Fault>;

	/** Closes open recordings (cleanly) and the file. Harmless twice. */
	dispose(): void;
}

/** Writes one recording. Nothing here is on the disk before the next batch (at most half a second) or `close`. */
export interface SessionRecorder {
	readonly sessionId: number;
	/** Frames taken so far: the ordinal of the next one. */
	readonly frames: number;
	/** Must come before the first frame that uses it; told again (after a reconnect) it is kept only when it differs. */
	addConfiguration(configuration: NewConfiguration): void;
	/** Copies the frame. `quality`: share of usable readings, 0 to 1.
	 *  @returns its ordinal, or -1 when it could not be kept because the disk refuses (`onFault` has told why).
	 *  @throws RangeError for a configuration that was not added. */
	appendFrame(frame: Frame, receivedAt: number, lostBefore: number, quality: number): number;
	/** @returns the series' id for `appendTrend`. */
	addSeries(series: TrendSeries): number;
	/** Copies the means. `ordinal` as returned by `appendFrame`, at most 4,096 frames ago. */
	appendTrend(seriesId: number, ordinal: number, means: Float32Array): void;
	appendBaseline(baseline: NewBaseline): void;
	appendEvent(kind: EventKind, label: string, detail: unknown): void;
	appendContacts(bandIndex: number, ohm: Float64Array): void;
	/** The link's counters so far, stored with the next batch. */
	setCounters(counters: SessionCounters): void;
	/** Writes what is waiting now. */
	flush(): Result<null, Fault>;
	/** Writes what is waiting and marks the session closed. Harmless twice. */
	close(): Result<null, Fault>;
}

export function openStore(_options: StoreOptions): Result<Store, Fault> {
	throw new Error("not written yet");
}
