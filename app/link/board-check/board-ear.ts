import type { Duplex } from "node:stream";
import { BoardParser } from "../../../core/wire/board-parser.ts";
import { closedLine } from "../../../core/wire/crc.ts";
import type { BandAbility, BandStatus, BoardIdentity, DriveConfiguration } from "../../../core/wire/frame.ts";
import type { RefusalReason } from "../../../core/wire/host-command.ts";
import { createLineReader } from "../line-stream.ts";
import type { LinkClock } from "../link-clock.ts";

/** One thing that the board said, in the order in which it came. */
export type Heard = { readonly atMs: number } & (
	| { readonly kind: "hello"; readonly board: BoardIdentity }
	| { readonly kind: "other-version"; readonly version: number }
	| { readonly kind: "ability"; readonly ability: BandAbility }
	| { readonly kind: "configuration"; readonly configuration: DriveConfiguration }
	| {
			readonly kind: "frame";
			readonly bandIndex: number;
			readonly configuration: number;
			readonly timeMicros: number;
			readonly lostBefore: number;
	  }
	| { readonly kind: "status"; readonly status: BandStatus }
	| { readonly kind: "contacts"; readonly bandIndex: number; readonly count: number }
	| { readonly kind: "reply"; readonly id: number; readonly refusal: RefusalReason | null }
	| { readonly kind: "restart" }
);

export interface Answer {
	/** Null when the board did as asked. */
	readonly refusal: RefusalReason | null;
	readonly afterMs: number;
	/** What was heard between the command and its answer. */
	readonly before: readonly Heard[];
}

/** A command's answer may take this long: half a second by the protocol, and as much for a slow link. */
const answerWithinMs = 1000;

/** Listens to a board, keeps everything that it says, and says single lines to it, well formed or not. */
export class BoardEar {
	readonly heard: Heard[] = [];
	readonly #clock: LinkClock;
	readonly #stream: Duplex;
	readonly #parser: BoardParser;
	readonly #waiting = new Set<() => void>();
	#nextId = 1;
	isLost: boolean = false;

	constructor(stream: Duplex, clock: LinkClock) {
		this.#stream = stream;
		this.#clock = clock;
		this.#parser = new BoardParser({
			onHello: (board) => this.#hear({ kind: "hello", board }),
			onOtherVersion: (version) => this.#hear({ kind: "other-version", version }),
			onAbility: (ability) => this.#hear({ kind: "ability", ability }),
			onConfiguration: (configuration) => this.#hear({ kind: "configuration", configuration }),
			onFrame: ({ bandIndex, configuration, timeMicros }, lostBefore) =>
				this.#hear({ kind: "frame", bandIndex, configuration, timeMicros, lostBefore }),
			onStatus: (status) => this.#hear({ kind: "status", status }),
			onContacts: (bandIndex, ohm) => this.#hear({ kind: "contacts", bandIndex, count: ohm.length }),
			onReply: (id, refusal) => this.#hear({ kind: "reply", id, refusal }),
			onRestart: () => this.#hear({ kind: "restart" }),
		});
		this.#parser.restart();
		stream.pipe(createLineReader((line) => this.#parser.parse(line)).input);
		const lost = () => {
			this.isLost = true;
			for (const wake of this.#waiting) wake();
		};
		stream.on("error", lost);
		stream.once("end", lost);
		stream.once("close", lost);
	}

	/** Whole lines that could be used, and those that could not, by cause. */
	get counters(): BoardParser["counters"] {
		return this.#parser.counters;
	}

	/** Waits until `wanted` holds. @returns whether it did within the time. */
	until(wanted: () => boolean, withinMs: number): Promise<boolean> {
		return new Promise((settle) => {
			const end = (outcome: boolean) => {
				cancel();
				this.#waiting.delete(look);
				settle(outcome);
			};
			const look = () => {
				if (wanted()) end(true);
				else if (this.isLost) end(false);
			};
			const cancel = this.#clock.after(withinMs, () => end(wanted()));
			this.#waiting.add(look);
			look();
		});
	}

	/** Listens for a while. */
	async listen(ms: number): Promise<readonly Heard[]> {
		const from = this.heard.length;
		await this.until(() => false, ms);
		return this.heard.slice(from);
	}

	/** Says a command; `rest` is what follows its id, such as `current * 1000`. @returns null without an answer. */
	async ask(rest: string, id = this.#takeId()): Promise<Answer | null> {
		const from = this.heard.length;
		const saidAt = this.#clock.monotonic();
		this.write(closedLine(`Q ${id} ${rest}`));
		const isAnswer = (heard: Heard) => heard.kind === "reply" && heard.id === id;
		await this.until(() => this.heard.slice(from).some(isAnswer), answerWithinMs);
		const at = this.heard.findIndex((heard, index) => index >= from && isAnswer(heard));
		const reply = this.heard[at];
		if (reply?.kind !== "reply") return null;
		return {
			refusal: reply.refusal,
			afterMs: reply.atMs - saidAt,
			before: this.heard.slice(from, at),
		};
	}

	/** Any bytes, one for each character. */
	write(text: string): void {
		if (!this.isLost) this.#stream.write(Buffer.from(text, "latin1"));
	}

	#takeId(): number {
		return this.#nextId++;
	}

	#hear(what: DistributiveOmit<Heard, "atMs">): void {
		this.heard.push({ atMs: this.#clock.monotonic(), ...what });
		for (const wake of this.#waiting) wake();
	}
}

type DistributiveOmit<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;
