/** A simulated board on its cable, and one fault that happens to them. */
import { chmod, realpath } from "node:fs/promises";
import { type Result, success } from "../../../core/result.ts";
import type { Fault } from "../../contract.ts";
import type { LinkClock } from "../link-clock.ts";
import { createSerialTransport } from "../serial-transport.ts";
import type { Connection } from "../transport.ts";
import type { BoardCable } from "./board-cable.ts";
import type { SimulatedBoardOptions } from "./board-options.ts";
import type { SimulatedFaultName } from "./faults.ts";
import { FaultyWay } from "./faulty-way.ts";
import { type ServedBoard, serveBoard } from "./serve-board.ts";
import type { FrameTruth } from "./truth.ts";
import type { WornLimb } from "./worn-limb.ts";

export interface FaultyBenchParts {
	readonly board: SimulatedBoardOptions;
	readonly cable: BoardCable;
	readonly clock: LinkClock;
	/** At which the host listens; pseudo-terminals have none. */
	readonly baudRate: number;
	readonly onTruth: (truth: FrameTruth) => void;
	/** For the person who watches. */
	readonly say: (sentence: string) => void;
	/** The cable went without being pulled here. */
	readonly onGone: (error: Error | null) => void;
}

const fullPercent = 94;
/** From here a dying battery falls. */
const lowPercent = 16;
const mostFallSeconds = 3;

export class FaultyBench {
	readonly #parts: FaultyBenchParts;
	readonly #way: FaultyWay;
	readonly frames = { sent: 0, corrupted: 0, dropped: 0 };
	#connection: Connection | null = null;
	#served: ServedBoard | null = null;
	#boot: number;
	#isOver: boolean = false;
	#limbs: readonly WornLimb[] = [];
	#endWait: () => void = () => {};
	/** What the board's gauge shows while its battery dies, percent. */
	#gauge: (() => number) | null = null;

	constructor(parts: FaultyBenchParts) {
		this.#parts = parts;
		this.#way = new FaultyWay(parts.board.seed, parts.baudRate);
		this.#boot = parts.board.bootNumber ?? parts.board.seed;
	}

	/** Opens the board's end. */
	open(): Promise<Result<null, Fault>> {
		return this.#plug(false);
	}

	/** Switches the board on. @param limbs one for each band */
	start(limbs: readonly WornLimb[]): void {
		this.#limbs = limbs;
		this.#switchOn();
	}

	/** Resolves when all is as it was before, or when this bench was stopped. */
	async play(fault: SimulatedFaultName, seconds: number): Promise<void> {
		const way = this.#way;
		switch (fault) {
			case "unplug":
				this.#switchOff();
				await this.#pull();
				await this.wait(seconds);
				await this.#plug(true);
				this.#switchOn();
				return;
			case "sleep":
				return this.#through("silent", seconds);
			case "noise":
				return this.#through("noisy", seconds);
			case "drowned":
				return this.#through("drowned", seconds);
			case "wrong-baud":
				return this.#through("misread", seconds);
			case "reset":
				await new Promise<void>((half) => {
					way.onHalf = half;
					way.state = "half-a-frame";
				});
				this.#switchOff();
				way.state = "clear";
				this.#switchOn();
				return;
			case "battery-dying":
				return this.#runDown(seconds);
			case "second-band":
				return this.#addSecond(seconds);
			case "swapped-band":
				this.#switchOff();
				await this.#pull();
				await this.#plug(true);
				this.#switchOn(this.#other());
				await this.wait(seconds);
				this.#switchOff();
				await this.#pull();
				await this.#plug(true);
				this.#switchOn();
				return;
			case "port-stolen":
				return this.#steal(seconds);
			case "permission-denied":
				return this.#forbid(seconds);
		}
	}

	async stop(): Promise<void> {
		this.#isOver = true;
		this.#endWait();
		this.#switchOff();
		await this.#pull();
		await this.#parts.cable.dispose();
	}

