/** The volume at the moment that a replay is at. Nothing is made, and no thread started, before somebody asks. */
import { type Result, success } from "../../core/result.ts";
import { PictureFlags } from "../../core/wire/picture-packet.ts";
import type { Fault, Trends, VolumePictureGeometry, VolumeState } from "../contract.ts";
import { createFrameHeader, type PictureStream } from "../pipeline/picture-stream.ts";
import type { BuiltVolume } from "../pipeline/volume-messages.ts";
import type { VolumeMeans } from "../store/export-volume.ts";
import type { StoredFrame } from "../store/records.ts";
import { misfitFault } from "./fit-to-model.ts";
import { APART_MICROS } from "./joined-frames.ts";
import {
	createStoredVolume,
	type ReadVolume,
	type StoredVolume,
	type StoredVolumeFrames,
	type StoredVolumeParts,
} from "./stored-volume.ts";
import { thin } from "./trend-log.ts";
import { createVolumeMaking, type TimedVolume } from "./volume-making.ts";
import { collectVolumeMeans, type VolumeMeansParts } from "./volume-means.ts";

export interface ReplayVolume {
	readonly state: VolumeState;
	start(): void;
	/** Gives up what is being made; nothing is made any more. */
	stop(): void;
	/** A frame that the replay has reached, of whichever band. */
	add(frame: StoredFrame): void;
	/** The replay goes elsewhere. */
	seek(): void;
	/** Frames that come next: the first of each band that has given none since `seek`, for a moment before its first one. */
	lookAhead(frames: readonly StoredFrame[], from: number): void;
	/** Sends what was reached and not yet shown, where somebody looks. */
	show(): void;
	geometry(geometryId: number): VolumePictureGeometry | null;
	/** Of the whole session, computed once. */
	trends(points: number): Promise<Result<Trends, Fault>>;
	/** Safe twice. */
	dispose(): void;
}

export interface ReplayVolumeParts extends VolumeMeansParts {
	/** Whether somebody looks at volumes. */
	readonly isWatched: () => boolean;
	/** How often somebody has begun to. */
	readonly watchesBegun: () => number;
	/** A picture packet, valid during the call only. */
	readonly onPacket: (packet: ArrayBuffer) => void;
	readonly onChange: () => void;
}

interface Ready {
	readonly modelId: number;
	readonly built: Omit<BuiltVolume, "model">;
	readonly seconds: number;
	readonly frames: StoredVolumeFrames;
}

/** One in the worker and one that waits: a third would only be late. */
const MOST_UNDER_WAY = 2;

