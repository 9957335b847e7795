/** Frames of all bands together to volume pictures: which model, which rest, and what became of it. Nothing is made, and
 *  no thread started, before somebody asks. */

import type { Result } from "../../core/result.ts";
import { type BandSlips, createBandSlips } from "../../core/signal/band-slips.ts";
import type { Frame } from "../../core/wire/frame.ts";
import { PictureFlags } from "../../core/wire/picture-packet.ts";
import type { Fault, Trends, VolumePictureGeometry, VolumeState } from "../contract.ts";
import {
	createFrameHeader,
	type Picture,
	type PictureStream,
	type PictureStreamEvents,
} from "../pipeline/picture-stream.ts";
import type { VolumeBuilder } from "../pipeline/volume-builder.ts";
import type { BuiltVolume, VolumeRequest } from "../pipeline/volume-messages.ts";
import { placesOf } from "./band-places.ts";
import type { Clock } from "./clock.ts";
import { fitToModel, misfitFault, restInOhm } from "./fit-to-model.ts";
import { createJoinedFrames, type JoinedFrames } from "./joined-frames.ts";
import { joinedTerminals } from "./joined-terminals.ts";
import { createJoinedTrust, type JoinedTrust } from "./joined-trust.ts";
import type { LiveBand, LiveBaseline } from "./live-band.ts";
import type { SetUp } from "./set-up.ts";
import { createTrendLog, type TrendLog } from "./trend-log.ts";
import { createVolumeMaking, type TimedVolume } from "./volume-making.ts";

export interface LiveVolume {
	readonly state: VolumeState;
	/** From now on volume pictures are made, as soon and as long as that is possible. */
	start(): void;
	/** Gives up what is being made; nothing is made any more. */
	stop(): void;
	/** Bands, a rest or the set-up are others now. */
	refresh(): void;
	/** Another board: time begins again. */
	restart(): void;
	add(frame: Frame, receivedAt: number): void;
	geometry(geometryId: number): VolumePictureGeometry | null;
	trends(seconds: number): Trends;
	/** Somebody looks: whole pictures are made, not just region means. @returns what ends it. */
	watch(): () => void;
	dispose(): Promise<void>;
}

export interface LiveVolumeParts {
	readonly clock: Clock;
	readonly setUp: SetUp;
	readonly builder: VolumeBuilder;
	readonly createStream: (events: PictureStreamEvents) => PictureStream;
	readonly bands: () => ReadonlyMap<number, LiveBand>;
	/** That the board says it has; null before it has spoken. */
	readonly bandCount: () => number | null;
	readonly isSimulated: () => boolean;
	/** A picture packet, valid during the call only. */
	readonly onPacket: (packet: ArrayBuffer) => void;
	readonly onChange: () => void;
}

interface Ready {
	readonly modelId: number;
	readonly built: Omit<BuiltVolume, "model">;
	readonly seconds: number;
}

/** What frames are turned into pictures with. */
interface Measuring {
	readonly joined: JoinedFrames;
	readonly trust: JoinedTrust;
	readonly baselines: readonly (LiveBaseline | null)[];
	readonly scale: Float64Array;
	readonly fitted: Float64Array;
	readonly baselineId: number;
	readonly regionNoise: readonly number[];
	readonly slips: BandSlips;
}

const VOLUME_STREAM = 1;
/** One in the worker and one that waits: a third would only be late. */
const MOST_UNDER_WAY = 2;
/** Frames of all bands that lie farther apart than this are no line of a trend. */
const GAP_MICROS = 1e6;
const TREND_SECONDS = 7200;
const TREND_POINTS = 4000;

