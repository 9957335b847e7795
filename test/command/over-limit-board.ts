/** A simulated board that drives 2 mA, twice what the app allows, over standard input and output. */
import { systemClock } from "../../app/link/link-clock.ts";
import { SimulatedBoard } from "../../app/link/simulated/board.ts";
import type { SimulatedBoardOptions } from "../../app/link/simulated/board-options.ts";
import { createLimbs } from "../../app/link/simulated/create-limbs.ts";
import { runBoard } from "../../app/link/simulated/run-board.ts";

const options: SimulatedBoardOptions = {
	seed: 1,
	framesPerSecond: 30,
	bandCount: 1,
	electrodeCount: 16,
	scenario: "rest",
	corruptShare: 0,
	dropShare: 0,
	currentMilliamp: 2,
};
const board = new SimulatedBoard(options, createLimbs(options), {
	line(bytes) {
		process.stdout.write(bytes);
		return true;
	},
});
const running = runBoard(board, systemClock);
process.stdin.on("data", (chunk: Uint8Array) => running.receive(chunk));
process.stdin.on("end", () => running.stop());