export function createReplayVolume(parts: ReplayVolumeParts, session: StoredVolumeParts): ReplayVolume {
	const { clock, builder, onChange } = parts;
	const { summary } = session.detail;
	const stored = createStoredVolume(session);
	const volume = stored.ok ? stored.value : null;
	const newest = new Map<number, StoredFrame>();
	const header = createFrameHeader(0);
	let isWanted = false;
	let stream: PictureStream | null = null;
	const making = createVolumeMaking(clock, builder, onChange);
	let fault: Fault | null = null;
	let ready: Ready | null = null;
	let reading: Pick<ReadVolume, "regionNoise" | "leftOut"> | null = null;
	let isDue = false;
	let seenBy = 0;
	let isRestart = true;
	let underWay = 0;
	let sequence = 0;
	let means: Promise<Result<VolumeMeans, Fault>> | null = null;
	const ended = new AbortController();

	function theStream(): PictureStream {
		stream ??= parts.createStream({
			onPicture({ modelId, packet }) {
				underWay = Math.max(0, underWay - 1);
				if (modelId === ready?.modelId) parts.onPacket(packet);
			},
			onFailure(detail) {
				fault = { kind: "internal", detail };
				onChange();
			},
		});
		return stream;
	}

	function onMade(volume: StoredVolume, made: Result<TimedVolume, Fault>): void {
		if (made.ok) {
			const { model, ...built } = made.value.volume;
			const modelId = theStream().addModel(model);
			const frames = volume.framesFor(built, theStream());
			ready = { modelId, built, seconds: made.value.seconds, frames };
			isDue = newest.size > 0;
			isRestart = true;
			underWay = 0;
			show();
		} else fault = made.error;
		onChange();
	}

	function letGo(): void {
		making.giveUp();
		fault = null;
		reading = null;
		ready?.frames.dispose();
		if (ready !== null) stream?.forget(ready.modelId);
		ready = null;
	}

	/** The newest of each band; null where one is missing or far off. */
	function together(bands: readonly number[]): StoredFrame[] | null {
		const found: StoredFrame[] = [];
		let first = Number.POSITIVE_INFINITY;
		let last = 0;
		for (const band of bands) {
			const frame = newest.get(band);
			if (frame === undefined) return null;
			first = Math.min(first, frame.sessionMicros);
			last = Math.max(last, frame.sessionMicros);
			found.push(frame);
		}
		return last - first > APART_MICROS ? null : found;
	}

	function show(): void {
		// Whoever begins to look while the replay is paused sees the moment that it is at.
		const begun = parts.watchesBegun();
		if (begun !== seenBy) isDue = newest.size > 0;
		seenBy = begun;
		if (!isDue || ready === null || stream === null || !parts.isWatched()) return;
		if (underWay >= MOST_UNDER_WAY || volume === null) return;
		const frames = together(volume.bands);
		const read = frames === null ? null : ready.frames.read(frames);
		if (frames === null || read === null) return;
		header.modelId = ready.modelId;
		header.baselineId = read.baselineId;
		header.trustId = read.trustId;
		header.sequence = sequence;
		header.flags =
			PictureFlags.volume |
			PictureFlags.replay |
			(summary.simulated ? PictureFlags.simulated : 0) |
			(isRestart ? PictureFlags.restart : 0);
		header.timeMicros = Math.max(...frames.map(({ sessionMicros }) => sessionMicros));
		header.receivedAt = clock.now();
		if (!stream.push(header, read.values, 1)) return;
		sequence = (sequence + 1) >>> 0;
		underWay++;
		isDue = false;
		isRestart = false;
		if (
			reading?.regionNoise !== read.regionNoise ||
			reading.leftOut.some((one, b) => one !== read.leftOut[b])
		) {
			reading = { regionNoise: read.regionNoise, leftOut: [...read.leftOut] };
			onChange();
		}
	}

	return {
		get state(): VolumeState {
			if (!stored.ok) {
				const { error } = stored;
				if (error.kind === "no-volume") return { state: "impossible", missing: error.missing };
				return { state: "failed", fault: error };
			}
			if (!isWanted) return { state: "off" };
			if (fault !== null) return { state: "failed", fault };
			if (ready !== null && ready.frames.misfit !== null && reading === null)
				return { state: "failed", fault: misfitFault(ready.frames.misfit) };
			if (ready === null)
				return { state: "preparing", ...(making.progress ?? { step: "Waiting", share: 0 }) };
			return {
				state: "ready",
				geometryId: ready.modelId,
				seconds: ready.seconds,
				wasKept: ready.built.wasKept,
				regionNoise: reading?.regionNoise ?? ready.built.regions.map(() => 0),
				leftOut: stored.value.bands.map(
					(_, b) => reading?.leftOut[b]?.electrodes.map(({ electrode }) => electrode + 1) ?? [],
				),
				isTrustworthy: reading?.leftOut.every((one) => one?.isTrustworthy !== false) ?? true,
			};
		},
		start() {
			if (fault !== null) letGo();
			isWanted = true;
			if (volume !== null && ready === null && making.progress === null) {
				void making.make(volume.request, (made) => onMade(volume, made));
			}
			onChange();
		},
		stop() {
			isWanted = false;
			letGo();
			onChange();
		},
		add(frame) {
			newest.set(frame.bandIndex, frame);
			isDue = true;
		},
		seek() {
			newest.clear();
			isRestart = true;
		},
		lookAhead(frames, from) {
			if (volume === null) return;
			for (let i = from; i < frames.length && newest.size < volume.bands.length; i++) {
				const frame = frames[i]!;
				if (newest.has(frame.bandIndex)) continue;
				newest.set(frame.bandIndex, frame);
				isDue = true;
			}
		},
		show,
		geometry(geometryId) {
			return ready?.modelId === geometryId ? { ...ready.built.geometry, geometryId } : null;
		},
		async trends(points) {
			means ??= collectVolumeMeans(parts, summary.id, () => undefined, ended.signal);
			const found = await means;
			if (!found.ok) {
				means = null;
				return found;
			}
			const { regions, seconds, means: values } = found.value;
			return success(thin(regions, seconds, values, points));
		},
		dispose() {
			ended.abort();
			isWanted = false;
			letGo();
			void stream?.dispose();
			stream = null;
		},
	};
}
