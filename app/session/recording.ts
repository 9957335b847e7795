/** Writes what is live into the store while a recording runs. Every frame goes in as received; what is computed from it
 *  follows when it is there. */
import type { Result } from "../../core/result.ts";
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { Frame } from "../../core/wire/frame.ts";
import type { Fault } from "../contract.ts";
import { toRfc3339 } from "../store/date-time.ts";
import { followedRestEvent } from "../store/followed-rest-record.ts";
import { leftOutEvent } from "../store/left-out-record.ts";
import type { NewSession, SessionCounters } from "../store/records.ts";
import type { SessionRecorder } from "../store/store.ts";
import { ALGORITHM_VERSION } from "./algorithm-version.ts";
import type { LiveBand, LiveBaseline } from "./live-band.ts";
import type { LiveResult } from "./live-pictures.ts";

export interface Recording {
	readonly sessionId: number;
	readonly title: string;
	readonly startedAt: string;
	readonly frames: number;
	addBand(band: LiveBand): void;
	/** For every frame from now on. */
	addBaseline(band: LiveBand): void;
	/** @returns what `addResult` knows the frame by; -1 when the disk refuses. */
	addFrame(band: LiveBand, frame: Frame, receivedAt: number, lostBefore: number): number;
	addResult(result: LiveResult, means: Float32Array): void;
	addContacts(band: LiveBand, ohm: Float64Array): void;
	/** For every frame from now on, where it is another than before. */
	addLeftOut(band: LiveBand): void;
	addEvent: SessionRecorder["appendEvent"];
	/** Takes over what the link has counted so far. */
	updateCounters(): void;
	/** Writes all that waits. Safe twice. */
	close(): Result<null, Fault>;
}

/** Frame numbers are below this (the store's are 32 bits), so that one number tells session and frame. */
const SESSION_STEP = 2 ** 32;
const GAP_SECONDS = 1;

export function createRecording(
	recorder: SessionRecorder,
	session: Pick<NewSession, "title" | "startedAt">,
	counted: () => SessionCounters,
): Recording {
	/** Series by model and band: another model computes another series. */
	const series = new Map<number, number>();
	const before = counted();
	/** µs device time of each band's newest frame. */
	const newest = new Map<number, number>();
	const leftOut = new Map<number, LeftOut>();
	/** Bands with a rest in the record. */
	const rested = new Set<number>();

	function appendBaseline(band: LiveBand, baseline: LiveBaseline, fromOrdinal: number): void {
		rested.add(band.bandIndex);
		recorder.appendBaseline({
			bandIndex: band.bandIndex,
			fromOrdinal,
			takenAt: toRfc3339(baseline.takenAt),
			seconds: baseline.seconds,
			frameCount: baseline.rest.frames,
			automatic: baseline.automatic,
			configuration: band.configuration.configuration,
			median: baseline.rest.median,
			noise: baseline.rest.noise,
		});
	}

	/** The link counts from its own start, the session from its. */
	function sinceStart(): SessionCounters {
		const { lost, bad } = counted();
		const ownBad: Record<string, number> = {};
		for (const [cause, count] of Object.entries(bad)) {
			const own = count - (before.bad[cause] ?? 0);
			if (own > 0) ownBad[cause] = own;
		}
		return { lost: Math.max(0, lost - before.lost), bad: ownBad };
	}

	/** Single frames that are lost are counted with the frame after them; a second and more is a moment of its own. */
	function markGap({ bandIndex, timeMicros }: Frame, lostBefore: number): void {
		const seconds = (timeMicros - (newest.get(bandIndex) ?? timeMicros)) / 1e6;
		newest.set(bandIndex, timeMicros);
		if (seconds < GAP_SECONDS) return;
		recorder.appendEvent("gap", `Gap of ${seconds.toFixed(1)} s`, { bandIndex, seconds, lost: lostBefore });
	}

	function seriesOf({ model, bandIndex }: LiveResult): number {
		const known = series.get(model.modelId);
		if (known !== undefined) return known;
		const { prior, rule, lambdaByHand, allowsMovement, lambda, noiseFigure, unit } = model.geometry;
		const id = recorder.addSeries({
			bandIndex,
			algorithmVersion: ALGORITHM_VERSION,
			prior,
			rule,
			lambdaByHand,
			allowsMovement,
			lambda,
			noiseFigure,
			unit,
			regions: model.regions,
		});
		series.set(model.modelId, id);
		return id;
	}

	return {
		sessionId: recorder.sessionId,
		title: session.title,
		startedAt: session.startedAt,
		get frames() {
			return recorder.frames;
		},
		addBand({ configuration, pattern }) {
			recorder.addConfiguration({
				...configuration,
				pattern: pattern.terminals,
				readingCurrentAmpere: null,
			});
		},
		addBaseline(band) {
			const { bandIndex, baseline } = band;
			if (baseline === null) return;
			const { followedFrom } = baseline;
			let fromOrdinal = recorder.frames;
			if (followedFrom !== null) {
				// A model is made of the rest that was taken: a record that begins later holds it for one frame.
				if (!rested.has(bandIndex)) appendBaseline(band, followedFrom, fromOrdinal++);
				const { label, detail } = followedRestEvent(bandIndex, fromOrdinal);
				recorder.appendEvent("status", label, detail);
			}
			appendBaseline(band, baseline, fromOrdinal);
		},
		addFrame(band, frame, receivedAt, lostBefore) {
			markGap(frame, lostBefore);
			const ordinal = recorder.appendFrame(frame, receivedAt, lostBefore, 1 - band.watch.leftOut.share);
			return ordinal < 0 ? -1 : recorder.sessionId * SESSION_STEP + ordinal;
		},
		addResult(result, means) {
			const ordinal = result.token - recorder.sessionId * SESSION_STEP;
			// A picture may come after its own recording was stopped and the next one begun.
			if (ordinal < 0 || ordinal >= SESSION_STEP) return;
			recorder.appendTrend(seriesOf(result), ordinal, means);
		},
		addContacts(band, ohm) {
			recorder.appendContacts(band.bandIndex, ohm);
		},
		addLeftOut({ bandIndex, watch }) {
			const before = leftOut.get(bandIndex) ?? null;
			const now = watch.leftOut;
			if (now === before || (before === null && now.kept === null)) return;
			leftOut.set(bandIndex, now);
			const { label, detail } = leftOutEvent(bandIndex, before, now);
			recorder.appendEvent("left-out", label, detail);
		},
		addEvent: (kind, label, detail) => recorder.appendEvent(kind, label, detail),
		updateCounters: () => recorder.setCounters(sinceStart()),
		close() {
			recorder.setCounters(sinceStart());
			return recorder.close();
		},
	};
}
