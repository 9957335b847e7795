import { failure, type Result, success } from "../../core/result.ts";
import { encodeHostCommand, type HostCommand, type RefusalReason } from "../../core/wire/host-command.ts";
import type { Fault } from "../contract.ts";
import type { LinkClock } from "./link-clock.ts";

/** How long an answer may take, and how often a command is said: lines may be damaged either way, and every command
 *  may be carried out twice without harm. */
const answerWithinMs = 1000;
const attempts = 3;
/** Commands that may wait. More means that the board does not keep up, and the caller is told so. */
const mostWaiting = 16;

interface Waiting {
	readonly command: HostCommand;
	readonly settle: (outcome: Result<null, Fault>) => void;
}

/** Sends commands one at a time and pairs them with the board's answers. */
export class CommandDesk {
	readonly #clock: LinkClock;
	#write: ((line: string) => void) | null = null;
	#nextId = 1;
	#current: { readonly id: number; readonly waiting: Waiting; cancelTimer: () => void } | null = null;
	readonly #queue: Waiting[] = [];

	constructor(clock: LinkClock) {
		this.#clock = clock;
	}

	/** A connection is there. */
	attach(write: (line: string) => void): void {
		this.#write = write;
	}

	/** The connection is gone: everything that waits is answered so. */
	detach(): void {
		this.#write = null;
		const current = this.#current;
		this.#current = null;
		current?.cancelTimer();
		const waiting = this.#queue.splice(0);
		if (current !== null) waiting.unshift(current.waiting);
		for (const { settle } of waiting) settle(failure({ kind: "not-connected" }));
	}

	/** Resolves with the board's answer, or with what stood in its way. An urgent command goes before those waiting
	 *  and is never turned away. */
	ask(command: HostCommand, urgent = false): Promise<Result<null, Fault>> {
		if (this.#write === null) return Promise.resolve(failure({ kind: "not-connected" }));
		if (!urgent && this.#queue.length >= mostWaiting) {
			return Promise.resolve(failure({ kind: "board-silent", command: command.command }));
		}
		return new Promise((settle) => {
			if (urgent) this.#queue.unshift({ command, settle });
			else this.#queue.push({ command, settle });
			this.#next();
		});
	}

	/** Sends without waiting for an answer. */
	tell(command: HostCommand): void {
		this.#write?.(encodeHostCommand(this.#takeId(), command));
	}

	answered(id: number, refusal: RefusalReason | null): void {
		const current = this.#current;
		if (current === null || current.id !== id) return;
		const { command, settle } = current.waiting;
		this.#current = null;
		current.cancelTimer();
		settle(
			refusal === null
				? success(null)
				: failure({ kind: "board-refused", command: command.command, reason: refusal }),
		);
		this.#next();
	}

	#next(): void {
		if (this.#current !== null) return;
		const waiting = this.#queue.shift();
		if (waiting === undefined) return;
		const current = { id: this.#takeId(), waiting, cancelTimer: () => {} };
		this.#current = current;
		const line = encodeHostCommand(current.id, waiting.command);
		let left = attempts;
		const attempt = () => {
			if (left-- > 0) {
				current.cancelTimer = this.#clock.after(answerWithinMs, attempt);
				this.#write?.(line);
				return;
			}
			this.#current = null;
			waiting.settle(failure({ kind: "board-silent", command: waiting.command.command }));
			this.#next();
		};
		attempt();
	}

	#takeId(): number {
		const id = this.#nextId;
		this.#nextId = id === 0xffffffff ? 1 : id + 1;
		return id;
	}
}
