/** Writes one recording in batches: memory first, then one transaction for everything that waits. */
import type { Database } from "better-sqlite3";
import { failure, type Result, success } from "../../core/result.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { Fault } from "../contract.ts";
import { ConfigurationBook } from "./configuration-book.ts";
import { toRfc3339 } from "./date-time.ts";
import { OPEN_TIMEOUT } from "./open-database.ts";
import { RecordingBatch } from "./recording-batch.ts";
import type { SessionCounters } from "./records.ts";
import type { SessionInserts } from "./session-inserts.ts";
import type { SessionRecorder, StoreTimers } from "./store.ts";
import { faultOf } from "./store-fault.ts";

/** ms between batches: with a late timer and the sync to disk still within half a second. */
const FLUSH_INTERVAL = 400;
/** ms that calls wait for another program that holds the file: they run on the thread that must answer the person, and
 *  a batch is tried again. */
export const BUSY_TIMEOUT = 20;
/** ms after a failed batch before the next try: each try costs the time of writing all that waits. */
const RETRY_INTERVAL = 2000;
/** ms without anything to write after which the session still says that it is alive. */
const HEARTBEAT_INTERVAL = 2000;
/** Frames whose time is remembered for trends that come later. A power of two. */
const REMEMBERED_FRAMES = 4096;

export interface RecorderContext {
	readonly db: Database;
	readonly path: string;
	readonly inserts: SessionInserts;
	readonly now: () => number;
	readonly timers: StoreTimers;
	readonly onFault: (fault: Fault) => void;
	readonly onRecovered: (fault: Fault) => void;
	readonly onClosed: () => void;
}

/** What the store itself may do with a recorder besides. */
export interface OwnedRecorder extends SessionRecorder {
	/** Gives up what could not be written, because the store goes away. */
	abandon(): void;
}

/** What the tables would refuse is refused here, where the mistake is, and not with the whole batch. */
function checkFrame(frame: Frame, receivedAt: number, lostBefore: number, quality: number): void {
	if (!(quality >= 0 && quality <= 1)) throw new RangeError(`recorder: quality ${quality}`);
	if (!Number.isFinite(receivedAt) || !Number.isSafeInteger(lostBefore)) {
		throw new RangeError(`recorder: received at ${receivedAt} ms, ${lostBefore} lost`);
	}
	if (!Number.isSafeInteger(frame.timeMicros) || !Number.isSafeInteger(frame.sequence)) {
		throw new RangeError(`recorder: time ${frame.timeMicros} µs, sequence ${frame.sequence}`);
	}
}

