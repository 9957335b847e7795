import type { Duplex } from "node:stream";
import type { LinkClock } from "../link-clock.ts";
import { SimulatedBoard } from "./board.ts";
import type { SimulatedBoardOptions } from "./board-options.ts";
import { runBoard } from "./run-board.ts";
import type { FrameTruth } from "./truth.ts";
import type { WornLimb } from "./worn-limb.ts";

/** A line that cannot take more drops frames, as a board's would; the rest may still wait a while. */
const mostWaitingForFrames = 64 * 1024;
const mostWaiting = 4 * mostWaitingForFrames;

/** What becomes of what is said; null for what is lost. */
export interface Way {
	/** A whole line. */
	toHost(line: Uint8Array): Uint8Array | null;
	toBoard(chunk: Uint8Array): Uint8Array | null;
}

const clearWay: Way = { toHost: (line) => line, toBoard: (chunk) => chunk };

export interface ServedBoard {
	readonly frames: { sent: number; corrupted: number; dropped: number };
	stop(): void;
}

/** Lets a simulated board talk over a stream, such as an open serial port, until it is stopped. */
export function serveBoard(
	options: SimulatedBoardOptions,
	limbs: readonly WornLimb[],
	stream: Duplex,
	clock: LinkClock,
	onTruth: (truth: FrameTruth) => void = () => {},
	way: Way = clearWay,
): ServedBoard {
	const frames = { sent: 0, corrupted: 0, dropped: 0 };
	/** Of the newest line. */
	let isAltered = false;
	const board = new SimulatedBoard(options, limbs, {
		line(bytes, isFrame) {
			if (stream.destroyed || stream.writableLength > (isFrame ? mostWaitingForFrames : mostWaiting))
				return false;
			const carried = way.toHost(bytes);
			isAltered = carried !== bytes;
			if (carried !== null) stream.write(carried);
			return carried !== null;
		},
		truth(truth) {
			// What the board sent whole may have been damaged on its way.
			const line = truth.line === "sent" && isAltered ? "corrupted" : truth.line;
			frames[line]++;
			onTruth({ ...truth, line });
		},
	});
	const running = runBoard(board, clock);
	const receive = (chunk: Uint8Array) => {
		const carried = way.toBoard(chunk);
		if (carried !== null) running.receive(carried);
	};
	stream.on("data", receive);
	return {
		frames,
		stop() {
			stream.off("data", receive);
			running.stop();
		},
	};
}
