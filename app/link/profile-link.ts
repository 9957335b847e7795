import { failure, type Result } from "../../core/result.ts";
import { defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import { type BoardProfile, configurationOf } from "../../core/wire/profile/board-profile.ts";
import { ProfileReader } from "../../core/wire/profile/profile-reader.ts";
import type { Fault, LinkState } from "../contract.ts";
import { currentFault } from "./current-fault.ts";
import type { BoardCommand, FrameSource, FrameSourceEvents, LinkCounters } from "./frame-source.ts";
import { createLineReader } from "./line-stream.ts";
import { type LinkClock, systemClock } from "./link-clock.ts";
import { reconnectPause } from "./reconnect-pause.ts";
import type { Connection, Transport } from "./transport.ts";

export interface ProfileLinkOptions {
	readonly transport: Transport;
	readonly profile: BoardProfile;
	/** A recording ends; a board that falls silent is waited for. */
	readonly isRecording?: boolean;
	readonly workingLimitAmpere?: () => number;
	readonly clock?: LinkClock;
}

/** Until the first frame: a slow radio link takes seconds to carry the first byte. */
const greetingMs = 10_000;
const silenceMs = 3000;
const watchEveryMs = 500;

/**
 * A board that prints numbers in its own way, read by a profile: it takes no commands and does not report what it
 * drives, so the current that the profile states is checked against the limit before the port is opened.
 */
export class ProfileLink implements FrameSource {
	readonly #options: ProfileLinkOptions;
	readonly #events: FrameSourceEvents;
	readonly #clock: LinkClock;
	readonly #reader: ProfileReader;
	#connection: Connection | null = null;
	#closing: Promise<void> = Promise.resolve();
	#state: LinkState = { state: "idle" };
	#cancelTimer: () => void = () => {};
	#attempt = 0;
	#bytes = 0;
	#openedAt = 0;
	#frameAt = 0;
	#chunkAt = 0;
	#framesBefore = 0;
	#wasStreaming: boolean = false;
	#isOver: boolean = false;

	constructor(options: ProfileLinkOptions, events: FrameSourceEvents) {
		this.#options = options;
		this.#events = events;
		this.#clock = options.clock ?? systemClock;
		this.#reader = new ProfileReader(options.profile, (frame, lostBefore) => {
			this.#frameAt = this.#clock.monotonic();
			if (this.#state.state !== "streaming") this.#streaming();
			events.onFrame(frame, this.#chunkAt, lostBefore);
		});
	}

	async open(): Promise<void> {
		if (this.#isOver || this.#state.state !== "idle") return;
		const { profile, workingLimitAmpere } = this.#options;
		const { currentMilliamp, frequencyHertz } = profile.drive;
		const fault = currentFault(
			currentMilliamp,
			frequencyHertz,
			workingLimitAmpere?.() ?? defaultWorkingLimitAmpere,
		);
		if (fault === null) await this.#connect();
		else this.#fail(fault);
	}

	/** A board of this kind takes none. */
	async send(command: BoardCommand): Promise<Result<null, Fault>> {
		return failure({ kind: "takes-no-commands", command: command.command });
	}

	counters(): LinkCounters {
		const { frames, lost, bad } = this.#reader.counters;
		return { frames, lost, bad: { ...bad } };
	}

	async dispose(): Promise<void> {
		if (this.#isOver && this.#state.state === "idle") return;
		this.#isOver = true;
		this.#letGo();
		await this.#closing;
		this.#tell({ state: "idle" });
	}

	get #label(): string {
		return this.#options.transport.label;
	}

	#tell(state: LinkState): void {
		this.#state = state;
		this.#events.onState(state);
	}

	async #connect(): Promise<void> {
		if (this.#attempt === 0) this.#tell({ state: "opening", label: this.#label });
		await this.#closing;
		const opened = await this.#options.transport.open();
		if (this.#isOver) {
			if (opened.ok) await opened.value.close();
			return;
		}
		if (!opened.ok) {
			this.#lose(opened.error);
			return;
		}
		this.#attach(opened.value);
		if (this.#attempt === 0) this.#tell({ state: "waiting-for-board", label: this.#label });
	}

	#attach(connection: Connection): void {
		const { stream } = connection;
		this.#connection = connection;
		this.#bytes = 0;
		this.#openedAt = this.#clock.monotonic();
		this.#framesBefore = this.#reader.counters.frames;
		this.#reader.restart();
		const { input, lines } = createLineReader(
			(line) => {
				if (this.#connection === connection) this.#reader.parse(line, 1000 * this.#clock.monotonic());
			},
			(count) => {
				this.#bytes += count;
				this.#chunkAt = this.#clock.now();
			},
		);
		let why: Error | null = null;
		stream.on("error", (error) => {
			why = error;
		});
		const gone = (error?: Error | null) => {
			if (this.#connection !== connection) return;
			// What has come in before the end is read first.
			if (!input.writableEnded) input.end();
			lines.once("end", () => {
				if (this.#connection !== connection) return;
				if (this.#options.isRecording === true && why === null) this.#ended();
				else this.#lose(this.#options.transport.lost(error ?? why));
			});
		};
		stream.once("end", gone);
		stream.once("close", gone);
		stream.pipe(input, { end: false });
		this.#watchSoon(connection);
	}

	#streaming(): void {
		const { profile, isRecording = false } = this.#options;
		if (!this.#wasStreaming) {
			this.#events.onBoard({
				// Nobody may take a recording for what happens now.
				board: isRecording ? `${profile.name}, recorded log` : profile.name,
				firmware: "-",
				serial: "-",
				protocolVersion: 0,
				bandCount: 1,
				bootNumber: 0,
				simulated: false,
			});
			this.#events.onConfiguration(configurationOf(profile));
		}
		this.#wasStreaming = true;
		this.#attempt = 0;
		this.#tell({ state: "streaming", label: this.#label });
	}

	#watchSoon(connection: Connection): void {
		this.#cancelTimer = this.#clock.after(watchEveryMs, () => {
			if (this.#connection !== connection) return;
			const now = this.#clock.monotonic();
			const hasFrames = this.#reader.counters.frames > this.#framesBefore;
			if (hasFrames ? now - this.#frameAt > silenceMs : now - this.#openedAt > greetingMs) {
				this.#lose(this.#whyNoFrames());
				return;
			}
			this.#watchSoon(connection);
		});
	}

	#whyNoFrames(): Fault {
		if (this.#bytes === 0) return { kind: "no-data", path: this.#label };
		return { kind: "profile-does-not-fit", path: this.#label, profile: this.#options.profile.name };
	}

	#ended(): void {
		const hasFrames = this.#reader.counters.frames > this.#framesBefore;
		this.#letGo();
		if (hasFrames) this.#tell({ state: "stopped", label: this.#label });
		else this.#fail(this.#whyNoFrames());
	}

	#lose(fault: Fault): void {
		this.#letGo();
		if (this.#isOver) return;
		if (!this.#wasStreaming) {
			this.#fail(fault);
			return;
		}
		const pause = reconnectPause(this.#attempt);
		this.#attempt++;
		this.#tell({ state: "reconnecting", label: this.#label, attempt: this.#attempt, fault });
		this.#cancelTimer = this.#clock.after(pause, () => void this.#connect());
	}

	#fail(fault: Fault): void {
		this.#isOver = true;
		this.#letGo();
		this.#tell({ state: "failed", label: this.#label, fault });
	}

	#letGo(): void {
		this.#cancelTimer();
		const connection = this.#connection;
		this.#connection = null;
		if (connection !== null) this.#closing = connection.close();
	}
}
