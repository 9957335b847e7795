import { BoardLink, type BoardLinkOptions } from "./board-link.ts";
import type { FrameSource, FrameSourceEvents } from "./frame-source.ts";
import type { SimulatedBoardOptions } from "./simulated/board-options.ts";
import type { FrameTruth } from "./simulated/truth.ts";
import { createWorkerTransport } from "./simulated/worker-transport.ts";

export interface SimulatedSourceOptions extends SimulatedBoardOptions, Omit<BoardLinkOptions, "transport"> {
	/** Where the worker's code lies when it was bundled. */
	readonly workerFile?: URL;
	/** What was really so at each frame; for tests and demonstrations, never for what is computed. */
	readonly onTruth?: (truth: FrameTruth) => void;
}

/** A simulated board inside the app, in a thread of its own. Its bytes take the same way as those of a serial port. */
export function createSimulatedSource(
	options: SimulatedSourceOptions,
	events: FrameSourceEvents,
): FrameSource {
	const { workerFile, onTruth, startByItself, workingLimitAmpere, clock, ...board } = options;
	const file = workerFile ?? new URL("./simulated/board-worker.ts", import.meta.url);
	return new BoardLink(
		{
			transport: createWorkerTransport(board, file, onTruth ?? null),
			...(startByItself === undefined ? {} : { startByItself }),
			...(workingLimitAmpere === undefined ? {} : { workingLimitAmpere }),
			...(clock === undefined ? {} : { clock }),
		},
		events,
	);
}