export function createRecorder(context: RecorderContext, sessionId: number): OwnedRecorder {
	const { db, inserts, now } = context;
	const batch = new RecordingBatch();
	const configurations = new ConfigurationBook();
	const times = new Float64Array(REMEMBERED_FRAMES);
	let counters: SessionCounters = { lost: 0, bad: {} };
	let countersChanged = false;
	let frameCount = 0;
	let firstTime: number | null = null;
	let lastTime = 0;
	/** Frames that could not be kept since the last one that could, and in all. */
	let refusedSince = 0;
	let refused = 0;
	/** When `close` was asked for; from then on nothing is taken in. */
	let endedAt: string | null = null;
	let isDone = false;
	let told: Fault | null = null;
	let retryAt = 0;
	let lastWritten = now();

	const write = db.transaction(() => {
		batch.writeTo(inserts, sessionId);
		inserts.progress(sessionId, {
			frames: frameCount,
			firstTimeMicros: firstTime,
			durationMicros: firstTime === null ? 0 : Math.max(0, lastTime - firstTime),
			counters: { lost: counters.lost + refused, bad: counters.bad },
			now: now(),
		});
		if (endedAt !== null) inserts.close(sessionId, endedAt);
	});

	function commit(): Result<null, Fault> {
		try {
			write.immediate();
		} catch (error) {
			const fault = faultOf(error, context.path);
			if (fault === null) throw error;
			retryAt = now() + RETRY_INTERVAL;
			// Another program that holds the file for a moment is nothing to tell a person about; a second time is.
			const isPassing = fault.kind === "store-busy" && now() - lastWritten < RETRY_INTERVAL;
			if (told === null && !isPassing) {
				told = fault;
				context.onFault(fault);
			}
			return failure(fault);
		}
		const over = told;
		told = null;
		retryAt = 0;
		batch.clear();
		countersChanged = false;
		lastWritten = now();
		if (endedAt !== null) letGo();
		if (over !== null) context.onRecovered(over);
		return success(null);
	}

	function isAnythingWaiting(): boolean {
		return countersChanged || endedAt !== null || !batch.isEmpty;
	}

	/** Longer than a whole interval is no wait: the computer's clock was set back. */
	function isTooEarly(): boolean {
		const left = retryAt - now();
		return left > 0 && left <= RETRY_INTERVAL;
	}

	function tick(): void {
		if (isTooEarly()) return;
		if (isAnythingWaiting() || Math.abs(now() - lastWritten) >= HEARTBEAT_INTERVAL) commit();
	}

	/** Makes room by writing, unless the disk has just refused. */
	function commitForRoom(): void {
		if (!isTooEarly()) commit();
	}

	const timer = context.timers.setInterval(tick, FLUSH_INTERVAL);

	function letGo(): void {
		if (isDone) return;
		isDone = true;
		context.timers.clearInterval(timer);
		context.onClosed();
	}

	function mustBeOpen(): void {
		if (endedAt !== null) throw new TypeError("recorder: the session is closed");
	}

	return {
		sessionId,
		get frames() {
			return frameCount;
		},
		addConfiguration(given) {
			mustBeOpen();
			const added = configurations.add(given);
			if (added !== null) batch.addConfiguration(added);
		},
		appendFrame(frame, receivedAt, lostBefore, quality) {
			mustBeOpen();
			const { id } = configurations.find(frame.bandIndex, frame.configuration);
			checkFrame(frame, receivedAt, lostBefore, quality);
			if (!batch.frames.hasRoomFor(frame.values.length)) commitForRoom();
			if (!batch.frames.hasRoomFor(frame.values.length)) {
				refusedSince++;
				refused++;
				return -1;
			}
			const ordinal = frameCount;
			batch.frames.add(ordinal, frame, receivedAt, lostBefore + refusedSince, id, quality);
			refusedSince = 0;
			firstTime ??= frame.timeMicros;
			lastTime = frame.timeMicros;
			times[ordinal & (REMEMBERED_FRAMES - 1)] = frame.timeMicros;
			frameCount = ordinal + 1;
			return ordinal;
		},
		addSeries(series) {
			mustBeOpen();
			if (Number.isNaN(series.lambda) || Number.isNaN(series.noiseFigure)) {
				throw new RangeError(`recorder: lambda ${series.lambda}, noise figure ${series.noiseFigure}`);
			}
			return batch.addSeries(series);
		},
		appendTrend(seriesId, ordinal, means) {
			mustBeOpen();
			const trends = batch.trendsOf(seriesId);
			if (ordinal < 0 || ordinal >= frameCount || frameCount - ordinal > REMEMBERED_FRAMES) {
				throw new RangeError(`recorder: a trend for frame ${ordinal} of ${frameCount}`);
			}
			if (trends.isFull) commitForRoom();
			// Region means can be computed again from the frames, so these may go while the disk refuses.
			if (trends.isFull) return;
			const time = times[ordinal & (REMEMBERED_FRAMES - 1)]!;
			trends.add(ordinal, (time - firstTime!) / 1e6, means);
		},
		appendBaseline(baseline) {
			mustBeOpen();
			const { id, given } = configurations.find(baseline.bandIndex, baseline.configuration);
			const readings = given.pattern.length / 4;
			if (baseline.median.length !== readings || baseline.noise.length !== readings) {
				throw new RangeError(`recorder: a baseline of ${baseline.median.length} for ${readings} readings`);
			}
			batch.addBaseline(id, {
				...baseline,
				median: baseline.median.slice(),
				noise: baseline.noise.slice(),
			});
		},
		appendEvent(kind, label, detail) {
			mustBeOpen();
			batch.addEvent({ kind, at: toRfc3339(now()), ordinal: frameCount, label, detail });
		},
		appendContacts(bandIndex, ohm) {
			mustBeOpen();
			batch.addContacts({ bandIndex, at: toRfc3339(now()), ordinal: frameCount, ohm: ohm.slice() });
		},
		setCounters(given) {
			mustBeOpen();
			counters = { lost: given.lost, bad: { ...given.bad } };
			countersChanged = true;
		},
		flush() {
			mustBeOpen();
			return isAnythingWaiting() ? commit() : success(null);
		},
		close() {
			if (isDone) return success(null);
			endedAt ??= toRfc3339(now());
			// The last batch is worth waiting for another program that holds the file.
			db.pragma(`busy_timeout = ${OPEN_TIMEOUT}`);
			const written = commit();
			db.pragma(`busy_timeout = ${BUSY_TIMEOUT}`);
			return written;
		},
		abandon: letGo,
	};
}
