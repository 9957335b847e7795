/** What is happening now: the one owner of the link, its bands, their rests and pictures, and the recording. */
import { failure, type Result, success } from "../../core/result.ts";
import { FOLLOWED_SECONDS } from "../../core/signal/drift.ts";
import type { CheckResult } from "../../core/signal/signal-check.ts";
import type { BandAbility, BandStatus, DriveConfiguration, Frame } from "../../core/wire/frame.ts";
import type { AppState, Fault, LinkState, SourceChoice, Trends } from "../contract.ts";
import type { BoardCommand } from "../link/frame-source.ts";
import type { Picture } from "../pipeline/picture-stream.ts";
import { bandPlacesEvent } from "../store/band-places-record.ts";
import { toRfc3339 } from "../store/date-time.ts";
import type { Store } from "../store/store.ts";
import { ALGORITHM_VERSION } from "./algorithm-version.ts";
import { placesOf } from "./band-places.ts";
import { createBaselineTaking } from "./baseline-taking.ts";
import type { Clock } from "./clock.ts";
import { bandOff, leftOutState } from "./left-out-state.ts";
import { type LiveBand, type LiveBaseline, ohmPerUnit, setRest, takenRest } from "./live-band.ts";
import { createLiveLink, type LiveLinkEvents, limitMilliamp } from "./live-link.ts";
import {
	createLivePictures,
	LIVE_STREAM,
	type LiveResult,
	type Measuring,
	type Pictured,
} from "./live-pictures.ts";
import { createLiveVolume, type LiveVolume, type LiveVolumeParts } from "./live-volume.ts";
import type { ModelSlotParts } from "./model-slot.ts";
import { createRecording, type Recording } from "./recording.ts";
import type { SetUp } from "./set-up.ts";
import type { SourceFactory } from "./sources.ts";
import { refuseUntold } from "./told-cautions.ts";

export interface Live {
	state(): Pick<
		AppState,
		| "link"
		| "source"
		| "board"
		| "quality"
		| "contacts"
		| "leftOut"
		| "trendMarks"
		| "baseline"
		| "followsRest"
		| "takingBaseline"
		| "recording"
	>;
	readonly picture: AppState["picture"];
	readonly isRecording: boolean;
	readonly isSimulated: boolean;
	/** Of the band that is looked at, while the board streams; null else. */
	readonly drive: DriveConfiguration | null;
	/** Of the board, as far as they were announced. */
	readonly bands: ReadonlyMap<number, LiveBand>;
	/** What each band can be set to; none for boards that take no commands. */
	readonly abilities: ReadonlyMap<number, BandAbility>;
	/** As the board says; 0 without one. */
	readonly bandCount: number;
	/** Null without a board. */
	readonly boardSerial: string | null;
	readonly linkState: LinkState;
	readonly isTakingBaseline: boolean;
	/** The limit in force at a frequency, r.m.s. */
	limitMilliamp(frequencyHertz: number): number;
	/** Stops the board if its current is above the limit, which has become another. */
	enforceLimit(): void;
	/** Number of the session that is being recorded; null for none. */
	readonly recordedSession: number | null;
	/** What the picture of the band that is looked at is made of; null without one, or without a rest. */
	readonly pictured: Pictured | null;
	/** What region means of the band that is looked at are made with, once no other model is being prepared. */
	measuring(): Promise<Result<Measuring, Fault>>;
	/** Settles after the first attempt, with its fault. */
	connect(choice: SourceChoice | null, createSource: SourceFactory): Promise<Result<null, Fault>>;
	disconnect(): Promise<void>;
	send(command: BoardCommand): Promise<Result<null, Fault>>;
	takeBaseline(seconds: number, signal: AbortSignal): Promise<Result<null, Fault>>;
	selectBand(bandIndex: number): Result<null, Fault>;
	/** The set-up or the settings of pictures have changed. */
	prepareAgain(): void;
	/** Whether rest is followed has been changed. */
	noteRestFollowing(): void;
	/** The bands were put on anew: rest is taken again by itself. */
	forgetRest(): void;
	startRecording(title: string): Result<{ sessionId: number }, Fault>;
	stopRecording(): Promise<Result<{ sessionId: number }, Fault>>;
	/** Beside the frames, where a recording runs. @param detail plain data */
	note(label: string, detail: unknown): void;
	trends(seconds: number): Trends;
	/** Takes a picture back. @returns false when it is not of the live stream. */
	take(picture: Picture): boolean;
	/** Pictures of all bands together. */
	readonly volume: LiveVolume;
	/** Where the board's bands sit, as far as it is known; as entered without a board. */
	readonly places: AppState["setup"]["places"];
	/** Whether a picture that was taken is of the band that is looked at. */
	isSelected(bandIndex: number): boolean;
	dispose(): Promise<void>;
}

