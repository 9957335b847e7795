/** Region means of a stored session's volumes from its first frame to its last, computed from the frames as they were
 *  received: nothing of it is kept. */
import { failure, type Result, success } from "../../core/result.ts";
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { Fault } from "../contract.ts";
import { keyOf } from "../pipeline/kept-models.ts";
import {
	createFrameHeader,
	type PictureStream,
	type PictureStreamEvents,
} from "../pipeline/picture-stream.ts";
import type { VolumeBuilder } from "../pipeline/volume-builder.ts";
import type { BuiltVolume } from "../pipeline/volume-messages.ts";
import { VOLUME_ALGORITHM } from "../pipeline/volume-version.ts";
import type { VolumeMeans } from "../store/export-volume.ts";
import type { SessionDetail, StoredFrame } from "../store/records.ts";
import type { Store } from "../store/store.ts";
import type { Clock } from "./clock.ts";
import { misfitFault } from "./fit-to-model.ts";
import { APART_MICROS } from "./joined-frames.ts";
import { createLeftOutHistory } from "./left-out-history.ts";
import { createStoredVolume, type StoredVolume } from "./stored-volume.ts";

export interface VolumeMeansParts {
	readonly store: Store;
	readonly clock: Clock;
	readonly builder: VolumeBuilder;
	/** Of a picture worker; let go of at the end. */
	readonly createStream: (events: PictureStreamEvents) => PictureStream;
}

/** Read at a time, so that live frames find room beside them. */
const CHUNK_FRAMES = 64;
/** Of all work: finding or making the model. */
const MODEL_SHARE = 0.2;

/** @param onShare share of the work, 0 to 1
 *  @returns `cancelled` soon after `signal` aborts */
export async function collectVolumeMeans(
	parts: VolumeMeansParts,
	sessionId: number,
	onShare: (share: number) => void,
	signal: AbortSignal,
): Promise<Result<VolumeMeans, Fault>> {
	const read = readStoredVolume(parts.store, sessionId);
	if (!read.ok) return read;
	const { detail, volume } = read.value;
	const found = await parts.builder.build(volume.request, (_, share) => onShare(MODEL_SHARE * share), signal);
	if (!found.ok) return found;
	const rows = await computeRows(
		parts,
		detail,
		volume,
		found.value,
		(share) => onShare(MODEL_SHARE + (1 - MODEL_SHARE) * share),
		signal,
	);
	if (!rows.ok) return rows;
	const { prior, rule, lambda, noiseFigure, unit } = found.value.geometry;
	const { limb, band, places, frequencyHertz } = volume.request;
	return success({
		detail,
		limb,
		band,
		places,
		frequencyHertz,
		algorithmVersion: VOLUME_ALGORITHM,
		modelHash: keyOf(volume.request, VOLUME_ALGORITHM),
		geometry: { prior, rule, lambda, noiseFigure, unit },
		regions: found.value.regions,
		...rows.value,
	});
}

function readStoredVolume(
	store: Store,
	sessionId: number,
): Result<{ readonly detail: SessionDetail; readonly volume: StoredVolume }, Fault> {
	const detail = store.session(sessionId);
	if (!detail.ok) return detail;
	const baselines = store.readBaselines(sessionId);
	if (!baselines.ok) return baselines;
	const events = store.readEvents(sessionId);
	if (!events.ok) return events;
	const volume = createStoredVolume({
		detail: detail.value,
		baselines: baselines.value,
		events: events.value,
		history: createLeftOutHistory(detail.value, events.value),
	});
	return volume.ok ? success({ detail: detail.value, volume: volume.value }) : volume;
}

type Rows = Pick<VolumeMeans, "seconds" | "ordinals" | "means" | "rests" | "leftOut">;

