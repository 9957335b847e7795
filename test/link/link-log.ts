import type { LinkState } from "../../app/contract.ts";
import type { BoardStatus, FrameSourceEvents } from "../../app/link/frame-source.ts";
import type { BoardIdentity, DriveConfiguration } from "../../core/wire/frame.ts";

export interface LoggedFrame {
	readonly bandIndex: number;
	readonly sequence: number;
	readonly timeMicros: number;
	readonly receivedAt: number;
	readonly lostBefore: number;
	readonly first: number;
}

/** Keeps what a link told, and lets tests wait for a state or a count of frames without sleeping. */
export class LinkLog implements FrameSourceEvents {
	readonly states: LinkState[] = [];
	readonly boards: BoardIdentity[] = [];
	readonly configurations: DriveConfiguration[] = [];
	readonly frames: LoggedFrame[] = [];
	readonly contacts: Float64Array[] = [];
	readonly statuses: BoardStatus[] = [];
	readonly #waiting = new Set<() => void>();

	onState(state: LinkState): void {
		this.states.push(state);
		this.#wake();
	}
	onBoard(board: BoardIdentity): void {
		this.boards.push(board);
	}
	onConfiguration(configuration: DriveConfiguration): void {
		this.configurations.push(configuration);
		this.#wake();
	}
	onFrame(
		frame: { bandIndex: number; sequence: number; timeMicros: number; values: Float64Array },
		receivedAt: number,
		lostBefore: number,
	): void {
		const { bandIndex, sequence, timeMicros, values } = frame;
		this.frames.push({ bandIndex, sequence, timeMicros, receivedAt, lostBefore, first: values[0]! });
		this.#wake();
	}
	onContacts(_bandIndex: number, ohm: Float64Array): void {
		this.contacts.push(ohm.slice());
		this.#wake();
	}
	onStatus(status: BoardStatus): void {
		this.statuses.push(status);
		this.#wake();
	}

	names(): string[] {
		return this.states.map(({ state }) => state);
	}

	last(): LinkState {
		return this.states.at(-1) ?? { state: "idle" };
	}

	/** Resolves as soon as the claim holds; the test's own time limit ends the wait. */
	until(claim: () => boolean): Promise<void> {
		if (claim()) return Promise.resolve();
		return new Promise((resolve) => {
			const check = () => {
				if (!claim()) return;
				this.#waiting.delete(check);
				resolve();
			};
			this.#waiting.add(check);
		});
	}

	#wake(): void {
		for (const check of this.#waiting) check();
	}
}