	#other(): Partial<SimulatedBoardOptions> {
		return { seed: (this.#parts.board.seed + 1) >>> 0 };
	}

	#serve(change: Partial<SimulatedBoardOptions>, connection: Connection): ServedBoard {
		const { board, clock, onTruth } = this.#parts;
		const battery = () => this.#gauge?.() ?? fullPercent;
		const options = { ...board, battery, ...change, bootNumber: this.#boot++ >>> 0 };
		return serveBoard(
			options,
			this.#limbs,
			connection.stream,
			clock,
			(truth) => {
				if (change.seed !== undefined) return;
				this.frames[truth.line]++;
				onTruth(truth);
			},
			this.#way,
		);
	}

	#switchOn(change: Partial<SimulatedBoardOptions> = {}): void {
		if (this.#connection !== null && !this.#isOver) this.#served = this.#serve(change, this.#connection);
	}

	#switchOff(): void {
		this.#served?.stop();
		this.#served = null;
	}

	async #plug(isAgain: boolean): Promise<Result<null, Fault>> {
		const { cable, say, onGone } = this.#parts;
		if (isAgain && cable.hostPath === null) {
			say(`Waiting for ${cable.boardPath}: if it is gone, make it again (start socat anew).`);
		}
		const opened = await cable.plug(isAgain);
		if (!opened.ok) {
			if (isAgain && !this.#isOver) onGone(null);
			return opened;
		}
		const connection = opened.value;
		this.#connection = connection;
		const gone = (error?: Error | null): void => {
			if (this.#connection !== connection) return;
			this.#connection = null;
			onGone(error ?? null);
		};
		connection.stream.once("close", gone);
		connection.stream.once("end", () => gone());
		return success(null);
	}

	async #pull(): Promise<void> {
		const connection = this.#connection;
		this.#connection = null;
		if (connection !== null) await this.#parts.cable.pull(connection);
	}

	get isOver(): boolean {
		return this.#isOver;
	}

	/** Ends what is waited for just now. */
	goOn(): void {
		this.#endWait();
	}

	/** Ends at once when the bench is stopped. */
	wait(seconds: number): Promise<void> {
		if (this.#isOver) return Promise.resolve();
		return new Promise((over) => {
			const cancel = this.#parts.clock.after(1000 * seconds, over);
			this.#endWait = () => {
				cancel();
				over();
			};
		});
	}

	async #through(state: FaultyWay["state"], seconds: number): Promise<void> {
		this.#way.state = state;
		await this.wait(seconds);
		this.#way.state = "clear";
	}

	/** It falls, the board tells for a while that it has stopped, and then nothing any more. */
	async #runDown(seconds: number): Promise<void> {
		const { clock } = this.#parts;
		const from = clock.monotonic();
		const fallsFor = Math.min(mostFallSeconds, seconds / 3);
		// The board goes on as it is; only what its gauge shows is another from now on.
		await new Promise<void>((empty) => {
			this.#gauge = () => {
				const share = (clock.monotonic() - from) / (1000 * fallsFor);
				const percent = Math.max(1, Math.round(lowPercent * (1 - share)));
				if (percent === 1) empty();
				return percent;
			};
		});
		await this.wait((seconds - fallsFor) / 2);
		this.#switchOff();
		await this.wait((seconds - fallsFor) / 2);
		this.#gauge = null;
		this.#switchOn();
	}

	async #addSecond(seconds: number): Promise<void> {
		if (this.#connection === null) return;
		const second = this.#serve(this.#other(), this.#connection);
		await this.wait(seconds);
		second.stop();
	}

	/** The cable is out for a moment, for a port that the host holds cannot be taken from it. */
	async #steal(seconds: number): Promise<void> {
		const path = this.#hostPath();
		for (;;) {
			this.#switchOff();
			await this.#pull();
			await this.#plug(true);
			const held = await createSerialTransport(path, this.#parts.baudRate).open();
			this.#switchOn();
			if (this.#isOver) return;
			if (!held.ok) continue;
			held.value.stream.resume();
			await this.wait(seconds);
			await held.value.close();
			return;
		}
	}

	async #forbid(seconds: number): Promise<void> {
		this.#switchOff();
		await this.#pull();
		await this.#plug(true);
		const device = await realpath(this.#hostPath());
		await chmod(device, 0);
		this.#switchOn();
		await this.wait(seconds);
		await chmod(device, 0o620);
	}

	#hostPath(): string {
		const { hostPath } = this.#parts.cable;
		if (hostPath === null) throw new TypeError("this fault needs a cable of the simulator's own");
		return hostPath;
	}
}
