/** Mean pictures over the holds of a stored set, made by the picture worker from the frames as they were received. */
import { failure, type Result, success } from "../../core/result.ts";
import type { AveragePicture, Fault, RequestArgument, SetRecord } from "../contract.ts";
import { createFrameHeader, type Picture, type PictureStream } from "../pipeline/picture-stream.ts";
import { leftOutRecords } from "../store/left-out-record.ts";
import type { StoredFrame } from "../store/records.ts";
import type { Store } from "../store/store.ts";
import { readWrongSpans, wrongSpanOf } from "../store/wrong-spans.ts";
import type { Clock } from "./clock.ts";
import { createLeftOutHistory } from "./left-out-history.ts";
import { LIVE_STREAM } from "./live-pictures.ts";
import type { ModelSlotParts } from "./model-slot.ts";
import { createReplayPictures, type ReplayPictures } from "./replay-pictures.ts";

export interface AveragePictures {
	/** One after another. */
	get(
		wish: RequestArgument<"getAveragePicture">,
		signal: AbortSignal,
	): Promise<Result<AveragePicture, Fault>>;
	/** @returns whether the picture was one of these. */
	take(picture: Picture): boolean;
	/** Safe twice. */
	dispose(): void;
}

export interface AveragePictureParts extends Omit<ModelSlotParts, "onChange"> {
	readonly store: Store;
	readonly stream: PictureStream;
	readonly clock: Clock;
}

/** Between the live stream's number and those of replays. */
const AVERAGE_STREAM = LIVE_STREAM + 1;
const CHUNK_FRAMES = 64;
/** More make no better mean: they are taken evenly from the whole set. */
const MOST_FRAMES = 600;
const BAND = 0;

interface Span {
	readonly from: number;
	readonly to: number;
}