async function computeRows(
	{ store, clock, createStream }: VolumeMeansParts,
	{ summary }: SessionDetail,
	volume: StoredVolume,
	{ model, ...built }: BuiltVolume,
	onShare: (share: number) => void,
	signal: AbortSignal,
): Promise<Result<Rows, Fault>> {
	const seconds: number[] = [];
	const ordinals: number[] = [];
	const means: number[] = [];
	const rests: Rows["rests"][number][] = [];
	const leftOut: Rows["leftOut"][number][] = [];
	const header = { ...createFrameHeader(0), withImage: false };
	let broken: string | null = null;
	let came = 0;
	let wake: () => void = () => undefined;
	const stream = createStream({
		onPicture({ parts }) {
			for (const mean of parts.regionMeans) means.push(mean);
			came++;
			wake();
		},
		onFailure(detail) {
			broken = detail;
			wake();
		},
	});
	header.modelId = stream.addModel(model);
	const frames = volume.framesFor(built, stream);
	const stop = (): void => wake();
	signal.addEventListener("abort", stop);
	const isOver = (): boolean => signal.aborted || broken !== null;
	const newest = new Map<number, StoredFrame>();
	let lastLeftOut: readonly (LeftOut | null)[] = volume.bands.map(() => null);

	/** Once each band has given a frame since the last time, as live. */
	async function add(frame: StoredFrame): Promise<void> {
		for (const [band, { sessionMicros }] of newest)
			if (frame.sessionMicros - sessionMicros > APART_MICROS) newest.delete(band);
		newest.set(frame.bandIndex, frame);
		if (newest.size < volume.bands.length) return;
		const together = volume.bands.map((band) => newest.get(band)!);
		newest.clear();
		const one = frames.read(together);
		if (one === null) return;
		const row = seconds.length;
		if (rests.at(-1)?.regionNoise !== one.regionNoise) rests.push({ row, regionNoise: one.regionNoise });
		if (one.leftOut.some((lost, b) => lost !== lastLeftOut[b])) {
			lastLeftOut = [...one.leftOut];
			leftOut.push({ row, electrodes: lastLeftOut.map(numbersOf) });
		}
		header.baselineId = one.baselineId;
		header.trustId = one.trustId;
		header.timeMicros = frame.sessionMicros;
		while (!isOver() && !stream.push(header, one.values, 1))
			await new Promise<void>((resolve) => clock.after(5, resolve));
		seconds.push(frame.sessionMicros / 1e6);
		ordinals.push(frame.ordinal);
	}

	try {
		// up to the frames that there were, so that a recording under way comes to an end
		for (let ordinal = 0; ordinal < summary.frameCount && !isOver(); ) {
			const count = Math.min(CHUNK_FRAMES, summary.frameCount - ordinal);
			const read = store.readFrames(summary.id, ordinal, count);
			if (!read.ok) return read;
			if (read.value.length === 0) break;
			for (const frame of read.value) if (volume.bands.includes(frame.bandIndex)) await add(frame);
			ordinal = read.value.at(-1)!.ordinal + 1;
			onShare(ordinal / summary.frameCount);
			while (came < seconds.length && !isOver()) {
				await new Promise<void>((resolve) => {
					wake = resolve;
				});
			}
		}
		if (signal.aborted) return failure({ kind: "cancelled" });
		if (broken !== null) return failure({ kind: "internal", detail: broken });
		if (frames.misfit !== null && seconds.length === 0) return failure(misfitFault(frames.misfit));
		return success({
			seconds: Float64Array.from(seconds),
			ordinals: Uint32Array.from(ordinals),
			means: Float32Array.from(means),
			rests,
			leftOut,
		});
	} finally {
		signal.removeEventListener("abort", stop);
		frames.dispose();
		stream.forget(header.modelId);
		await stream.dispose();
	}
}

/** Of the electrodes that are left out, from 1. */
function numbersOf(leftOut: LeftOut | null): number[] {
	return leftOut?.electrodes.map(({ electrode }) => electrode + 1) ?? [];
}
