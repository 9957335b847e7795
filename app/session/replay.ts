/** A stored session on the screen: its frames go the same way as live ones, at any speed and from any moment. */
import { failure, type Result, success } from "../../core/result.ts";
import { PictureFlags } from "../../core/wire/picture-packet.ts";
import type { AppState, Fault, ReplayState, RequestArgument, TrendMarks, Trends } from "../contract.ts";
import { createFrameHeader, type Picture } from "../pipeline/picture-stream.ts";
import { followedRests } from "../store/followed-rest-record.ts";
import type { SessionDetail, StoredFrame } from "../store/records.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";
import { createLeftOutHistory } from "./left-out-history.ts";
import { leftOutState } from "./left-out-state.ts";
import type { ModelSlotParts } from "./model-slot.ts";
import { createReplayPictures, type ReplayPictures } from "./replay-pictures.ts";
import { readTrendMarks } from "./replay-trend-marks.ts";
import { createReplayTrends } from "./replay-trends.ts";
import { createReplayVolume, type ReplayVolume, type ReplayVolumeParts } from "./replay-volume.ts";
import type { PictureSettings } from "./set-up.ts";
import { noMarks } from "./trend-marks.ts";

export interface Replay {
	readonly sessionId: number;
	readonly state: ReplayState;
	readonly picture: AppState["picture"];
	control(wish: RequestArgument<"controlReplay">): Result<null, Fault>;
	selectBand(bandIndex: number): void;
	/** Pictures by other settings than those that were in force when it was recorded. */
	changeSettings(settings: PictureSettings): void;
	trends(wish: RequestArgument<"getReplayTrends">): Promise<Result<Trends, Fault>>;
	/** All its bands together. */
	readonly volume: ReplayVolume;
	/** Takes a picture of this replay's streams back. @returns whether it is one for the screen. */
	take(picture: Picture): boolean;
	/** The session's title or notes have changed. */
	refreshSummary(): void;
	/** Safe twice. */
	dispose(): void;
}

export interface ReplayParts extends Omit<ModelSlotParts, "onChange"> {
	readonly store: Store;
	readonly clock: Clock;
	readonly onChange: () => void;
	/** The store could not be read on: playing has stopped. */
	readonly onFault: (fault: Fault) => void;
	/** This and the next number are the replay's own among the picture stream's streams. */
	readonly streamId: number;
	readonly volume: Pick<
		ReplayVolumeParts,
		"builder" | "createStream" | "isWatched" | "watchesBegun" | "onPacket"
	>;
}

/** As often as a usual screen is drawn. */
const TICK_MS = 16;
/** Read at a time: some 5 ms of work. */
const CHUNK_FRAMES = 128;
/** What lies more than this ahead is looked up instead of read through: at a hundred times the speed nobody sees it. */
const SKIP_SECONDS = 5;

/** @returns the replay, paused where its first set began; at its first frame where nobody exercised. */
export function openReplay(parts: ReplayParts, sessionId: number): Result<Replay, Fault> {
	const { store } = parts;
	const detail = store.session(sessionId);
	if (!detail.ok) return detail;
	const baselines = store.readBaselines(sessionId);
	if (!baselines.ok) return baselines;
	const marks = readMarks(store, sessionId);
	if (!marks.ok) return marks;
	const events = store.readEvents(sessionId);
	if (!events.ok) return events;
	const history = createLeftOutHistory(detail.value, events.value);
	const trendMarks = readTrendMarks(store, detail.value, baselines.value, history, events.value);
	if (!trendMarks.ok) return trendMarks;
	const pictures = createReplayPictures(parts, detail.value, baselines.value, history);
	const sets = store.listSets(sessionId);
	if (!sets.ok) return sets;
	const { clock, onChange } = parts;
	const volume = createReplayVolume(
		{ ...parts.volume, store, clock, onChange },
		{ detail: detail.value, baselines: baselines.value, events: events.value, history },
	);
	const replay = createReplay(parts, detail.value, marks.value, trendMarks.value, pictures, volume);
	const first = Math.min(...sets.value.map(({ startSeconds }) => startSeconds));
	if (Number.isFinite(first)) replay.control({ playing: null, speed: null, seekSeconds: Math.max(0, first) });
	return success(replay);
}

