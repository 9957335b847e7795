/** Region means of a whole stored session: as they were computed while recording, or, where there are none (an imported
 *  file) or other settings are asked for, computed now from the stored frames. */
import { type Result, success } from "../../core/result.ts";
import type { Fault, Trends } from "../contract.ts";
import { createFrameHeader, type Picture, type PictureStream } from "../pipeline/picture-stream.ts";
import type { SessionDetail, StoredFrame, TrendColumns } from "../store/records.ts";
import type { Store } from "../store/store.ts";
import { ALGORITHM_VERSION } from "./algorithm-version.ts";
import type { Clock } from "./clock.ts";
import { joinTrends, type TrendRows } from "./join-trends.ts";
import type { ReadyModel } from "./model-slot.ts";
import type { PictureIds, ReplayPictures } from "./replay-pictures.ts";
import { thin } from "./trend-log.ts";

export interface ReplayTrends {
	collect(bandIndex: number, points: number): Promise<Result<Trends, Fault>>;
	/** A picture of this stream has come back. */
	take(picture: Picture): void;
	/** Another model is ready, or none any more. */
	modelChanged(): void;
	dispose(): void;
}

export interface ReplayTrendsParts {
	readonly store: Store;
	readonly stream: PictureStream;
	readonly clock: Clock;
	readonly streamId: number;
}

/** Frames sent at a time, so that live frames find room beside them. */
const CHUNK_FRAMES = 64;

export function createReplayTrends(
	{ store, stream, clock, streamId }: ReplayTrendsParts,
	detail: SessionDetail,
	pictures: ReplayPictures,
): ReplayTrends {
	const sessionId = detail.summary.id;
	let kept: (TrendRows & { modelId: number; bandIndex: number; model: ReadyModel }) | null = null;
	let queue: Promise<unknown> = Promise.resolve();
	let take: (picture: Picture) => void = () => undefined;
	let wake: () => void = () => undefined;
	let disposed = false;
	const header = { ...createFrameHeader(streamId), withImage: false };

	function stored(bandIndex: number, model: ReadyModel): Result<TrendRows | null, Fault> {
		const read = store.readTrends(sessionId, bandIndex);
		if (!read.ok) return read;
		const fitting = read.value.filter(
			({ series }) =>
				series.algorithmVersion === ALGORITHM_VERSION &&
				series.prior === model.geometry.prior &&
				series.rule === model.geometry.rule &&
				series.lambdaByHand === model.geometry.lambdaByHand &&
				series.allowsMovement === model.geometry.allowsMovement &&
				isSameRegions(series, model),
		);
		return success(fitting.length === 0 ? null : joinTrends(fitting, model.regions.length));
	}

	/** Sends every frame of the band through the picture worker for its means. */
	async function compute(bandIndex: number, model: ReadyModel): Promise<Result<TrendRows | null, Fault>> {
		const nRegions = model.regions.length;
		const seconds: number[] = [];
		const means: number[] = [];
		let sent = 0;
		const isOver = (): boolean => disposed || pictures.model !== model;
		const settled = (): Promise<void> =>
			new Promise((resolve) => {
				wake = resolve;
			});
		take = ({ parts }) => {
			seconds.push(parts.timeMicros / 1e6);
			for (let region = 0; region < nRegions; region++) means.push(parts.regionMeans[region]!);
		};
		for (let ordinal = 0; !isOver(); ) {
			const read = store.readFrames(sessionId, ordinal, CHUNK_FRAMES);
			if (!read.ok) return read;
			if (read.value.length === 0) break;
			for (const frame of read.value) {
				if (frame.bandIndex !== bandIndex) continue;
				const rest = pictures.restFor(frame);
				// No picture can be made of it: a frame without a rest, or of other settings.
				if (rest === null) continue;
				while (!send(frame, { modelId: model.modelId, ...rest }) && !isOver()) await pause();
				sent++;
			}
			ordinal = read.value.at(-1)!.ordinal + 1;
			while (seconds.length < sent && !isOver()) await settled();
		}
		return success(
			isOver() ? null : { seconds: Float64Array.from(seconds), means: Float32Array.from(means) },
		);
	}

	/** @returns false when the worker is too far behind to take it. */
	function send(frame: StoredFrame, ids: PictureIds): boolean {
		Object.assign(header, ids);
		header.bandIndex = frame.bandIndex;
		header.sequence = frame.sequence;
		header.timeMicros = frame.sessionMicros;
		return stream.push(header, pictures.ohmOf(frame), 1);
	}

	function pause(): Promise<void> {
		return new Promise((resolve) => {
			clock.after(5, resolve);
		});
	}

	/** Again with the new model when it changes under way. */
	async function columnsFor(
		bandIndex: number,
	): Promise<Result<(TrendRows & { model: ReadyModel }) | null, Fault>> {
		for (;;) {
			await pictures.settled();
			const { model } = pictures;
			if (model === null || disposed || model.regions.length === 0) return success(null);
			const known = stored(bandIndex, model);
			if (!known.ok) return known;
			const columns = known.value !== null ? known : await compute(bandIndex, model);
			if (!columns.ok) return columns;
			if (columns.value !== null) return success({ ...columns.value, model });
		}
	}

	return {
		async collect(bandIndex, points) {
			// One after another, for they share the stream; the second of two equal ones finds the first one's work done.
			const turn = queue.then(async () => {
				await pictures.settled();
				const modelId = pictures.model?.modelId;
				if (kept === null || kept.modelId !== modelId || kept.bandIndex !== bandIndex) {
					const columns = await columnsFor(bandIndex);
					if (!columns.ok) return columns;
					if (columns.value === null) return success(nothing);
					kept = { ...columns.value, modelId: columns.value.model.modelId, bandIndex };
				}
				return success(thin(kept.model.regions, kept.seconds, kept.means, points));
			});
			queue = turn.catch(() => undefined);
			return turn;
		},
		take(picture) {
			take(picture);
			wake();
		},
		modelChanged: () => wake(),
		dispose() {
			disposed = true;
			wake();
		},
	};
}

const nothing: Trends = { regions: [], seconds: [], values: [] };

function isSameRegions(series: TrendColumns["series"], model: ReadyModel): boolean {
	return (
		series.regions.length === model.regions.length &&
		series.regions.every(({ id }, i) => id === model.regions[i]!.id)
	);
}