export function createLiveVolume(parts: LiveVolumeParts): LiveVolume {
	const { clock, setUp, builder, onChange } = parts;
	const header = createFrameHeader(VOLUME_STREAM);
	let isWanted = false;
	let watchers = 0;
	let stream: PictureStream | null = null;
	let missing: "bands" | "places" | "rest" | null = null;
	/** Why nothing can be asked for, or pictured with the model that is there. */
	let fault: Fault | null = null;
	/** Why what was asked for could not be made. */
	let buildFault: Fault | null = null;
	const making = createVolumeMaking(clock, builder, onChange);
	/** What the model in use, or in the making, was asked for. */
	let key: string | null = null;
	let ready: Ready | null = null;
	let measuring: Measuring | null = null;
	let bands: readonly LiveBand[] = [];
	let trends: TrendLog | null = null;
	let begin = Number.NaN;
	let newest = Number.NaN;
	let sequence = 0;
	let underWay = 0;
	let isRestart = true;
	let isNewRest = false;
	/** 0 where all readings are trusted. */
	let trustId = 0;

	function theStream(): PictureStream {
		stream ??= parts.createStream({
			onPicture,
			onFailure(detail) {
				fault = { kind: "internal", detail };
				onChange();
			},
		});
		return stream;
	}

	function forgetMeasuring(): void {
		if (measuring !== null) stream?.forget(measuring.baselineId);
		if (trustId !== 0) stream?.forget(trustId);
		trustId = 0;
		measuring = null;
	}

	function forgetModel(): void {
		making.giveUp();
		buildFault = null;
		key = null;
		forgetMeasuring();
		if (ready !== null) stream?.forget(ready.modelId);
		ready = null;
	}

	/** What is to be measured with. @returns null where it cannot be; then says why */
	function requestNow(): VolumeRequest | null {
		missing = null;
		fault = null;
		bands = [...parts.bands().values()].sort((a, b) => a.bandIndex - b.bandIndex);
		const first = bands[0];
		if (first === undefined || bands.length < (parts.bandCount() ?? 1)) {
			missing = "bands";
			return null;
		}
		const { electrodeCount } = first.pattern;
		const body = setUp.forElectrodes(electrodeCount);
		const other = bands.find(({ pattern }) => pattern.electrodeCount !== electrodeCount);
		if (body === null || other !== undefined) {
			fault = {
				kind: "invalid-argument",
				path: "band.electrodeCount",
				expected: `${(other ?? first).pattern.electrodeCount}, as the board reports`,
				got: String(other === undefined ? setUp.limbAndBand.band.electrodeCount : electrodeCount),
			};
			return null;
		}
		const places = placesOf(body.limb, bands.length, body.places, parts.isSimulated());
		if (places === null) {
			missing = "places";
			return null;
		}
		return {
			limb: body.limb,
			band: body.band,
			places,
			terminals: joinedTerminals(
				bands.map(({ bandIndex, pattern: { terminals } }) => ({ bandIndex, terminals })),
				electrodeCount,
			),
			frequencyHertz: first.configuration.frequencyHertz,
		};
	}

	function refresh(): void {
		if (!isWanted) return;
		const request = requestNow();
		if (request === null) {
			// A board that comes back is most often the same: its model is kept as long as nothing else is asked for.
			forgetMeasuring();
			onChange();
			return;
		}
		const wanted = JSON.stringify({ ...request, terminals: Array.from(request.terminals) });
		if (wanted !== key) {
			forgetModel();
			key = wanted;
			void making.make(request, onMade);
		}
		takeRest();
		onChange();
	}

	function onMade(made: Result<TimedVolume, Fault>): void {
		if (made.ok) {
			const { model, ...built } = made.value.volume;
			const modelId = theStream().addModel(model);
			ready = { modelId, built, seconds: made.value.seconds };
			isRestart = true;
			underWay = 0;
			takeRest();
		} else {
			buildFault = made.error;
		}
		onChange();
	}

	/** Takes the bands' rests over once all have one and the model is there. */
	function takeRest(): void {
		if (ready === null) return;
		const baselines = bands.map(({ baseline }) => baseline);
		if (baselines.includes(null)) {
			forgetMeasuring();
			missing = "rest";
			return;
		}
		if (measuring?.baselines.every((baseline, b) => baseline === baselines[b]) === true) return;
		forgetMeasuring();
		const { modelRest, noisePerOhm } = ready.built;
		const fit = fitToModel(bands.map(restInOhm), modelRest);
		if (typeof fit === "number") {
			fault = misfitFault(fit);
			return;
		}
		measuring = {
			joined: createJoinedFrames(bands),
			trust: createJoinedTrust(bands),
			baselines,
			scale: fit.scale,
			fitted: new Float64Array(fit.scale.length),
			baselineId: theStream().addBaseline(fit.rest),
			regionNoise: Array.from(noisePerOhm, (perOhm) => perOhm * fit.noise),
			slips: createBandSlips(bandsUpwards(ready.built.geometry.bandHeights)),
		};
		isNewRest = true;
	}

	/** From the frame on that comes next. */
	function takeTrust({ trust }: Measuring): void {
		if (!trust.hasChanged()) return;
		if (trustId !== 0) stream?.forget(trustId);
		const kept = trust.kept();
		trustId = kept === null ? 0 : theStream().addTrust(kept);
		onChange();
	}

	function onPicture({ modelId, parts: packet, packet: bytes, moves }: Picture): void {
		underWay = Math.max(0, underWay - 1);
		if (ready === null || modelId !== ready.modelId) return;
		if ((packet.flags & PictureFlags.restart) !== 0) trends = null;
		trends ??= createTrendLog(ready.built.regions, TREND_SECONDS);
		trends.append(
			packet.timeMicros / 1e6,
			packet.regionMeans,
			(packet.flags & (PictureFlags.afterGap | PictureFlags.newRest)) !== 0,
		);
		if (measuring?.slips.take(packet.timeMicros / 1e6, moves) === true) onChange();
		if (packet.nodeValues.length > 0) parts.onPacket(bytes);
	}

	return {
		get state(): VolumeState {
			if (!isWanted) return { state: "off" };
			const failed = fault ?? buildFault;
			if (failed !== null) return { state: "failed", fault: failed };
			if (making.progress !== null) return { state: "preparing", ...making.progress };
			if (ready === null || measuring === null) return { state: "waiting", for: missing ?? "rest" };
			if (measuring.joined.isWaiting) return { state: "waiting", for: "bands" };
			return {
				state: "ready",
				geometryId: ready.modelId,
				seconds: ready.seconds,
				wasKept: ready.built.wasKept,
				regionNoise: measuring.regionNoise,
				leftOut: bands.map(({ watch }) => watch.leftOut.electrodes.map(({ electrode }) => electrode + 1)),
				isTrustworthy: bands.every(({ watch }) => watch.leftOut.isTrustworthy),
				slips: measuring.slips.slips,
			};
		},
		start() {
			// Asked again after a failure: tried again.
			if (fault !== null || buildFault !== null) forgetModel();
			isWanted = true;
			refresh();
		},
		stop() {
			isWanted = false;
			fault = null;
			missing = null;
			trends = null;
			forgetModel();
			onChange();
		},
		refresh,
		restart() {
			begin = Number.NaN;
			isRestart = true;
		},
		add(frame, receivedAt) {
			if (ready === null || measuring === null || stream === null) return;
			const { joined, scale, fitted } = measuring;
			const wasWaiting = joined.isWaiting;
			const isWhole = joined.add(frame);
			if (joined.isWaiting !== wasWaiting) onChange();
			if (!isWhole || underWay >= MOST_UNDER_WAY) return;
			if (Number.isNaN(begin)) begin = frame.timeMicros;
			for (let i = 0; i < fitted.length; i++) fitted[i] = joined.values[i]! * scale[i]!;
			header.modelId = ready.modelId;
			takeTrust(measuring);
			header.baselineId = measuring.baselineId;
			header.trustId = trustId;
			header.sequence = sequence;
			header.flags =
				PictureFlags.volume |
				(parts.isSimulated() ? PictureFlags.simulated : 0) |
				(frame.timeMicros - newest > GAP_MICROS ? PictureFlags.afterGap : 0) |
				(isNewRest ? PictureFlags.newRest : 0) |
				(isRestart ? PictureFlags.restart : 0);
			header.timeMicros = frame.timeMicros - begin;
			header.receivedAt = receivedAt;
			header.withImage = watchers > 0;
			if (!stream.push(header, fitted, 1)) return;
			sequence = (sequence + 1) >>> 0;
			underWay++;
			newest = frame.timeMicros;
			isRestart = false;
			isNewRest = false;
		},
		geometry(geometryId) {
			return ready?.modelId === geometryId ? { ...ready.built.geometry, geometryId } : null;
		},
		trends: (seconds) => trends?.last(seconds, TREND_POINTS) ?? { regions: [], seconds: [], values: [] },
		watch() {
			watchers++;
			let isEnded = false;
			return () => {
				if (!isEnded) watchers--;
				isEnded = true;
			};
		},
		async dispose() {
			isWanted = false;
			forgetModel();
			await builder.dispose();
			await stream?.dispose();
		},
	};
}

/** Numbers of the bands from the one nearest to the knee on. */
function bandsUpwards(heights: readonly number[]): number[] {
	return [...heights.keys()].sort((a, b) => heights[a]! - heights[b]!);
}
