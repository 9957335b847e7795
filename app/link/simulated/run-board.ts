import { createLineReader } from "../line-stream.ts";
import type { LinkClock } from "../link-clock.ts";
import type { SimulatedBoard } from "./board.ts";

/** A board that is late by more than this leaves frames out instead of sending them in a burst. */
const latestSeconds = 2;

export interface RunningBoard {
	/** Bytes from the host. */
	receive(chunk: Uint8Array): void;
	stop(): void;
}

/** Gives a simulated board the time of a clock, from its own zero on. */
export function runBoard(board: SimulatedBoard, clock: LinkClock): RunningBoard {
	const startedAt = clock.monotonic();
	let cancel = () => {};
	let isStopped = false;

	const catchUp = () => {
		const seconds = (clock.monotonic() - startedAt) / 1000;
		if (seconds - board.seconds > latestSeconds) board.skipTo(seconds);
		board.advanceTo(seconds);
	};
	const tick = () => {
		if (isStopped) return;
		catchUp();
		const delayMs = 1000 * board.nextSeconds - (clock.monotonic() - startedAt);
		cancel();
		// Timers count whole ms and drop fractions: without rounding up they ring just before anything is due.
		cancel = clock.after(Math.max(0, Math.ceil(delayMs)), tick);
	};

	const reader = createLineReader((line) => {
		if (isStopped) return;
		catchUp();
		board.receive(line);
		// A command may have brought the next thing forward.
		tick();
	});
	tick();
	return {
		receive: (chunk) => void reader.input.write(chunk),
		stop() {
			isStopped = true;
			cancel();
			reader.destroy();
		},
	};
}
