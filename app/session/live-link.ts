/** The link to the board and what is known of the board: one source at a time, its bands, its quality. */
import { failure, type Result } from "../../core/result.ts";
import { currentLimit, defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import { createClockDrift } from "../../core/signal/clock-drift.ts";
import { judgeQuality, saturatedShare, signalToNoiseDecibel } from "../../core/signal/quality.ts";
import { reciprocityPercent } from "../../core/signal/reciprocity.ts";
import type {
	BandAbility,
	BandStatus,
	BoardIdentity,
	DriveConfiguration,
	Frame,
} from "../../core/wire/frame.ts";
import { mostBands } from "../../core/wire/limits.ts";
import { strayElectrode } from "../../core/wire/stray-electrode.ts";
import type { AppState, BoardState, Fault, LinkQuality, LinkState, SourceChoice } from "../contract.ts";
import { currentFault, currentFaultAfter } from "../link/current-fault.ts";
import type { BoardCommand, FrameSource, FrameSourceEvents, LinkCounters } from "../link/frame-source.ts";
import type { Clock } from "./clock.ts";
import { createLiveBand, isSameConfiguration, type LiveBand, setContacts } from "./live-band.ts";

export interface LiveLinkEvents {
	/** Something that the state shows has changed. */
	onChange(): void;
	onLinkState(state: LinkState): void;
	/** Another board, or the same one after a restart. */
	onBoard(board: BoardIdentity): void;
	/** A band was announced for the first time or with other settings; it has no baseline. */
	onBand(band: LiveBand): void;
	/** A band was announced again under another number, with nothing else changed. */
	onBandRenumbered(band: LiveBand): void;
	/** With the frame that comes next other readings are left out than before. */
	onLeftOut(band: LiveBand): void;
	/** The frame is valid during the call only. */
	onFrame(band: LiveBand, frame: Frame, receivedAt: number, lostBefore: number): void;
	onContacts(band: LiveBand, ohm: Float64Array): void;
	onStatus(status: BandStatus): void;
}

export interface LiveLink {
	readonly state: LinkState;
	readonly choice: SourceChoice | null;
	readonly board: BoardIdentity | null;
	readonly bands: ReadonlyMap<number, LiveBand>;
	/** What each band can be set to; none for boards that do not tell. */
	readonly abilities: ReadonlyMap<number, BandAbility>;
	/** Lets go of the earlier source first. `choice` is null for a source that the contract cannot name. */
	connect(
		choice: SourceChoice | null,
		createSource: (events: FrameSourceEvents) => FrameSource,
	): Promise<void>;
	disconnect(): Promise<void>;
	send(command: BoardCommand): Promise<Result<null, Fault>>;
	/** Ends the link where a band's current is above the limit, which may have become another. */
	enforceLimit(): void;
	counters(): LinkCounters;
	boardState(bandIndex: number): BoardState | null;
	quality(bandIndex: number): LinkQuality;
	contacts(bandIndex: number): AppState["contacts"];
}

const nothingCounted: LinkCounters = { frames: 0, lost: 0, bad: {} };

/** @param workingLimitAmpere asked anew whenever a current is looked at */
export function createLiveLink(
	clock: Clock,
	events: LiveLinkEvents,
	workingLimitAmpere: () => number = () => defaultWorkingLimitAmpere,
): LiveLink {
	const bands = new Map<number, LiveBand>();
	const abilities = new Map<number, BandAbility>();
	const boardClock = createClockDrift();
	const batteries = new Map<number, number | null>();
	let source: FrameSource | null = null;
	let choice: SourceChoice | null = null;
	let state: LinkState = { state: "idle" };
	let board: BoardIdentity | null = null;
	/** Of the source that was let go last, for whoever still counts with it. */
	let lastCounters = nothingCounted;
	/** Counts connects and disconnects: only the newest one's source may stay. */
	let turn = 0;
	/** A fault found here ends the source; its own last words must not cover it. */
	let stoppedBy: LinkState | null = null;

	function setState(next: LinkState): void {
		state = next;
		// The time between is not known: a board may have begun its own anew.
		if (next.state !== "streaming") boardClock.restart();
		events.onLinkState(next);
		events.onChange();
	}

	function forget(): void {
		bands.clear();
		abilities.clear();
		batteries.clear();
		board = null;
	}

	/** The source checks this too. Twice is meant: the second check costs nothing and guards a person. */
	function refuseOverCurrent(configuration: DriveConfiguration): boolean {
		const { currentMilliamp, frequencyHertz } = configuration;
		const fault = currentFault(currentMilliamp, frequencyHertz, workingLimitAmpere());
		if (fault === null) return false;
		end(fault);
		return true;
	}

	function end(fault: Fault): void {
		stoppedBy = { state: "failed", label: labelOf(state), fault };
		setState(stoppedBy);
		void source?.dispose();
	}

	/** Bands are told one after the other: a list may name electrodes of one that is told later. */
	function refuseStrayElectrodes(): boolean {
		for (const { configuration } of bands.values()) {
			const reason = strayElectrode(
				configuration,
				board?.bandCount ?? mostBands,
				(band) => bands.get(band)?.pattern.electrodeCount ?? null,
			);
			if (reason === null) continue;
			end({ kind: "board-refused", command: "configuration", reason });
			return true;
		}
		return false;
	}

	function eventsOf(isCurrent: () => boolean): FrameSourceEvents {
		const alive = (): boolean => isCurrent() && stoppedBy === null;
		return {
			onState(next) {
				if (alive()) setState(next);
			},
			onBoard(identity) {
				if (!alive()) return;
				// What was known of another board's bands, and its rest, says nothing about these.
				if (board !== null && board.serial !== identity.serial) forget();
				board = identity;
				boardClock.restart();
				events.onBoard(identity);
				events.onChange();
			},
			onAbility(ability) {
				if (alive()) abilities.set(ability.bandIndex, ability);
			},
			onConfiguration(configuration) {
				if (!alive() || refuseOverCurrent(configuration)) return;
				const known = bands.get(configuration.bandIndex) ?? null;
				if (known !== null && isSameConfiguration(known.configuration, configuration)) {
					known.configuration = configuration;
					events.onBandRenumbered(known);
					return;
				}
				const band = createLiveBand(configuration, known);
				if (!band.ok) {
					end(band.error);
					return;
				}
				bands.set(configuration.bandIndex, band.value);
				if (refuseStrayElectrodes()) return;
				events.onBand(band.value);
				events.onChange();
			},
			onFrame(frame, receivedAt, lostBefore) {
				const band = bands.get(frame.bandIndex);
				if (!alive() || band === undefined) return;
				band.meter.count(clock.now(), lostBefore);
				boardClock.take(frame.timeMicros, receivedAt);
				if (band.watch.take(frame.timeMicros / 1e6, frame.values)) events.onLeftOut(band);
				const { kept } = band.watch.leftOut;
				band.reciprocityPercent = reciprocityPercent(frame.values, band.pairs, band.scratch, kept);
				band.saturatedShare = saturatedShare(frame.values, band.configuration.fullScale);
				events.onFrame(band, frame, receivedAt, lostBefore);
			},
			onContacts(bandIndex, ohm) {
				const band = bands.get(bandIndex);
				if (!alive() || band === undefined) return;
				setContacts(band, ohm);
				events.onContacts(band, ohm);
				events.onChange();
			},
			onStatus(status) {
				if (!alive()) return;
				batteries.set(status.bandIndex, status.batteryPercent);
				events.onStatus(status);
				events.onChange();
			},
		};
	}

	async function letGo(): Promise<void> {
		const ending = source;
		if (ending !== null) lastCounters = ending.counters();
		source = null;
		choice = null;
		stoppedBy = null;
		forget();
		await ending?.dispose();
	}

	return {
		get state() {
			return state;
		},
		get choice() {
			return choice;
		},
		get board() {
			return board;
		},
		bands,
		abilities,
		async connect(nextChoice, createSource) {
			turn++;
			const own = turn;
			await letGo();
			if (own !== turn) return;
			lastCounters = nothingCounted;
			const created: FrameSource = createSource(eventsOf(() => source === created));
			source = created;
			choice = nextChoice;
			await created.open();
		},
		async disconnect() {
			turn++;
			await letGo();
			if (source === null) setState({ state: "idle" });
		},
		async send(command) {
			if (source === null) return failure({ kind: "not-connected" });
			for (const { configuration } of bands.values()) {
				const fault = currentFaultAfter(command, configuration, workingLimitAmpere());
				if (fault !== null) return failure(fault);
			}
			return source.send(command);
		},
		enforceLimit() {
			if (state.state === "failed" || state.state === "idle") return;
			for (const { configuration } of bands.values()) if (refuseOverCurrent(configuration)) return;
		},
		counters: () => source?.counters() ?? lastCounters,
		boardState(bandIndex) {
			const band = bands.get(bandIndex);
			if (board === null || band === undefined) return null;
			const { configuration } = band;
			return {
				board: board.board,
				firmware: board.firmware,
				serial: board.serial,
				simulated: board.simulated,
				bandCount: board.bandCount,
				bandIndex,
				electrodeCount: configuration.electrodeCount,
				pattern: band.pattern.name,
				readingCount: configuration.readingCount,
				currentMilliamp: configuration.currentMilliamp,
				currentLimitMilliamp: limitMilliamp(configuration.frequencyHertz, workingLimitAmpere()),
				frequencyHertz: configuration.frequencyHertz,
				gain: configuration.gain,
				batteryPercent: batteries.get(bandIndex) ?? null,
			};
		},
		quality(bandIndex) {
			const band = bands.get(bandIndex);
			const { frames, lost, bad } = source?.counters() ?? lastCounters;
			const now = clock.now();
			const leftOut = band?.watch.leftOut;
			const facts = {
				framesPerSecond: band?.meter.framesPerSecond(now) ?? 0,
				lostShare: band?.meter.lostShare(now) ?? 0,
				signalToNoiseDecibel: decibelOf(band),
				reciprocityPercent: band?.reciprocityPercent ?? null,
				electrodesOff: countContacts(band, "off"),
				electrodesPoor: countContacts(band, "poor"),
				saturatedShare: band?.saturatedShare ?? 0,
				electrodesLeftOut: leftOut?.electrodes.map(({ electrode }) => electrode + 1) ?? [],
				isTrustworthy: leftOut?.isTrustworthy ?? true,
				clockDriftPpm: boardClock.partsPerMillion,
			};
			return {
				framesPerSecond: facts.framesPerSecond,
				frames,
				lost,
				late: boardClock.late,
				bad,
				clockDriftPpm: facts.clockDriftPpm,
				signalToNoiseDecibel: facts.signalToNoiseDecibel,
				reciprocityPercent: facts.reciprocityPercent,
				...judgeQuality(facts),
			};
		},
		contacts: (bandIndex) => bands.get(bandIndex)?.contacts ?? [],
	};
}

/** r.m.s., mA */
export function limitMilliamp(frequencyHertz: number, workingLimitAmpere?: number): number {
	return 1000 * currentLimit(frequencyHertz, workingLimitAmpere);
}

function decibelOf(band: LiveBand | undefined): number | null {
	const rest = band?.baseline?.rest;
	if (band === undefined || rest === undefined) return null;
	return signalToNoiseDecibel(rest.median, rest.noise, band.own, band.watch.leftOut.kept);
}

function countContacts(band: LiveBand | undefined, verdict: "off" | "poor"): number {
	if (band === undefined) return 0;
	const isLeftOut = (e: number): boolean =>
		band.watch.leftOut.electrodes.some(({ electrode }) => electrode === e);
	return band.contacts.filter((contact, e) => contact.verdict === verdict && !isLeftOut(e)).length;
}

function labelOf(state: LinkState): string {
	return state.state === "idle" ? "" : state.label;
}
