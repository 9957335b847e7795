import type { Duplex } from "node:stream";
import type { LinkClock } from "../link-clock.ts";
import { SimulatedBoard } from "./board.ts";
import type { SimulatedBoardOptions } from "./board-options.ts";
import { runBoard } from "./run-board.ts";
import type { TrueLimb } from "./true-limb.ts";
import type { FrameTruth } from "./truth.ts";

/** A line that cannot take more drops frames, as a board's would; the rest may still wait a while. */
const mostWaitingForFrames = 64 * 1024;
const mostWaiting = 4 * mostWaitingForFrames;

export interface ServedBoard {
	readonly frames: { sent: number; corrupted: number; dropped: number };
	stop(): void;
}

/** Lets a simulated board talk over a stream, such as an open serial port, until it is stopped. */
export function serveBoard(
	options: SimulatedBoardOptions,
	limbs: readonly TrueLimb[],
	stream: Duplex,
	clock: LinkClock,
	onTruth: (truth: FrameTruth) => void = () => {},
): ServedBoard {
	const frames = { sent: 0, corrupted: 0, dropped: 0 };
	const board = new SimulatedBoard(options, limbs, {
		line(bytes, isFrame) {
			if (stream.destroyed || stream.writableLength > (isFrame ? mostWaitingForFrames : mostWaiting))
				return false;
			stream.write(bytes);
			return true;
		},
		truth(truth) {
			frames[truth.line]++;
			onTruth(truth);
		},
	});
	const running = runBoard(board, clock);
	const receive = (chunk: Uint8Array) => running.receive(chunk);
	stream.on("data", receive);
	return {
		frames,
		stop() {
			stream.off("data", receive);
			running.stop();
		},
	};
}
