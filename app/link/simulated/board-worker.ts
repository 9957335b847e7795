/** A simulated board in a thread of its own: preparing its limbs takes some tenths of a second, each frame most of a
 *  millisecond, and the main thread has pages to serve. */
import { parentPort, workerData } from "node:worker_threads";
import { systemClock } from "../link-clock.ts";
import { SimulatedBoard } from "./board.ts";
import type { SimulatedBoardOptions } from "./board-options.ts";
import { createLimbs } from "./create-limbs.ts";
import { runBoard } from "./run-board.ts";
import type { FrameTruth } from "./truth.ts";

export interface BoardWorkerData {
	readonly options: SimulatedBoardOptions;
	readonly wantsTruth: boolean;
}

export type FromBoardWorker =
	| { readonly type: "ready" }
	| { readonly type: "bytes"; readonly bytes: Uint8Array }
	| { readonly type: "truth"; readonly truth: FrameTruth };

const port = parentPort;
if (port === null) throw new TypeError("board-worker.ts runs only as a worker thread");
const { options, wantsTruth } = workerData as BoardWorkerData;
const tell = (message: FromBoardWorker) => port.postMessage(message);

const board = new SimulatedBoard(options, createLimbs(options), {
	line(bytes) {
		tell({ type: "bytes", bytes });
		return true;
	},
	...(wantsTruth ? { truth: (truth: FrameTruth) => tell({ type: "truth", truth }) } : {}),
});
tell({ type: "ready" });
const running = runBoard(board, systemClock);
port.on("message", (chunk: Uint8Array) => running.receive(chunk));
