import { failure, type Result } from "../../core/result.ts";
import { defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import { emptyBatteryPercent } from "../../core/signal/battery.ts";
import { BoardParser } from "../../core/wire/board-parser.ts";
import type {
	BandAbility,
	BandStatus,
	BoardIdentity,
	DriveConfiguration,
	Frame,
} from "../../core/wire/frame.ts";
import { protocolVersion } from "../../core/wire/limits.ts";
import type { Fault, LinkState } from "../contract.ts";
import { CommandDesk } from "./command-desk.ts";
import { currentFault, currentFaultAfter } from "./current-fault.ts";
import type { BoardCommand, FrameSource, FrameSourceEvents, LinkCounters } from "./frame-source.ts";
import { garbageFault } from "./garbage-fault.ts";
import { createLineReader } from "./line-stream.ts";
import { type LinkClock, systemClock } from "./link-clock.ts";
import { LinkVitals } from "./link-vitals.ts";
import { reconnectPause } from "./reconnect-pause.ts";
import type { Connection, Transport } from "./transport.ts";
import { toHostCommand } from "./wire-command.ts";

export interface BoardLinkOptions {
	readonly transport: Transport;
	/** Start the board as soon as it has told its settings; on by default. */
	readonly startByItself?: boolean;
	/** A current above the smaller of this and the standard's rule is refused, or stopped if the board reports it. Asked
	 *  anew each time, for a person may lower it while the board is connected. */
	readonly workingLimitAmpere?: () => number;
	readonly clock?: LinkClock;
}

const watchEveryMs = 500;
const aliveEveryMs = 3000;
const stopWithinMs = 1000;
/** Bluetooth ports may take seconds to carry the first byte. */
const greetingMs = 10_000;
/** Hello was acknowledged but what belongs to it came damaged. */
const greetings = 5;
const restartEveryMs = 2000;
/** The next look, or the next byte, so much later: the computer slept, or the program stood still. */
const stoodStillMs = 5000;
/** Late by this, what waits at the port is heard before the board is called silent. */
const lateMs = 2000;
/** Boards answer within half a second: after this a second one on the line has said its hello too. */
const secondHelloMs = 700;

/**
 * One board over one transport: opens it, asks for the board's hello, checks that its current is allowed, starts it,
 * passes on what it says, and begins again when the connection is lost. Everything is told through `events`;
 * nothing here throws for what the board or the cable does.
 */
export class BoardLink implements FrameSource {
	readonly #transport: Transport;
	readonly #events: FrameSourceEvents;
	readonly #clock: LinkClock;
	readonly #workingLimitAmpere: () => number;
	readonly #desk: CommandDesk;
	readonly #parser: BoardParser;
	readonly #vitals: LinkVitals;

	#state: LinkState = { state: "idle" };
	#connection: Connection | null = null;
	#closing: Promise<void> = Promise.resolve();
	#disposed: boolean = false;
	/** No more attempts: a fault that the person has to deal with first. */
	#over: boolean = false;
	#wasReady: boolean = false;
	#isReady: boolean = false;
	#wantRunning: boolean;
	#attempt = 0;
	#cancelTimer: () => void = () => {};
	#halting: Promise<void> | null = null;
	#refreshing: boolean = false;

	#board: BoardIdentity | null = null;
	/** Whether the board that talks now has said who it is since it started or was connected. */
	#isIdentified: boolean = false;
	/** Frames that came before that: nobody knows whose they are. */
	#nobodys = 0;
	/** Boot numbers of this connection, in their order. */
	#boots: number[] = [];
	/** Two boards were heard on this line, and may still be there. */
	#mayBeTwo: boolean = false;
	#isParting: boolean = false;
	/** What each band told last. */
	readonly #statuses = new Map<number, BandStatus>();
	readonly #configurations = new Map<number, DriveConfiguration>();
	readonly #abilities = new Map<number, BandAbility>();
	/** Bands that were told to take less current before they are started, and whether they said that they do. */
	readonly #lowering = new Map<number, "asked" | "done">();
	#chunkAt = 0;
	#awakeAt = 0;
	#lastAliveAt = 0;
	#lastStartAt = 0;

	constructor(options: BoardLinkOptions, events: FrameSourceEvents) {
		this.#transport = options.transport;
		this.#events = events;
		this.#clock = options.clock ?? systemClock;
		this.#wantRunning = options.startByItself ?? true;
		this.#workingLimitAmpere = options.workingLimitAmpere ?? (() => defaultWorkingLimitAmpere);
		this.#desk = new CommandDesk(this.#clock);
		this.#parser = new BoardParser(
			{
				onHello: (board) => this.#hello(board),
				onOtherVersion: (version) => this.#otherVersion(version),
				onAbility: (ability) => {
					this.#abilities.set(ability.bandIndex, ability);
					events.onAbility?.(ability);
				},
				onConfiguration: (configuration) => this.#configuration(configuration),
				onFrame: (frame, lostBefore) => this.#frame(frame, lostBefore),
				onStatus: (status) => this.#status(status),
				onContacts: (bandIndex, ohm) => events.onContacts(bandIndex, ohm),
				onReply: (id, refusal) => this.#desk.answered(id, refusal),
				onRestart: () => this.#restarted(),
			},
			() => 1000 * this.#vitals.sinceLine(this.#clock.monotonic()),
		);
		this.#vitals = new LinkVitals(this.#parser.counters);
	}

	async open(): Promise<void> {
		if (this.#disposed || this.#state.state !== "idle") return;
		await this.#connect();
	}

	async send(command: BoardCommand): Promise<Result<null, Fault>> {
		if (command.command === "stop") this.#wantRunning = false;
		const fault = this.#overLimitAfter(command);
		if (fault !== null) return failure(fault);
		// Nothing but stop goes to a board whose settings are not known: they could not be held against the limit.
		const isKnown = this.#isReady && (command.command === "stop" || this.#isAnnounced());
		if (!isKnown) return failure({ kind: "not-connected" });
		if (command.command === "start") this.#wantRunning = true;
		const outcome = await this.#desk.ask(toHostCommand(command), command.command === "stop");
		if (outcome.ok && command.command === "start") this.#running();
		if (outcome.ok && command.command === "stop") this.#tell({ state: "stopped", label: this.#label });
		return outcome;
	}

	counters(): LinkCounters {
		const { frames, lost, bad } = this.#parser.counters;
		const unknown = bad["unknown-configuration"] + this.#nobodys;
		return { frames: frames - this.#nobodys, lost, bad: { ...bad, "unknown-configuration": unknown } };
	}

	async dispose(): Promise<void> {
		if (this.#disposed) return;
		this.#disposed = true;
		this.#wantRunning = false;
		this.#cancelTimer();
		if (this.#isReady && !this.#over) await this.#stopBoard();
		if (this.#halting !== null) await this.#halting;
		this.#letGo();
		await this.#closing;
		this.#tell({ state: "idle" });
	}

	/** Takes one answer's time at most: a board that cannot be reached stops by itself when it hears nothing. */
	async #stopBoard(): Promise<void> {
		await Promise.race([
			this.#desk.ask({ command: "stop", bandIndex: null }, true),
			this.#pause(stopWithinMs),
		]);
	}

	/** In the place of whatever else is waited for; never ends when the connection is let go before. */
	#pause(delayMs: number): Promise<void> {
		this.#cancelTimer();
		return new Promise((over) => {
			this.#cancelTimer = this.#clock.after(delayMs, over);
		});
	}

	get #label(): string {
		return this.#transport.label;
	}

	#tell(state: LinkState): void {
		this.#state = state;
		this.#events.onState(state);
	}

	// ---- Connection ---------------------------------------------------------------------------------------------

	async #connect(): Promise<void> {
		if (this.#attempt === 0) this.#tell({ state: "opening", label: this.#label });
		await this.#closing;
		const opened = await this.#transport.open();
		if (this.#disposed) {
			if (opened.ok) await opened.value.close();
			return;
		}
		if (!opened.ok) {
			this.#lose(opened.error);
			return;
		}
		this.#attach(opened.value);
		if (this.#attempt === 0) this.#tell({ state: "waiting-for-board", label: this.#label });
		void this.#greet(opened.value);
	}

	#attach(connection: Connection): void {
		const { stream } = connection;
		this.#connection = connection;
		this.#parser.restart();
		this.#vitals.opened(this.#clock.monotonic());
		this.#awakeAt = this.#clock.monotonic();
		const reader = createLineReader(
			(line) => {
				if (this.#connection !== connection) return;
				const before = this.#parser.counters.lines;
				this.#parser.parse(line);
				if (this.#parser.counters.lines !== before) this.#vitals.heardLine(this.#clock.monotonic());
				else if (line.length > 1) this.#vitals.heardBadLine(line);
			},
			(_, chunk) => {
				this.#chunkAt = this.#clock.now();
				this.#vitals.heardBytes(chunk);
				if (this.#connection === connection) this.#noticeSleep(connection);
			},
		);
		let why: Error | null = null;
		stream.on("error", (error) => {
			why = error;
		});
		const gone = (error?: Error | null) => {
			reader.destroy();
			if (this.#connection === connection) this.#lose(this.#transport.lost(error ?? why));
		};
		stream.once("end", gone);
		stream.once("close", gone);
		stream.pipe(reader.input);
		this.#desk.attach((line) => void stream.write(line, "latin1"));
		this.#watchSoon(connection);
	}

	/** Asks who is there until the board and the settings of all its bands are known. */
	async #greet(connection: Connection): Promise<void> {
		const deadline = this.#clock.monotonic() + greetingMs;
		for (let heard = 0; ; ) {
			const answer = await this.#desk.ask({ command: "hello" });
			if (this.#connection !== connection || this.#over || this.#isParting) return;
			if (answer.ok && this.#mayBeTwo) {
				await new Promise<void>((over) => void this.#clock.after(secondHelloMs, over));
				if (this.#connection !== connection || this.#over || this.#isParting) return;
			}
			if (answer.ok && this.#isAnnounced()) break;
			if (answer.ok) heard++;
			if (heard >= greetings || this.#clock.monotonic() >= deadline) {
				this.#lose(this.#whyNoBoard());
				return;
			}
		}
		this.#isReady = true;
		this.#wasReady = true;
		this.#mayBeTwo = false;
		this.#attempt = 0;
		if (this.#wantRunning) await this.#start(connection);
		else this.#tell({ state: "stopped", label: this.#label });
	}

	#isAnnounced(): boolean {
		const board = this.#board;
		if (board === null || !this.#isIdentified) return false;
		for (let band = 0; band < board.bandCount; band++) {
			if (!this.#configurations.has(band)) return false;
		}
		return true;
	}

	#whyNoBoard(): Fault {
		const { bytes, hasLines, isDisturbed, sample } = this.#vitals;
		if (bytes === 0) return { kind: "no-data", path: this.#label };
		if (isDisturbed) return this.#disturbance();
		if (!hasLines) return garbageFault(this.#transport, bytes, sample);
		return { kind: "board-silent", command: "hello" };
	}

	/** What looks like silence is none where damaged lines come all the time. */
	#orDisturbance(silence: Fault): Fault {
		return this.#vitals.isDrowned ? this.#disturbance() : silence;
	}

	#disturbance(): Fault {
		const { wholeLines, badLines } = this.#vitals;
		return { kind: "too-disturbed", path: this.#label, wholeLines, badLines };
	}

	async #start(connection: Connection): Promise<void> {
		if (this.#exhausted() !== null) {
			this.#tellExhausted();
			return;
		}
		this.#lastStartAt = this.#clock.monotonic();
		const outcome = await this.#desk.ask({ command: "start", bandIndex: null });
		if (this.#connection !== connection || this.#over || !this.#wantRunning) return;
		if (outcome.ok) this.#running();
		else if (outcome.error.kind === "board-refused") this.#fail(outcome.error);
		else this.#lose(outcome.error);
	}

	#running(): void {
		this.#vitals.started(this.#clock.monotonic());
		if (this.#state.state !== "streaming") this.#tell({ state: "streaming", label: this.#label });
	}

	/** The connection is gone: again later if there was a board, else it is the person's turn. */
	#lose(seen: Fault): void {
		this.#letGo();
		const fault = this.#whatItMeans(seen);
		if (this.#disposed || this.#over) return;
		if (!this.#wasReady) {
			this.#fail(fault);
			return;
		}
		const pause = reconnectPause(this.#attempt);
		this.#attempt++;
		this.#tell({ state: "reconnecting", label: this.#label, attempt: this.#attempt, fault });
		this.#cancelTimer = this.#clock.after(pause, () => void this.#connect());
	}

	#fail(fault: Fault): void {
		this.#over = true;
		this.#letGo();
		this.#tell({ state: "failed", label: this.#label, fault });
	}

	#letGo(): void {
		const connection = this.#connection;
		this.#connection = null;
		this.#isReady = false;
		this.#cancelTimer();
		this.#desk.detach();
		this.#configurations.clear();
		this.#lowering.clear();
		this.#board = null;
		this.#isIdentified = false;
		this.#isParting = false;
		this.#boots = [];
		if (connection !== null) this.#closing = connection.close();
	}

	// ---- Watching -----------------------------------------------------------------------------------------------

	#watchSoon(connection: Connection): void {
		this.#cancelTimer = this.#clock.after(watchEveryMs, () => {
			if (this.#connection !== connection || this.#over) return;
			this.#watch(connection);
			if (this.#connection === connection && !this.#over) this.#watchSoon(connection);
		});
	}

	#watch(connection: Connection): void {
		const now = this.#clock.monotonic();
		this.#noticeSleep(connection);
		if (this.#isParting) return;
		if (!this.#isReady) {
			if (this.#vitals.isForeign(now)) this.#lose(this.#whyNoBoard());
			return;
		}
		if (this.#vitals.isSilent(now)) {
			this.#lose(this.#orDisturbance({ kind: "no-data", path: this.#label }));
			return;
		}
		if (now - this.#lastAliveAt >= aliveEveryMs) {
			this.#lastAliveAt = now;
			this.#desk.tell({ command: "alive" });
		}
		const missesFrames = this.#state.state === "streaming" && this.#vitals.missesFrames(now);
		if (this.#vitals.missedSettings() || missesFrames || !this.#isAnnounced()) void this.#refresh(connection);
	}

	/** After a sleep nothing that was so before can be relied on: the board may have stopped by itself, or be another. */
	#noticeSleep(connection: Connection): void {
		const now = this.#clock.monotonic();
		const since = now - this.#awakeAt;
		this.#awakeAt = now;
		if (since < lateMs) return;
		this.#vitals.listensAgain(now);
		if (since < stoodStillMs || !this.#isReady || this.#over || this.#isParting) return;
		if (this.#state.state === "streaming") {
			const fault: Fault = { kind: "computer-slept", seconds: since / 1000 };
			this.#tell({ state: "reconnecting", label: this.#label, attempt: 1, fault });
		}
		void this.#refresh(connection);
	}

	/** Asks for the board's settings again, and starts it if it should be running. */
	async #refresh(connection: Connection): Promise<void> {
		if (this.#refreshing) return;
		this.#refreshing = true;
		const answer = await this.#desk.ask({ command: "hello" });
		this.#refreshing = false;
		if (this.#connection !== connection || this.#over || this.#isParting) return;
		if (!answer.ok) this.#lose(this.#orDisturbance(answer.error));
		// What was lost again is asked for again at the next look; a board of unknown settings is not started.
		else if (this.#isAnnounced() && this.#wantRunning) await this.#start(connection);
	}

	// ---- What the board says ------------------------------------------------------------------------------------

	#hello(board: BoardIdentity): void {
		const known = this.#board;
		if (this.#isParting || this.#over) return;
		if (known !== null && this.#isAnother(known, board)) {
			this.#partFrom(known, board);
			return;
		}
		if (!this.#boots.includes(board.bootNumber)) {
			this.#boots.push(board.bootNumber);
			this.#statuses.clear();
		}
		this.#isIdentified = true;
		this.#board = board;
		if (known === null || known.bootNumber !== board.bootNumber || known.serial !== board.serial) {
			this.#events.onBoard(board);
		}
	}

	/** One board keeps its serial number, and never goes back to a boot number. */
	#isAnother(known: BoardIdentity, board: BoardIdentity): boolean {
		if (known.serial !== board.serial) return true;
		return known.bootNumber !== board.bootNumber && this.#boots.includes(board.bootNumber);
	}

	/** Frames do not say whose they are: of two boards on one line nothing can be used. Both are told to stop, and the line
	 *  is tried again, for one of them may be gone by then. */
	#partFrom(known: BoardIdentity, board: BoardIdentity): void {
		const connection = this.#connection;
		this.#isParting = true;
		this.#mayBeTwo = true;
		this.#isReady = false;
		const fault: Fault = {
			kind: "second-board",
			path: this.#label,
			first: known.serial,
			second: board.serial,
		};
		void this.#stopBoard().then(() => {
			if (this.#connection === connection && !this.#over) this.#lose(fault);
		});
	}

	#otherVersion(version: number): void {
		const detail = `the board speaks version ${version} of the protocol, this app version ${protocolVersion}`;
		this.#fail({ kind: "port-failed", path: this.#label, detail });
	}

	#configuration(configuration: DriveConfiguration): void {
		if (this.#over || this.#isParting) return;
		const { bandIndex, currentMilliamp, frequencyHertz } = configuration;
		const fault = currentFault(currentMilliamp, frequencyHertz, this.#workingLimitAmpere());
		if (fault !== null && this.#lower(configuration, fault)) return;
		this.#lowering.delete(bandIndex);
		this.#configurations.set(bandIndex, configuration);
		this.#events.onConfiguration(configuration);
		if (fault !== null) this.#halt(fault);
	}

	/** A board wakes up with a current of its own choice. Where that is above what a person has set, but not above what is
	 *  allowed without that, it is told to take less before it is started; told anything later than its first words, or
	 *  refusing, it is stopped like any other. @returns whether it has been told so */
	#lower({ bandIndex, currentMilliamp, frequencyHertz }: DriveConfiguration, fault: Fault): boolean {
		if (fault.kind !== "over-current-limit" || this.#configurations.has(bandIndex)) return false;
		if (currentFault(currentMilliamp, frequencyHertz) !== null) return false;
		const microamp = Math.floor(fault.limitMilliamp * 1000 + 1e-6);
		const ability = this.#abilities.get(bandIndex);
		if (ability === undefined || microamp < 1000 * ability.minimumMilliamp) return false;
		const told = this.#lowering.get(bandIndex);
		if (told !== undefined) return told === "asked";
		this.#lowering.set(bandIndex, "asked");
		const connection = this.#connection;
		void this.#desk.ask({ command: "current", bandIndex, microamp }).then((outcome) => {
			if (this.#connection !== connection || this.#over || !this.#lowering.has(bandIndex)) return;
			if (outcome.ok) this.#lowering.set(bandIndex, "done");
			else if (outcome.error.kind === "board-refused") this.#halt(fault);
			// Not answered: it is told again with its next words.
			else this.#lowering.delete(bandIndex);
		});
		return true;
	}

	/** The board would drive more than is allowed: it is told to stop, whatever it answers, and left alone. */
	#halt(fault: Fault): void {
		this.#over = true;
		this.#wantRunning = false;
		this.#cancelTimer();
		this.#tell({ state: "failed", label: this.#label, fault });
		this.#halting = this.#desk.ask({ command: "stop", bandIndex: null }, true).then(() => this.#letGo());
	}

	#frame(frame: Frame, lostBefore: number): void {
		if (this.#over || this.#disposed) return;
		if (!this.#isIdentified || this.#isParting) {
			this.#nobodys++;
			return;
		}
		this.#vitals.heardFrame(frame, lostBefore, this.#clock.monotonic());
		this.#events.onFrame(frame, this.#chunkAt, lostBefore);
	}

	#status(status: BandStatus): void {
		if (this.#over || this.#isParting) return;
		this.#statuses.set(status.bandIndex, status);
		this.#events.onStatus(status);
		const connection = this.#connection;
		if (!this.#isReady || connection === null) return;
		const mayActAgain = this.#clock.monotonic() - this.#lastStartAt >= restartEveryMs;
		switch (status.activity) {
			case "tripped":
			case "charging":
				// Never started again without being asked: a person has to look first.
				if (this.#wantRunning) {
					this.#wantRunning = false;
					this.#tell({ state: "stopped", label: this.#label });
				}
				return;
			case "stopped":
				if (this.#wantRunning && this.#exhausted() !== null) this.#tellExhausted();
				else if (this.#wantRunning && mayActAgain) void this.#start(connection);
				return;
			case "running":
				if (this.#wantRunning || !mayActAgain) return;
				this.#lastStartAt = this.#clock.monotonic();
				void this.#desk.ask({ command: "stop", bandIndex: status.bandIndex }, true);
		}
	}

	/** Percent of the band that has stopped because its battery is empty; null for none. */
	#exhausted(): number | null {
		for (const { activity, batteryPercent } of this.#statuses.values()) {
			if (activity !== "stopped" || batteryPercent === null) continue;
			if (batteryPercent <= emptyBatteryPercent) return batteryPercent;
		}
		return null;
	}

	/** Not started again: it would only stop again. Its next words, or those of a charged one, go on from here. */
	#tellExhausted(): void {
		const percent = this.#exhausted();
		const { state } = this.#state;
		if (percent === null || (state === "reconnecting" && this.#state.fault.kind === "battery-empty")) return;
		const fault: Fault = { kind: "battery-empty", percent };
		this.#tell({ state: "reconnecting", label: this.#label, attempt: 1, fault });
	}

	/** A band that is not heard any more, and was nearly empty when it was, is empty. */
	#whatItMeans(seen: Fault): Fault {
		if (seen.kind !== "no-data" && seen.kind !== "no-such-port" && seen.kind !== "board-silent") return seen;
		let percent = 100;
		for (const { batteryPercent } of this.#statuses.values()) {
			percent = Math.min(percent, batteryPercent ?? 100);
		}
		return percent <= emptyBatteryPercent ? { kind: "battery-empty", percent } : seen;
	}

	#restarted(): void {
		this.#isIdentified = false;
		this.#configurations.clear();
		this.#lowering.clear();
		if (this.#isReady && this.#connection !== null && !this.#over) void this.#refresh(this.#connection);
	}

	#overLimitAfter(command: BoardCommand): Fault | null {
		for (const configuration of this.#configurations.values()) {
			const fault = currentFaultAfter(command, configuration, this.#workingLimitAmpere());
			if (fault !== null) return fault;
		}
		return null;
	}
}
