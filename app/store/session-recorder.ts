/** Writes one recording in batches: memory first, then one transaction for everything that waits. */
import type { Database } from "better-sqlite3";
import { failure, type Result, success } from "../../core/result.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { Fault } from "../contract.ts";
import { toRfc3339 } from "./date-time.ts";
import { FrameBatch } from "./frame-batch.ts";
import { OPEN_TIMEOUT } from "./open-database.ts";
import type { EventKind, NewBaseline, NewConfiguration, SessionCounters, TrendSeries } from "./records.ts";
import type { SessionInserts } from "./session-inserts.ts";
import type { SessionRecorder, StoreTimers } from "./store.ts";
import { faultOf } from "./store-fault.ts";
import { TrendBatch } from "./trend-batch.ts";

/** ms between batches: with a late timer and the sync to disk still within half a second. */
export const FLUSH_INTERVAL = 400;
/** ms that calls wait for another program that holds the file: they run on the thread that must answer the person, and
 *  a batch is tried again. */
export const BUSY_TIMEOUT = 20;
/** ms after a failed batch before the next try: each try costs the time of writing all that waits. */
const RETRY_INTERVAL = 2000;
/** ms without anything to write after which the session still says that it is alive. */
const HEARTBEAT_INTERVAL = 2000;
const FRAME_BYTES = 8 << 20;
const FRAME_COUNT = 16_384;
const TREND_COUNT = 1024;
/** Frames whose time is remembered for trends that come later. A power of two. */
const REMEMBERED_FRAMES = 4096;
/** Events and contact values kept while the disk refuses; more are let go. */
const WAITING_NOTES = 10_000;

export interface RecorderContext {
	readonly db: Database;
	readonly path: string;
	readonly inserts: SessionInserts;
	readonly now: () => number;
	readonly timers: StoreTimers;
	readonly onFault: (fault: Fault) => void;
	readonly onClosed: () => void;
}

interface KeptConfiguration {
	readonly id: number;
	readonly given: NewConfiguration;
}

function sameNumbers(a: ArrayLike<number> | null, b: ArrayLike<number> | null): boolean {
	if (a === null || b === null) return a === b;
	if (a.length !== b.length) return false;
	for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
	return true;
}

function sameConfiguration(a: NewConfiguration, b: NewConfiguration): boolean {
	return (
		a.bandIndex === b.bandIndex &&
		a.configuration === b.configuration &&
		a.electrodeCount === b.electrodeCount &&
		a.drive === b.drive &&
		a.terminals === b.terminals &&
		a.currentMilliamp === b.currentMilliamp &&
		a.frequencyHertz === b.frequencyHertz &&
		a.gain === b.gain &&
		a.voltsPerUnit === b.voltsPerUnit &&
		a.fullScale === b.fullScale &&
		sameNumbers(a.pattern, b.pattern) &&
		sameNumbers(a.readingCurrentAmpere, b.readingCurrentAmpere)
	);
}

/** What the store itself may do with a recorder besides. */
export interface OwnedRecorder extends SessionRecorder {
	/** Gives up what could not be written, because the store goes away. */
	abandon(): void;
}