export interface LiveParts extends Omit<ModelSlotParts, "onChange"> {
	readonly clock: Clock;
	readonly setUp: SetUp;
	readonly store: Store | null;
	/** Why there is no store. */
	readonly storeFault: () => Fault | null;
	readonly onChange: () => void;
	/** Whether somebody is in the middle of something that is measured from the rest before it. */
	readonly isBusy: () => boolean;
	readonly follower: LiveFollower;
	readonly watcher: SignalWatcher;
	/** The largest current that is allowed, r.m.s. */
	readonly workingLimitAmpere: () => number;
	/** What is kept with a recording that begins. */
	readonly checkResult: () => CheckResult | null;
	/** What volume pictures are made with and where they go. */
	readonly volume: Pick<LiveVolumeParts, "builder" | "createStream" | "onPacket">;
}

/** Whoever follows what is measured: the desks at which a person works. */
export interface LiveFollower {
	/** `means` [model.regions] are valid during the call. */
	onMeans(result: LiveResult, means: Float32Array): void;
	/** The stream was broken off. */
	onBreak(fault: Fault): void;
	/** Another board: its clock begins anew. */
	onOtherBoard(): void;
}

/** Whoever looks at the bare signal, before any picture. */
export interface SignalWatcher {
	/** The frame is valid during the call only. */
	onFrame(band: LiveBand, frame: Frame): void;
	onContacts(band: LiveBand): void;
	/** A band was announced for the first time or with other settings. */
	onBand(band: LiveBand): void;
	onLink(state: LinkState): void;
	/** The bands were taken off and put on anew. */
	onWornAnew(): void;
}

/** Ages, countdowns and rates are told this often even when nothing else happens. */
const TICK_MS = 250;

