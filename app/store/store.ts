/**
 * The records of the app: one SQLite file, reached only from this folder. Everything is synchronous; reads are
 * cut into pieces so that no call holds the thread for long. Faults of the world come back as `Result`s.
 *
 * A recording is written in batches of at most half a second, each in one transaction that is on the disk when it
 * returns (WAL, `synchronous = FULL`): killing the process or the machine loses at most what came after the last
 * batch, and never damages the file.
 */
import { type Result, success } from "../../core/result.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { BandSetup, Fault, LimbSetup, Person, RequestArgument, SessionSummary } from "../contract.ts";
import { type CareRecords, createCareRecords } from "./care-records.ts";
import { importSession } from "./import-session.ts";
import { closeLeftOpen } from "./left-open.ts";
import { type DatabaseOptions, type OpenDatabase, openDatabase } from "./open-database.ts";
import { preparePeople } from "./people.ts";
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
import { prepareSessionInserts } from "./session-inserts.ts";
import { prepareSessionReader } from "./session-reader.ts";
import { BUSY_TIMEOUT, createRecorder, type OwnedRecorder } from "./session-recorder.ts";
import { prepareSessionRecords } from "./session-records.ts";
import { prepareSettings } from "./settings.ts";
import { guard } from "./store-fault.ts";

export interface StoreTimers {
	/** @returns what `clearInterval` takes. */
	setInterval(run: () => void, milliseconds: number): unknown;
	clearInterval(handle: unknown): void;
}

/** See `DatabaseOptions` for where the file is and what is done with a damaged one. */
export interface StoreOptions extends DatabaseOptions {
	readonly appVersion: string;
	readonly timers: StoreTimers;
	/** A batch could not be written: told once per failure, again only after a success. */
	readonly onFault: (fault: Fault) => void;
	/** What was told so is over: all that waited is written. */
	readonly onRecovered?: (fault: Fault) => void;
}

export interface Store extends CareRecords {
	readonly path: string;
	/** Where a damaged file was put before this one was begun (`whenCorrupt: "start-fresh"`); null normally. */
	readonly setAside: string | null;

	/** By code; who was archived only when asked for. */
	listPeople(includeArchived?: boolean): Result<readonly Person[], Fault>;
	/** New when `id` is null. A code that another person has is an `invalid-argument`. */
	savePerson(person: RequestArgument<"savePerson">): Result<Person, Fault>;
	/** @returns the id of this person's newest limb record, made new only when it differs from it. */
	saveLimb(personId: number | null, limb: LimbSetup): Result<number, Fault>;
	/** @returns the id of the newest band record of this name, made new only when it differs from it. */
	saveBand(band: BandSetup): Result<number, Fault>;
	/** What two measurements are compared by: the id of the first band like it that was stored, wherever its first
	 *  electrode sat, which is compared by its degrees; null for none. */
	wornBandId(band: BandSetup): Result<number | null, Fault>;
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
	/** Mean share of readings that could be used, 0 to 1; null without frames. */
	usableShare(sessionId: number): Result<number | null, Fault>;
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
	/** Writes what is waiting and marks the session closed; nothing can be added after. When the disk refuses it is
	 *  tried again by itself until the store is disposed. Harmless twice. */
	close(): Result<null, Fault>;
}

/** The store on a database that `openDatabase` opened; it owns the connection from here on. */
export function createStore(
	opened: OpenDatabase,
	options: Omit<StoreOptions, keyof DatabaseOptions> & Pick<DatabaseOptions, "now">,
): Store {
	const { db, path } = opened;
	const { now } = options;
	db.pragma(`busy_timeout = ${BUSY_TIMEOUT}`);
	const inserts = prepareSessionInserts(db);
	const people = preparePeople(db, now);
	const settings = prepareSettings(db, now);
	const records = prepareSessionRecords(db, now);
	const reader = prepareSessionReader(db);
	const care = createCareRecords({ db, path, now, people, records, reader, inserts });
	const recorders = new Set<OwnedRecorder>();

	function attempt<T>(work: () => T): Result<T, Fault> {
		return guard(path, () => success(work()));
	}

	function startSession(session: NewSession): Result<SessionRecorder, Fault> {
		return attempt(() => {
			const sessionId = inserts.session({
				...session,
				origin: "live",
				simulated: session.board.simulated,
				notes: "",
				appVersion: options.appVersion,
				setup: undefined,
				writerPid: process.pid,
				now: now(),
			});
			const onClosed = () => recorders.delete(recorder);
			const recorder: OwnedRecorder = createRecorder(
				{
					db,
					path,
					inserts,
					now,
					timers: options.timers,
					onFault: options.onFault,
					onRecovered: (fault) => options.onRecovered?.(fault),
					onClosed,
				},
				sessionId,
			);
			recorders.add(recorder);
			return recorder;
		});
	}

	return {
		path,
		setAside: opened.setAside,
		...care,
		listPeople: (includeArchived = false) => attempt(() => people.list(includeArchived)),
		savePerson: (person) => guard(path, () => people.save(person)),
		saveLimb: (personId, limb) => guard(path, () => people.saveLimb(personId, limb)),
		saveBand: (band) => attempt(() => people.saveBand(band)),
		wornBandId: (band) => attempt(() => people.wornBandId(band)),
		latestLimb: (personId) => attempt(() => people.latestLimb(personId)),
		setting: (key) => attempt(() => settings.get(key)),
		saveSetting: (key, value) =>
			attempt(() => {
				settings.save(key, value);
				return null;
			}),
		startSession,
		importSession: (session) =>
			attempt(() => importSession(db, inserts, session, { appVersion: options.appVersion, now })),
		listSessions: (filter) => attempt(() => records.list(filter)),
		session: (sessionId) => guard(path, () => records.detail(sessionId)),
		saveSessionNotes: (notes) => guard(path, () => records.saveNotes(notes)),
		readFrames: (sessionId, from, limit) => attempt(() => reader.frames(sessionId, from, limit)),
		ordinalAt: (sessionId, sessionMicros) => attempt(() => reader.ordinalAt(sessionId, sessionMicros)),
		readBaselines: (sessionId) => attempt(() => reader.baselines(sessionId)),
		readEvents: (sessionId) => attempt(() => reader.events(sessionId)),
		readContacts: (sessionId) => attempt(() => reader.contacts(sessionId)),
		usableShare: (sessionId) => attempt(() => reader.usableShare(sessionId)),
		readTrends: (sessionId, bandIndex) =>
			attempt(() =>
				records
					.series(sessionId)
					.filter((series) => series.bandIndex === bandIndex)
					.map((series) => reader.trends(sessionId, series)),
			),
		dispose() {
			if (!db.open) return;
			for (const recorder of recorders) {
				// What could not be written was told through `onFault`; the next start finds the session left open.
				recorder.close();
				recorder.abandon();
			}
			db.close();
		},
	};
}

/** Opens the file, brings it to the present version and closes sessions that a kill left open. */
export function openStore(options: StoreOptions): Result<Store, Fault> {
	const opened = openDatabase(options);
	if (!opened.ok) return opened;
	if (options.mode !== "read") {
		const closed = guard(opened.value.path, () => success(closeLeftOpen(opened.value.db, options.now())));
		if (!closed.ok) {
			opened.value.db.close();
			return closed;
		}
	}
	return success(createStore(opened.value, options));
}