export function createRecorder(context: RecorderContext, sessionId: number): OwnedRecorder {
	const { db, inserts, now } = context;
	const frames = new FrameBatch(FRAME_BYTES, FRAME_COUNT);
	const times = new Float64Array(REMEMBERED_FRAMES);
	const trends: TrendBatch[] = [];
	/** By band and wire number: the newest configuration that the board gave that number. */
	const configurations = new Map<number, KeptConfiguration>();
	let configurationCount = 0;
	let newConfigurations: KeptConfiguration[] = [];
	let newSeries: { id: number; series: TrendSeries }[] = [];
	let newBaselines: { configurationId: number; baseline: NewBaseline }[] = [];
	let newEvents: { kind: EventKind; at: string; ordinal: number; label: string; detail: unknown }[] = [];
	let newContacts: { bandIndex: number; at: string; ordinal: number; ohm: Float64Array }[] = [];
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
	let wasFaultTold = false;
	let retryAt = 0;
	let lastWritten = now();

	/** The key of the map above without making a string for each frame. */
	function keyOf(bandIndex: number, wireNumber: number): number {
		return wireNumber * 4 + bandIndex;
	}

	function kept(bandIndex: number, wireNumber: number): KeptConfiguration {
		const found = configurations.get(keyOf(bandIndex, wireNumber));
		if (found === undefined) {
			throw new RangeError(`recorder: band ${bandIndex} has no configuration ${wireNumber}`);
		}
		return found;
	}

	const insertFrame = inserts.frame(sessionId);
	const insertTrends = inserts.trends.bind(null, sessionId);
	const write = db.transaction(() => {
		for (const { id, given } of newConfigurations) inserts.configuration(sessionId, id, given);
		frames.writeTo(insertFrame);
		for (const { id, series } of newSeries) inserts.series(sessionId, id, series);
		for (const batch of trends) batch.writeTo(insertTrends);
		for (const one of newBaselines) inserts.baseline(sessionId, one.configurationId, one.baseline);
		for (const one of newEvents) {
			inserts.event(sessionId, one.kind, one.at, one.ordinal, one.label, one.detail);
		}
		for (const one of newContacts) {
			inserts.contacts(sessionId, one.bandIndex, one.at, one.ordinal, one.ohm);
		}
		inserts.progress(sessionId, {
			frames: frameCount,
			firstTimeMicros: firstTime,
			durationMicros: firstTime === null ? 0 : Math.max(0, lastTime - firstTime),
			counters: { lost: counters.lost + refused, bad: counters.bad },
			now: now(),
		});
		if (endedAt !== null) inserts.close(sessionId, endedAt);
	});

	function isAnythingWaiting(): boolean {
		return (
			frames.count > 0 ||
			countersChanged ||
			newConfigurations.length > 0 ||
			newSeries.length > 0 ||
			newBaselines.length > 0 ||
			newEvents.length > 0 ||
			newContacts.length > 0 ||
			trends.some((batch) => batch.count > 0)
		);
	}

	function forgetWritten(): void {
		frames.clear();
		for (const batch of trends) batch.clear();
		newConfigurations = [];
		newSeries = [];
		newBaselines = [];
		newEvents = [];
		newContacts = [];
		countersChanged = false;
		lastWritten = now();
	}

	function commit(): Result<null, Fault> {
		try {
			write.immediate();
		} catch (error) {
			const fault = faultOf(error, context.path);
			if (fault === null) throw error;
			retryAt = now() + RETRY_INTERVAL;
			// Another program that holds the file for a moment is nothing to tell a person about; a second time is.
			const isPassing = fault.kind === "store-busy" && now() - lastWritten < RETRY_INTERVAL;
			if (!wasFaultTold && !isPassing) {
				wasFaultTold = true;
				context.onFault(fault);
			}
			return failure(fault);
		}
		wasFaultTold = false;
		retryAt = 0;
		forgetWritten();
		if (endedAt !== null) letGo();
		return success(null);
	}

	function tick(): void {
		if (now() < retryAt) return;
		const isDue = isAnythingWaiting() || endedAt !== null || now() - lastWritten >= HEARTBEAT_INTERVAL;
		if (isDue) commit();
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
			const key = keyOf(given.bandIndex, given.configuration);
			const before = configurations.get(key);
			if (before !== undefined && sameConfiguration(before.given, given)) return;
			configurationCount++;
			const added: KeptConfiguration = {
				id: configurationCount,
				given: {
					...given,
					pattern: given.pattern.slice(),
					readingCurrentAmpere: given.readingCurrentAmpere?.slice() ?? null,
				},
			};
			configurations.set(key, added);
			newConfigurations.push(added);
		},
		appendFrame(frame: Frame, receivedAt: number, lostBefore: number, quality: number): number {
			mustBeOpen();
			const configuration = kept(frame.bandIndex, frame.configuration);
			// What the tables would refuse is refused here, where the mistake is, and not with the whole batch.
			if (!(quality >= 0 && quality <= 1)) throw new RangeError(`recorder: quality ${quality}`);
			if (!Number.isFinite(receivedAt) || !Number.isSafeInteger(lostBefore)) {
				throw new RangeError(`recorder: received at ${receivedAt} ms, ${lostBefore} lost`);
			}
			if (!Number.isSafeInteger(frame.timeMicros) || !Number.isSafeInteger(frame.sequence)) {
				throw new RangeError(`recorder: time ${frame.timeMicros} µs, sequence ${frame.sequence}`);
			}
			if (!frames.hasRoomFor(frame.values.length) && now() >= retryAt) commit();
			if (!frames.hasRoomFor(frame.values.length)) {
				refusedSince++;
				refused++;
				return -1;
			}
			const ordinal = frameCount;
			frames.add(ordinal, frame, receivedAt, lostBefore + refusedSince, configuration.id, quality);
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
			const id = trends.length + 1;
			trends.push(new TrendBatch(id, series.regions.length, TREND_COUNT));
			newSeries.push({ id, series });
			return id;
		},
		appendTrend(seriesId, ordinal, means) {
			mustBeOpen();
			const batch = trends[seriesId - 1];
			if (batch === undefined) throw new RangeError(`recorder: no series ${seriesId}`);
			if (ordinal < 0 || ordinal >= frameCount || frameCount - ordinal > REMEMBERED_FRAMES) {
				throw new RangeError(`recorder: a trend for frame ${ordinal} of ${frameCount}`);
			}
			if (batch.isFull && now() >= retryAt) commit();
			// Region means can be computed again from the frames, so these may go while the disk refuses.
			if (batch.isFull) return;
			const time = times[ordinal & (REMEMBERED_FRAMES - 1)]!;
			batch.add(ordinal, (time - firstTime!) / 1e6, means);
		},
		appendBaseline(baseline) {
			mustBeOpen();
			const { id, given } = kept(baseline.bandIndex, baseline.configuration);
			const readings = given.pattern.length / 4;
			if (baseline.median.length !== readings || baseline.noise.length !== readings) {
				throw new RangeError(`recorder: a baseline of ${baseline.median.length} for ${readings} readings`);
			}
			newBaselines.push({
				configurationId: id,
				baseline: { ...baseline, median: baseline.median.slice(), noise: baseline.noise.slice() },
			});
		},
		appendEvent(kind, label, detail) {
			mustBeOpen();
			if (newEvents.length >= WAITING_NOTES) return;
			newEvents.push({ kind, at: toRfc3339(now()), ordinal: frameCount, label, detail });
		},
		appendContacts(bandIndex, ohm) {
			mustBeOpen();
			if (newContacts.length >= WAITING_NOTES) return;
			newContacts.push({ bandIndex, at: toRfc3339(now()), ordinal: frameCount, ohm: ohm.slice() });
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