function createReplay(
	parts: ReplayParts,
	detail: SessionDetail,
	marks: ReplayState["marks"],
	trendMarks: ReadonlyMap<number, TrendMarks>,
	pictures: ReplayPictures,
	volume: ReplayVolume,
): Replay {
	const { store, clock, stream, streamId } = parts;
	const { durationSeconds } = detail.summary;
	const sessionId = detail.summary.id;
	const trends = createReplayTrends({ store, stream, clock, streamId: streamId + 1 }, detail, pictures);
	let { summary } = detail;
	let bandIndex = detail.configurations[0]?.bandIndex ?? 0;
	let position = 0;
	let playing = false;
	let speed = 1;
	let lastTick = clock.now();
	let chunk: readonly StoredFrame[] = [];
	let next = 0;
	/** Of the first frame after `chunk`. */
	let chunkEnd = 0;
	/** The frame to be shown next; null when it was sent. */
	let due: StoredFrame | null = null;
	let shown: StoredFrame | null = null;
	let restart = true;
	let gap = false;
	let disposed = false;
	const header = createFrameHeader(streamId);

	function fail(fault: Fault): void {
		playing = false;
		parts.onFault(fault);
	}

	/** Goes through the frames up to `position` and keeps the newest of the band as the one that is due. */
	function readOn(): void {
		const until = position * 1e6;
		for (;;) {
			while (next < chunk.length && chunk[next]!.sessionMicros <= until) {
				const frame = chunk[next]!;
				next++;
				volume.add(frame);
				if (frame.bandIndex !== bandIndex) continue;
				if (frame.lostBefore > 0) gap = true;
				due = frame;
			}
			if (next < chunk.length) return;
			const last = chunk.at(-1);
			if (last !== undefined && until - last.sessionMicros > SKIP_SECONDS * 1e6) {
				const ordinal = store.ordinalAt(sessionId, until - 1e6);
				if (ordinal.ok) chunkEnd = Math.max(chunkEnd, ordinal.value);
			}
			const read = store.readFrames(sessionId, chunkEnd, CHUNK_FRAMES);
			if (!read.ok) fail(read.error);
			if (!read.ok || read.value.length === 0) return;
			chunk = read.value;
			next = 0;
			chunkEnd = chunk.at(-1)!.ordinal + 1;
		}
	}

	/** Sends the due frame as soon as there is something to make a picture with. */
	function show(): void {
		if (due === null) return;
		const ready = pictures.readyFor(due);
		if (ready === null) return;
		Object.assign(header, ready);
		header.bandIndex = bandIndex;
		header.sequence = due.sequence;
		header.flags =
			PictureFlags.replay |
			(summary.simulated ? PictureFlags.simulated : 0) |
			(gap ? PictureFlags.afterGap : 0) |
			(restart ? PictureFlags.restart : 0);
		header.timeMicros = due.sessionMicros;
		header.receivedAt = clock.now();
		if (!stream.push(header, pictures.ohmOf(due), 1)) return;
		shown = due;
		due = null;
		gap = false;
		restart = false;
	}

	function tick(): void {
		const now = clock.now();
		const elapsed = (now - lastTick) / 1000;
		lastTick = now;
		if (playing) {
			position = Math.min(durationSeconds, position + elapsed * speed);
			readOn();
			if (position >= durationSeconds) playing = false;
			parts.onChange();
		}
		show();
		volume.show();
	}

	function seek(seconds: number): void {
		position = Math.min(seconds, durationSeconds);
		chunk = [];
		next = 0;
		due = null;
		restart = true;
		gap = false;
		volume.seek();
		// From a little before, so that a band whose frame lies just before the moment is shown as well.
		const ordinal = store.ordinalAt(sessionId, Math.max(0, position - 2) * 1e6);
		if (!ordinal.ok) {
			fail(ordinal.error);
			return;
		}
		chunkEnd = ordinal.value;
		readOn();
		volume.lookAhead(chunk, next);
		gap = false;
		show();
		volume.show();
	}

	/** The picture is of another model or rest now: the same frame again. */
	function showAgain(): void {
		due ??= shown;
		restart = true;
		show();
	}

	pictures.onReady(() => {
		if (disposed) return;
		trends.modelChanged();
		showAgain();
		parts.onChange();
	});
	pictures.use(bandIndex);
	seek(0);
	const stopTicking = clock.every(TICK_MS, tick);

	return {
		sessionId,
		get state() {
			return {
				session: summary,
				durationSeconds,
				positionSeconds: position,
				playing,
				speed,
				marks,
				leftOut: shown === null ? null : leftOutState(pictures.leftOutFor(shown)),
				trendMarks: trendMarks.get(bandIndex) ?? noMarks,
			};
		},
		get picture() {
			return pictures.state;
		},
		control(wish) {
			if (wish.speed !== null) speed = wish.speed;
			if (wish.seekSeconds !== null) seek(wish.seekSeconds);
			if (wish.playing !== null) {
				// Played to its end, it begins again.
				if (wish.playing && !playing && position >= durationSeconds) seek(0);
				playing = wish.playing;
			}
			lastTick = clock.now();
			parts.onChange();
			return success(null);
		},
		selectBand(next) {
			bandIndex = next;
			pictures.use(next);
			seek(position);
			parts.onChange();
		},
		changeSettings(settings) {
			pictures.changeSettings(settings);
		},
		trends: ({ points, of }) =>
			of === "volumes" ? volume.trends(points) : trends.collect(bandIndex, points),
		volume,
		take(picture) {
			if (picture.stream === streamId) return true;
			trends.take(picture);
			return false;
		},
		refreshSummary() {
			const read = store.session(sessionId);
			if (read.ok) ({ summary } = read.value);
			parts.onChange();
		},
		dispose() {
			if (disposed) return;
			disposed = true;
			stopTicking();
			trends.dispose();
			pictures.dispose();
			volume.dispose();
		},
	};
}

/** More would not be told apart on the scrubber. */
const MOST_MARKS = 500;

export function readMarks(store: Store, sessionId: number): Result<ReplayState["marks"], Fault> {
	const events = store.readEvents(sessionId);
	if (!events.ok) return events;
	const baselines = store.readBaselines(sessionId);
	if (!baselines.ok) return baselines;
	const isFollowed = followedRests(events.value);
	const wanted = [
		...events.value
			.filter(({ kind, label }) => !["status", "link", "check"].includes(kind) && label !== "")
			.map(({ ordinal, label }) => ({ ordinal, label })),
		...baselines.value
			.filter((baseline) => !isFollowed(baseline))
			.filter(({ takenAt, automatic }, i, all) => !automatic || all[i - 1]?.takenAt !== takenAt)
			.map(({ fromOrdinal }) => ({ ordinal: fromOrdinal, label: "Rest baseline" })),
	].slice(0, MOST_MARKS);
	const marks: { seconds: number; label: string }[] = [];
	for (const { ordinal, label } of wanted) {
		const read = store.readFrames(sessionId, ordinal, 1);
		if (!read.ok) return failure(read.error);
		const frame = read.value[0];
		if (frame !== undefined) marks.push({ seconds: frame.sessionMicros / 1e6, label });
	}
	return success(marks.sort((a, b) => a.seconds - b.seconds));
}