export function createLive(parts: LiveParts): Live {
	const { clock, setUp, store, onChange, follower, watcher } = parts;
	const pictures = createLivePictures(parts, setUp, () => link.board?.simulated ?? false, mayFollowRest);
	const volume = createLiveVolume({
		...parts.volume,
		clock,
		setUp,
		bands: () => link.bands,
		bandCount: () => link.board?.bandCount ?? null,
		isSimulated: () => link.board?.simulated ?? false,
		onChange,
	});
	const baselines = createBaselineTaking(clock, { onBaseline, onProgress: onChange });
	const events: LiveLinkEvents = {
		onChange,
		onLinkState,
		onBoard(board) {
			// The same board, back after a break, goes on in its own time.
			if (board.serial !== serial) {
				if (serial !== null) follower.onOtherBoard();
				pictures.restart();
				volume.restart();
			}
			serial = board.serial;
			recording?.addEvent("link", kept() === null ? "another board: not recorded" : "board", board);
		},
		onBand(band) {
			baselines.interrupt({ kind: "not-connected" });
			kept()?.addBand(band);
			kept()?.addLeftOut(band);
			pictures.prepare(band);
			watcher.onBand(band);
			volume.refresh();
		},
		onLeftOut(band) {
			kept()?.addLeftOut(band);
			onChange();
		},
		onBandRenumbered: (band) => kept()?.addBand(band),
		onFrame,
		onContacts(band, ohm) {
			kept()?.addContacts(band, ohm);
			watcher.onContacts(band);
		},
		onStatus,
	};
	const link = createLiveLink(clock, events, parts.workingLimitAmpere);

	let selected = 0;
	let serial: string | null = null;
	let skipped = 0;
	let recording: Recording | null = null;
	/** Serial number of the board that the recording is of: frames of two boards never share one. */
	let recordedSerial: string | null = null;
	/** Stopped, and waiting for its last means. */
	let ending: Recording | null = null;
	let closing: Promise<unknown> = Promise.resolve();
	const activities = new Map<number, BandStatus["activity"]>();
	const stopTicking = clock.every(TICK_MS, () => {
		recording?.updateCounters();
		tellSkipped();
		if (link.state.state !== "idle") onChange();
	});

	/** The recording, while the board that it is of is the one that is connected. */
	function kept(): Recording | null {
		return serial === recordedSerial ? recording : null;
	}

	/** Frames are stored all the same; that their pictures are missing must be known. */
	function tellSkipped(): void {
		if (pictures.skipped === skipped) return;
		recording?.addEvent("fault", "pictures skipped: this machine is too slow", {
			frames: pictures.skipped - skipped,
		});
		skipped = pictures.skipped;
	}

	function onLinkState(state: LinkState): void {
		recording?.addEvent("link", state.state, state);
		watcher.onLink(state);
		if (state.state === "streaming" || state.state === "opening") return;
		// What was gathered before a break is not the same rest as what comes after it.
		baselines.interrupt({ kind: "not-connected" });
		pictures.breakOff();
		follower.onBreak("fault" in state ? state.fault : { kind: "not-connected" });
	}

	function onFrame(band: LiveBand, frame: Frame, receivedAt: number, lostBefore: number): void {
		const token = kept()?.addFrame(band, frame, receivedAt, lostBefore) ?? -1;
		baselines.add(band, frame);
		watcher.onFrame(band, frame);
		pictures.add(band, frame, receivedAt, lostBefore, token);
		volume.add(frame, receivedAt);
	}

	function onBaseline(band: LiveBand, baseline: LiveBaseline): void {
		setRest(band, baseline);
		kept()?.addBaseline(band);
		kept()?.addLeftOut(band);
		pictures.prepare(band);
		volume.refresh();
		onChange();
	}

	/** With readings left out, the mean of what is left would say nothing of those that come back. */
	function mayFollowRest({ watch }: LiveBand): boolean {
		if (!setUp.followsRest || watch.leftOut.kept !== null || parts.isBusy()) return false;
		return baselines.secondsLeft === null;
	}

	function followRest(band: LiveBand, ohm: Float64Array): void {
		const { baseline } = band;
		if (baseline === null) return;
		const scale = ohmPerUnit(baseline.configuration);
		const now = clock.now();
		const frames = Math.round(FOLLOWED_SECONDS * band.meter.framesPerSecond(now));
		setRest(band, {
			...baseline,
			rest: { ...baseline.rest, median: ohm.map((value) => value / scale), frames },
			takenAt: now,
			seconds: FOLLOWED_SECONDS,
			automatic: true,
			followedFrom: takenRest(baseline),
		});
		kept()?.addBaseline(band);
		kept()?.addLeftOut(band);
		pictures.followRest(band);
		volume.refresh();
	}

	function noteRestFollowing(): void {
		recording?.addEvent("status", "rest following", { isOn: setUp.followsRest });
	}

	function onStatus(status: BandStatus): void {
		const before = activities.get(status.bandIndex);
		activities.set(status.bandIndex, status.activity);
		// Said once a second: only what is new is worth keeping.
		if (before !== status.activity) recording?.addEvent("status", status.activity, status);
	}

	function baselineState(): AppState["baseline"] {
		const current = link.bands.get(selected)?.baseline;
		if (current === undefined || current === null) return null;
		const baseline = takenRest(current);
		return {
			takenAt: toRfc3339(baseline.takenAt),
			seconds: baseline.seconds,
			frames: baseline.rest.frames,
			automatic: baseline.automatic,
			ageSeconds: Math.max(0, Math.floor((clock.now() - baseline.takenAt) / 1000)),
		};
	}

	function placesNow(): AppState["setup"]["places"] {
		const { limb, places } = setUp.limbAndBand;
		if (link.board === null) return places ?? null;
		return placesOf(limb, link.board.bandCount, places, link.board.simulated);
	}

	function limitAt(frequencyHertz: number): number {
		return limitMilliamp(frequencyHertz, parts.workingLimitAmpere());
	}

	function reset(): void {
		pictures.clear();
		volume.refresh();
		activities.clear();
		serial = null;
		selected = 0;
	}

	function closeRecording(ended: Recording): Promise<Result<{ sessionId: number }, Fault>> {
		const closed = close(ended);
		closing = closed;
		return closed;
	}

	/** Takes no more frames and writes the means of those that are under way. */
	async function close(ended: Recording): Promise<Result<{ sessionId: number }, Fault>> {
		recording = null;
		ending = ended;
		onChange();
		await pictures.settled();
		ending = null;
		const closed = ended.close();
		setUp.refreshPerson();
		onChange();
		return closed.ok ? success({ sessionId: ended.sessionId }) : closed;
	}

	return {
		state() {
			const { secondsLeft } = baselines;
			return {
				link: link.state,
				source: link.choice,
				board: link.boardState(selected),
				quality: link.quality(selected),
				contacts: link.contacts(selected),
				leftOut: leftOutState(link.bands.get(selected)?.watch.leftOut ?? null),
				trendMarks: pictures.marks(selected),
				baseline: baselineState(),
				followsRest: setUp.followsRest,
				takingBaseline: secondsLeft === null ? null : { secondsLeft },
				recording:
					recording === null
						? null
						: {
								sessionId: recording.sessionId,
								title: recording.title,
								startedAt: recording.startedAt,
								frames: recording.frames,
								waitsFor: serial === null || serial === recordedSerial ? null : recordedSerial,
							},
			};
		},
		get picture() {
			return pictures.state(selected);
		},
		get isRecording() {
			return recording !== null;
		},
		get isSimulated() {
			return link.board?.simulated ?? false;
		},
		get drive() {
			if (link.state.state !== "streaming") return null;
			return link.bands.get(selected)?.configuration ?? null;
		},
		get pictured() {
			return link.state.state === "streaming" ? pictures.pictured(selected) : null;
		},
		bands: link.bands,
		abilities: link.abilities,
		get bandCount() {
			return link.board?.bandCount ?? 0;
		},
		get boardSerial() {
			return link.board?.serial ?? null;
		},
		get linkState() {
			return link.state;
		},
		get isTakingBaseline() {
			return baselines.secondsLeft !== null;
		},
		limitMilliamp: limitAt,
		enforceLimit: () => link.enforceLimit(),
		get recordedSession() {
			return recording?.sessionId ?? null;
		},
		async measuring() {
			if (link.state.state !== "streaming") return failure({ kind: "not-connected" });
			const measuring = await pictures.measuring(selected);
			if (measuring === null) return failure({ kind: "no-baseline" });
			const { leftOut } = measuring.band.watch;
			return leftOut.isTrustworthy ? success(measuring) : failure(bandOff(leftOut));
		},
		async connect(choice, createSource) {
			baselines.interrupt({ kind: "cancelled" });
			reset();
			await link.connect(choice, createSource);
			return link.state.state === "failed" ? failure(link.state.fault) : success(null);
		},
		async disconnect() {
			await link.disconnect();
			baselines.interrupt({ kind: "not-connected" });
			reset();
			onChange();
		},
		async send(command) {
			const outcome = await link.send(command);
			if (outcome.ok) recording?.addEvent("command", command.command, command);
			return outcome;
		},
		takeBaseline(seconds, signal) {
			if (link.state.state !== "streaming") return Promise.resolve(failure({ kind: "not-connected" }));
			return baselines.take(link.bands.values(), seconds, signal);
		},
		selectBand(bandIndex) {
			const count = link.board?.bandCount ?? 1;
			if (bandIndex >= count) {
				const expected = `a band below ${count}`;
				return failure({ kind: "invalid-argument", path: "bandIndex", expected, got: String(bandIndex) });
			}
			selected = bandIndex;
			onChange();
			return success(null);
		},
		forgetRest() {
			watcher.onWornAnew();
			baselines.interrupt({ kind: "cancelled" });
			for (const band of link.bands.values()) {
				setRest(band, null);
				pictures.prepare(band);
			}
			volume.refresh();
			onChange();
		},
		noteRestFollowing,
		prepareAgain() {
			for (const band of link.bands.values()) pictures.prepare(band);
			volume.refresh();
			onChange();
		},
		startRecording(title) {
			const { board } = link;
			if (recording !== null) return failure({ kind: "already-recording" });
			if (store === null) return failure(parts.storeFault() ?? { kind: "internal", detail: "no store" });
			if (board === null || link.bands.size === 0) return failure({ kind: "not-connected" });
			if (!board.simulated && !setUp.isAcknowledged) return failure({ kind: "cautions-not-acknowledged" });
			const untold = board.simulated ? null : refuseUntold(store, setUp.person);
			if (untold !== null) return untold;
			const first = [...link.bands.values()][0]!;
			const body = setUp.forElectrodes(first.pattern.electrodeCount) ?? setUp.limbAndBand;
			const personId = setUp.person?.id ?? null;
			const limb = store.saveLimb(personId, body.limb);
			if (!limb.ok) return limb;
			const band = store.saveBand(body.band);
			if (!band.ok) return band;
			const session = {
				personId,
				limbId: limb.value,
				bandId: band.value,
				title,
				startedAt: toRfc3339(clock.now()),
				board,
				currentLimitMilliamp: limitAt(first.configuration.frequencyHertz),
				algorithmVersion: ALGORITHM_VERSION,
				...setUp.pictureSettings,
			};
			const recorder = store.startSession(session);
			if (!recorder.ok) return recorder;
			const started = createRecording(recorder.value, session, () => link.counters());
			for (const known of link.bands.values()) {
				started.addBand(known);
				started.addBaseline(known);
				started.addLeftOut(known);
				if (known.ohm !== null) started.addContacts(known, known.ohm);
			}
			const places = placesNow();
			// one band's volume is a slab of limb, wherever it sits
			if (places !== null && board.bandCount > 1) {
				const { label, detail } = bandPlacesEvent(places);
				started.addEvent("status", label, detail);
			}
			const check = parts.checkResult();
			if (check !== null) started.addEvent("check", "Signal check", check);
			recording = started;
			recordedSerial = board.serial;
			noteRestFollowing();
			onChange();
			return success({ sessionId: started.sessionId });
		},
		stopRecording() {
			if (recording === null) return Promise.resolve(failure({ kind: "not-recording" }));
			return closeRecording(recording);
		},
		note: (label, detail) => recording?.addEvent("status", label, detail),
		trends: (seconds) => pictures.trends(selected, seconds),
		take(picture) {
			if (picture.stream !== LIVE_STREAM) return false;
			const result = pictures.take(picture);
			if (result !== null) {
				// Each knows its own frames.
				ending?.addResult(result, picture.parts.regionMeans);
				recording?.addResult(result, picture.parts.regionMeans);
				follower.onMeans(result, picture.parts.regionMeans);
				const band = link.bands.get(result.bandIndex);
				if (result.drifted !== null && band !== undefined) followRest(band, result.drifted);
			}
			return true;
		},
		volume,
		get places() {
			return placesNow();
		},
		isSelected: (bandIndex) => bandIndex === selected,
		async dispose() {
			stopTicking();
			baselines.interrupt({ kind: "cancelled" });
			await link.disconnect();
			if (recording !== null) await closeRecording(recording);
			// One that was stopped just before is still being written.
			await closing;
			pictures.dispose();
			await volume.dispose();
		},
	};
}