export function createAveragePictures(parts: AveragePictureParts): AveragePictures {
	const { store, stream, clock } = parts;
	let queue: Promise<unknown> = Promise.resolve();
	/** Kept for the next set of the same session. */
	let open: { readonly sessionId: number; readonly pictures: ReplayPictures } | null = null;
	let take: (picture: Picture) => void = () => undefined;
	let disposed = false;
	const header = { ...createFrameHeader(AVERAGE_STREAM), bandIndex: BAND };

	function picturesOf(sessionId: number): Result<ReplayPictures, Fault> {
		if (open?.sessionId === sessionId) return success(open.pictures);
		const detail = store.session(sessionId);
		if (!detail.ok) return detail;
		const baselines = store.readBaselines(sessionId);
		if (!baselines.ok) return baselines;
		open?.pictures.dispose();
		const events = store.readEvents(sessionId);
		if (!events.ok) return events;
		const pictures = createReplayPictures(
			{ ...parts, onChange: () => undefined },
			detail.value,
			baselines.value,
			createLeftOutHistory(detail.value, events.value),
		);
		pictures.use(BAND);
		open = { sessionId, pictures };
		return success(pictures);
	}

	/** Without those that an electrode had spoiled before it was found. */
	function framesOf(sessionId: number, spans: readonly Span[]): Result<StoredFrame[], Fault> {
		const events = store.readEvents(sessionId);
		if (!events.ok) return events;
		const wrong = readWrongSpans(store, sessionId, leftOutRecords(events.value));
		if (!wrong.ok) return wrong;
		const found: StoredFrame[] = [];
		for (const { from, to } of spans) {
			const first = store.ordinalAt(sessionId, from * 1e6);
			if (!first.ok) return first;
			for (let ordinal = first.value; ; ) {
				const read = store.readFrames(sessionId, ordinal, CHUNK_FRAMES);
				if (!read.ok) return read;
				const within = read.value.filter(({ sessionMicros }) => sessionMicros <= to * 1e6);
				found.push(
					...within.filter((frame) => frame.bandIndex === BAND && wrongSpanOf(wrong.value, frame) === null),
				);
				if (read.value.length === 0 || within.length < read.value.length) break;
				ordinal = read.value.at(-1)!.ordinal + 1;
			}
		}
		return success(found);
	}

	async function average(
		pictures: ReplayPictures,
		frames: readonly StoredFrame[],
		signal: AbortSignal,
	): Promise<Omit<AveragePicture, "seconds"> | null> {
		const step = Math.max(1, Math.ceil(frames.length / MOST_FRAMES));
		await pictures.settled();
		// Asks for the model of these frames' own rest, where it is another.
		if (frames[0] !== undefined) pictures.readyFor(frames[0]);
		await pictures.settled();
		const { model } = pictures;
		if (model === null) return null;
		let sum = new Float64Array(0);
		let came = 0;
		let sent = 0;
		let wake: () => void = () => undefined;
		take = ({ parts: { nodeValues } }) => {
			if (sum.length === 0) sum = new Float64Array(nodeValues.length);
			for (let node = 0; node < sum.length; node++) sum[node]! += nodeValues[node]!;
			came++;
			wake();
		};
		const pause = (): Promise<void> =>
			new Promise((resolve) => {
				clock.after(5, resolve);
			});
		for (let i = 0; i < frames.length && !disposed && !signal.aborted; i += step) {
			const frame = frames[i]!;
			const rest = pictures.restFor(frame);
			if (rest === null) continue;
			Object.assign(header, rest, { modelId: model.modelId });
			header.sequence = frame.sequence;
			header.timeMicros = frame.sessionMicros;
			while (!stream.push(header, pictures.ohmOf(frame), 1) && !disposed) await pause();
			sent++;
		}
		while (came < sent && !disposed) {
			await new Promise<void>((resolve) => {
				wake = resolve;
			});
		}
		take = () => undefined;
		if (came === 0) return null;
		return { geometryId: model.modelId, nodeValues: Array.from(sum, (value) => value / came), frames: came };
	}

	async function get(
		{ sessionId, setId }: RequestArgument<"getAveragePicture">,
		signal: AbortSignal,
	): Promise<Result<AveragePicture, Fault>> {
		const sets = store.listSets(sessionId);
		if (!sets.ok) return sets;
		const set = sets.value.find(({ id }) => id === setId);
		if (set === undefined) return failure({ kind: "no-such-record", what: "set", id: setId });
		const spans = holdsOf(set);
		const frames = framesOf(sessionId, spans);
		if (!frames.ok) return frames;
		const pictures = picturesOf(sessionId);
		if (!pictures.ok) return pictures;
		const mean = await average(pictures.value, frames.value, signal);
		if (signal.aborted || disposed) return failure({ kind: "cancelled" });
		if (mean === null) {
			const { state } = pictures.value;
			if (state.state === "failed") return failure(state.fault);
			const expected = "a set with stored frames and a rest baseline";
			return failure({ kind: "invalid-argument", path: "setId", expected, got: "one without" });
		}
		return success({ ...mean, seconds: spans.reduce((sum, { from, to }) => sum + to - from, 0) });
	}

	return {
		get(wish, signal) {
			const turn = queue.then(() => get(wish, signal));
			queue = turn.catch(() => undefined);
			return turn;
		},
		take(picture) {
			if (picture.stream !== AVERAGE_STREAM) return false;
			take(picture);
			return true;
		},
		dispose() {
			if (disposed) return;
			disposed = true;
			open?.pictures.dispose();
			open = null;
		},
	};
}

/** From near the peak of each repetition for as long as it was held; all of a set that the person counted. */
function holdsOf(set: SetRecord): readonly Span[] {
	if (set.countedIn === null) return [{ from: set.startSeconds, to: set.endSeconds }];
	return set.repetitions
		.filter(({ kind }) => kind === "full")
		.map(({ onset, offset, timeToPeak, holdTime }) => {
			const from = Math.min(onset + timeToPeak, offset);
			return { from, to: Math.min(from + holdTime, offset) };
		});
}
