/** Frames of all bands to pictures and region means: which model and which rest each band has, and what became of it. */

import {
	createElectrodeMisfit,
	type ElectrodeMisfit,
	isJudgedByMisfit,
} from "../../core/picture/electrode-misfit.ts";
import type { PictureModel } from "../../core/picture/picture-model.ts";
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { Frame } from "../../core/wire/frame.ts";
import { PictureFlags, type PicturePacket } from "../../core/wire/picture-packet.ts";
import type { AppState, TrendMarks, Trends } from "../contract.ts";
import type { ModelRequest } from "../pipeline/messages.ts";
import { createFrameHeader, type Picture, type PictureStream } from "../pipeline/picture-stream.ts";
import type { Clock } from "./clock.ts";
import { type LiveBand, ohmPerUnit, takenRest } from "./live-band.ts";
import { createModelSlot, type ModelSlot, type ModelSlotParts, type ReadyModel } from "./model-slot.ts";
import { createRestFollowing, type RestFollowing } from "./rest-following.ts";
import type { SetUp } from "./set-up.ts";
import { restForModel } from "./stored-rest.ts";
import { createTrendLog, type TrendLog } from "./trend-log.ts";
import { createTrendMarking, noMarks, type TrendMarking } from "./trend-marks.ts";

export interface LivePictures {
	/** Another board: time begins again. */
	restart(): void;
	/** The stream was broken off: lines of trends do too. */
	breakOff(): void;
	/** A band came or changed, got another baseline, or the set-up or the settings of pictures did. */
	prepare(band: LiveBand): void;
	/** Its rest has followed drift: frames from the next one on are compared with that, in the same model's pictures. */
	followRest(band: LiveBand): void;
	/** @param token comes back with the frame's result */
	add(band: LiveBand, frame: Frame, receivedAt: number, lostBefore: number, token: number): void;
	/** Takes a picture of this stream back. @returns what it was made with; null for a band that is gone. */
	take(picture: Picture): LiveResult | null;
	state(bandIndex: number): AppState["picture"];
	/** What region means of the band are made with, once no other model is being prepared; null before a rest. */
	measuring(bandIndex: number): Promise<Measuring | null>;
	/** What the band's picture is made of; null before a rest. */
	pictured(bandIndex: number): Pictured | null;
	trends(bandIndex: number, seconds: number): Trends;
	/** In the trends' seconds. */
	marks(bandIndex: number): TrendMarks;
	/** Settles once every frame that was sent has come back, or none has for a moment: some never will. */
	settled(): Promise<void>;
	/** Frames that were received but not pictured because the worker was too far behind. */
	readonly skipped: number;
	/** Forgets all bands. */
	clear(): void;
	dispose(): void;
}

export interface LiveResult {
	readonly bandIndex: number;
	readonly model: ReadyModel;
	readonly token: number;
	/** The board's clock, s. */
	readonly seconds: number;
	/** The first picture from another rest. */
	readonly isRestart: boolean;
	/** What pictures of the band are made without just now. */
	readonly leftOut: LeftOut;
	/** From when on pictures may be wrong, as `ElectrodeWatch` has it; the board's clock, s. */
	readonly doubtfulSince: number;
	/** Pictures that were wrong before what fails was found last; null before any. */
	readonly wrong: WrongTime | null;
	/** [nReadings] ohm, where drift has moved the band's rest that far; null else. */
	readonly drifted: Float64Array | null;
}

/** The board's clock, s; `to` is the first moment that is right again. */
export interface WrongTime {
	readonly from: number;
	readonly to: number;
}

export interface Measuring {
	readonly band: LiveBand;
	readonly model: ReadyModel;
	/** The board's clock at the newest frame, s. */
	readonly seconds: number;
}

export interface Pictured {
	readonly model: ReadyModel;
	/** What the model was made of. */
	readonly request: ModelRequest;
	/** [nReadings] of the newest frame; overwritten by the next. Null before the first. */
	readonly ohm: Float64Array | null;
	/** [nReadings] share of its information that each reading keeps; null where all keep it. */
	readonly kept: Float64Array | null;
}

interface Entry {
	band: LiveBand;
	readonly slot: ModelSlot;
	/** 0 for none. */
	baselineId: number;
	baselineOf: LiveBand["baseline"];
	/** 0 where all readings are trusted. */
	trustId: number;
	trustOf: LeftOut | null;
	wrong: WrongTime | null;
	/** Null where reciprocity tells of electrodes. */
	misfit: ElectrodeMisfit | null;
	restart: boolean;
	isNewRest: boolean;
	isFollowedRest: boolean;
	following: RestFollowing | null;
	gap: boolean;
	/** Models by number, so that a picture made just before a rebuild still finds its own. */
	readonly models: Map<number, ReadyModel>;
	trends: TrendLog | null;
	marking: TrendMarking;
	trendRegions: string;
	/** Which the model in use was asked for. */
	terminals: Uint16Array | null;
	/** The board's clock at the newest frame, s; NaN before it. */
	newest: number;
	/** What the newest model was asked for with. */
	request: ModelRequest | null;
	/** [nReadings] ohm, of the newest frame that was pictured. */
	ohm: Float64Array | null;
}

export const LIVE_STREAM = 1;
const TREND_SECONDS = 7200;
const TREND_POINTS = 4000;
const SETTLE_MS = 250;
/** Between wrong spans that count as one: less could not be told of anyhow. */
const JOINED_SECONDS = 0.2;

export function createLivePictures(
	parts: ModelSlotParts & { readonly clock: Clock },
	setUp: SetUp,
	isSimulated: () => boolean,
	mayFollowRest: (band: LiveBand) => boolean,
): LivePictures {
	const entries = new Map<number, Entry>();
	const stream: PictureStream = parts.stream;
	let streamBegin = Number.NaN;
	let skipped = 0;
	let underWay = 0;
	let onReturn: (() => void) | null = null;
	const header = { ...createFrameHeader(LIVE_STREAM), token: -1 };

	function entryOf(band: LiveBand): Entry {
		const known = entries.get(band.bandIndex);
		if (known !== undefined) {
			known.band = band;
			return known;
		}
		const entry: Entry = {
			band,
			slot: createModelSlot({
				...parts,
				onChange: () => modelChanged(entry),
				onModel: (model, request) => watchMisfit(entry, model, request),
			}),
			baselineId: 0,
			baselineOf: null,
			trustId: 0,
			trustOf: null,
			wrong: null,
			misfit: null,
			restart: true,
			isNewRest: false,
			isFollowedRest: false,
			following: null,
			gap: false,
			models: new Map(),
			trends: null,
			marking: createTrendMarking(),
			trendRegions: "",
			terminals: null,
			newest: Number.NaN,
			request: null,
			ohm: null,
		};
		entries.set(band.bandIndex, entry);
		return entry;
	}

	function modelChanged(entry: Entry): void {
		const { ready } = entry.slot;
		if (ready !== null && !entry.models.has(ready.modelId)) {
			entry.models.set(ready.modelId, ready);
			for (const id of entry.models.keys()) if (entry.models.size > 2) entry.models.delete(id);
		}
		parts.onChange();
	}

	/** Where reciprocity says nothing of electrodes, whether their readings fit the others' does. */
	function watchMisfit(entry: Entry, model: PictureModel, { terminals, noise }: ModelRequest): void {
		const { pattern, watch, baseline, configuration } = entry.band;
		entry.misfit = null;
		watch.setStrangers(null);
		const isOfBand = terminals === pattern.terminals;
		if (baseline === null || noise === null || !isOfBand || !isJudgedByMisfit(pattern)) return;
		const { fold, dataSpace, readingCount, ohmMetrePerUnit } = model;
		// the model itself is moved to the worker
		const own = structuredClone({ fold, dataSpace, readingCount, ohmMetrePerUnit });
		const misfit = createElectrodeMisfit(own, pattern);
		const scale = ohmPerUnit(configuration);
		misfit.setBaseline(baseline.rest.median.map((value) => value * scale));
		const ohm = new Float64Array(readingCount);
		watch.setStrangers((readings) => {
			for (let r = 0; r < readingCount; r++) ohm[r] = readings[r]! * scale;
			return misfit.judge(ohm);
		});
		entry.misfit = misfit;
	}

	function takeBaseline(entry: Entry): void {
		const { baseline } = entry.band;
		if (entry.baselineOf === baseline) return;
		if (entry.baselineId !== 0) stream.forget(entry.baselineId);
		// one rest after another is the same band on the same limb
		if (entry.baselineId === 0 || baseline === null) entry.restart = true;
		else if (baseline.followedFrom === null) entry.isNewRest = true;
		else entry.isFollowedRest = true;
		entry.baselineOf = baseline;
		entry.baselineId = 0;
		if (baseline === null) return;
		const scale = ohmPerUnit(baseline.configuration);
		const ohm = baseline.rest.median.map((value) => value * scale);
		entry.baselineId = stream.addBaseline(ohm);
		entry.misfit?.setBaseline(ohm);
	}

	/** From the frame on that comes next. @param seconds its time in the trends @param now the same by the board's clock */
	function takeTrust(entry: Entry, seconds: number, now: number): void {
		const { leftOut } = entry.band.watch;
		if (entry.trustOf === leftOut) return;
		const isSame = entry.trustOf?.kept === leftOut.kept;
		entry.trustOf = leftOut;
		entry.marking.leaveOut(seconds, leftOut);
		if (leftOut.wrongSeconds > 0) entry.wrong = joinWrong(entry.wrong, now - leftOut.wrongSeconds, now);
		if (isSame) return;
		if (entry.trustId !== 0) stream.forget(entry.trustId);
		entry.trustId = leftOut.kept === null ? 0 : stream.addTrust(leftOut.kept);
	}

	function restOf({ baseline, watch }: LiveBand): Pick<ModelRequest, "noise" | "rest"> {
		if (baseline === null) return { noise: null, rest: null };
		const scale = ohmPerUnit(baseline.configuration);
		// a model is made once for a rest, in a replay, too
		return restForModel(takenRest(baseline).rest, () => scale, watch.leftOut.keptAtRest);
	}

	/** @returns the band's rest, in ohm, where it has drifted and is to be followed */
	function follow(entry: Entry, model: ReadyModel, packet: PicturePacket): Float64Array | null {
		const { baseline } = entry.band;
		if (baseline === null || entry.slot.ready !== model) return null;
		const taken = takenRest(baseline);
		if (entry.following === null || !entry.following.isOf(model, taken)) {
			const scale = ohmPerUnit(baseline.configuration);
			const { own } = entry.band;
			entry.following = createRestFollowing(model, taken, baseline.rest, own, scale, packet.timeMicros / 1e6);
		}
		return entry.following.take(packet, entry.baselineId, mayFollowRest(entry.band));
	}

	/** Pictures of another prior or noise have other means, but of the same regions: one line goes on. */
	function trendsOf(entry: Entry, model: ReadyModel): TrendLog {
		const key = model.regions.map(({ id }) => id).join(" ");
		if (entry.trends === null || entry.trendRegions !== key) {
			entry.trends = createTrendLog(model.regions, TREND_SECONDS);
			entry.trendRegions = key;
		}
		return entry.trends;
	}

	function startTrends(entry: Entry, seconds: number): void {
		entry.trends = null;
		entry.marking = createTrendMarking();
		if (entry.trustOf !== null) entry.marking.leaveOut(seconds, entry.trustOf);
	}

	return {
		restart() {
			streamBegin = Number.NaN;
			for (const entry of entries.values()) {
				entry.restart = true;
				entry.wrong = null;
			}
		},
		breakOff() {
			for (const entry of entries.values()) entry.gap = true;
		},
		prepare(band) {
			const entry = entryOf(band);
			takeBaseline(entry);
			const { electrodeCount, terminals } = band.pattern;
			// Another pattern may have as many readings: the old model would turn them into a wrong picture.
			if (entry.terminals !== terminals) entry.slot.clear();
			entry.terminals = terminals;
			const body = setUp.forElectrodes(electrodeCount);
			if (body === null) {
				entry.slot.refuse({
					kind: "invalid-argument",
					path: "band.electrodeCount",
					expected: `${electrodeCount}, as the board reports`,
					got: String(setUp.limbAndBand.band.electrodeCount),
				});
				return;
			}
			entry.ohm = null;
			entry.request = {
				bandIndex: band.bandIndex,
				body: { kind: "limb", limb: body.limb, band: body.band },
				electrodeCount,
				terminals,
				...restOf(band),
				frequencyHertz: band.configuration.frequencyHertz,
				settings: setUp.pictureSettings,
			};
			entry.slot.want(entry.request);
		},
		followRest(band) {
			const entry = entryOf(band);
			takeBaseline(entry);
			const { baseline } = band;
			if (entry.request === null || baseline === null) return;
			const scale = ohmPerUnit(baseline.configuration);
			entry.request = { ...entry.request, rest: baseline.rest.median.map((value) => value * scale) };
		},
		add(band, frame, receivedAt, lostBefore, token) {
			if (Number.isNaN(streamBegin)) streamBegin = frame.timeMicros;
			const entry = entries.get(band.bandIndex);
			if (entry === undefined) return;
			entry.newest = frame.timeMicros / 1e6;
			if (lostBefore > 0) entry.gap = true;
			const { ready } = entry.slot;
			takeTrust(entry, (frame.timeMicros - streamBegin) / 1e6, entry.newest);
			if (ready === null || entry.baselineId === 0) return;
			header.modelId = ready.modelId;
			header.baselineId = entry.baselineId;
			header.trustId = entry.trustId;
			header.bandIndex = band.bandIndex;
			header.sequence = frame.sequence;
			header.flags =
				(isSimulated() ? PictureFlags.simulated : 0) |
				(entry.gap ? PictureFlags.afterGap : 0) |
				(entry.isNewRest ? PictureFlags.newRest : 0) |
				(entry.isFollowedRest ? PictureFlags.followedRest : 0) |
				(entry.restart ? PictureFlags.restart : 0);
			header.timeMicros = frame.timeMicros - streamBegin;
			header.receivedAt = receivedAt;
			header.token = token;
			const scale = ohmPerUnit(band.configuration);
			entry.ohm ??= new Float64Array(frame.values.length);
			for (let r = 0; r < entry.ohm.length; r++) entry.ohm[r] = frame.values[r]! * scale;
			if (stream.push(header, frame.values, scale)) {
				underWay++;
				entry.gap = false;
				entry.restart = false;
				entry.isNewRest = false;
				entry.isFollowedRest = false;
				entry.following?.sent(frame.sequence, entry.baselineId, entry.ohm);
			} else {
				entry.gap = true;
				skipped++;
			}
		},
		take({ modelId, parts: packet, token }) {
			underWay--;
			onReturn?.();
			const entry = entries.get(packet.bandIndex);
			const model = entry?.models.get(modelId);
			if (entry === undefined || model === undefined) return null;
			const isRestart = (packet.flags & PictureFlags.restart) !== 0;
			if (isRestart) startTrends(entry, packet.timeMicros / 1e6);
			const isNewRest = (packet.flags & PictureFlags.newRest) !== 0;
			if (isNewRest) entry.marking.takeRest(packet.timeMicros / 1e6);
			const isFollowedRest = (packet.flags & PictureFlags.followedRest) !== 0;
			if (isFollowedRest) entry.marking.followRest(packet.timeMicros / 1e6);
			const afterGap = isNewRest || isFollowedRest || (packet.flags & PictureFlags.afterGap) !== 0;
			trendsOf(entry, model).append(packet.timeMicros / 1e6, packet.regionMeans, afterGap);
			return {
				bandIndex: packet.bandIndex,
				model,
				token,
				seconds: (streamBegin + packet.timeMicros) / 1e6,
				isRestart: isRestart || isNewRest,
				leftOut: entry.band.watch.leftOut,
				doubtfulSince: entry.band.watch.doubtfulSince,
				wrong: entry.wrong,
				drifted: follow(entry, model, packet),
			};
		},
		state: (bandIndex) => entries.get(bandIndex)?.slot.state ?? { state: "none" },
		async measuring(bandIndex) {
			await entries.get(bandIndex)?.slot.settled();
			const entry = entries.get(bandIndex);
			const model = entry?.slot.ready ?? null;
			if (entry === undefined || model === null || entry.baselineId === 0) return null;
			return Number.isNaN(entry.newest) ? null : { band: entry.band, model, seconds: entry.newest };
		},
		pictured(bandIndex) {
			const entry = entries.get(bandIndex);
			const model = entry?.slot.ready ?? null;
			if (entry === undefined || model === null || entry.request === null || entry.baselineId === 0)
				return null;
			return { model, request: entry.request, ohm: entry.ohm, kept: entry.trustOf?.kept ?? null };
		},
		trends(bandIndex, seconds) {
			const trends = entries.get(bandIndex)?.trends;
			return trends?.last(seconds, TREND_POINTS) ?? { regions: [], seconds: [], values: [] };
		},
		marks: (bandIndex) => entries.get(bandIndex)?.marking.marks ?? noMarks,
		settled() {
			if (underWay <= 0) return Promise.resolve();
			return new Promise((resolve) => {
				let stopWaiting: () => void = () => undefined;
				onReturn = (): void => {
					stopWaiting();
					if (underWay > 0) stopWaiting = parts.clock.after(SETTLE_MS, done);
					else done();
				};
				function done(): void {
					onReturn = null;
					// Frames whose model was replaced under way give no picture: they are not waited for again.
					underWay = 0;
					resolve();
				}
				stopWaiting = parts.clock.after(SETTLE_MS, done);
			});
		},
		get skipped() {
			return skipped;
		},
		clear() {
			for (const entry of entries.values()) {
				entry.slot.dispose();
				if (entry.baselineId !== 0) stream.forget(entry.baselineId);
				if (entry.trustId !== 0) stream.forget(entry.trustId);
			}
			entries.clear();
			streamBegin = Number.NaN;
			parts.onChange();
		},
		dispose() {
			for (const entry of entries.values()) entry.slot.dispose();
			entries.clear();
		},
	};
}

/** Electrodes that fail together are found one soon after the other, while pictures are still under way. */
function joinWrong(before: WrongTime | null, from: number, to: number): WrongTime {
	const isNext = before !== null && before.from <= from && from - before.to < JOINED_SECONDS;
	return { from: isNext ? before.from : from, to };
}
