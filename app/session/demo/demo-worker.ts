/** Makes a demo clinic in a thread of its own (see `demo-maker.ts`): the app's frames and pages go on meanwhile. */
import { parentPort, workerData } from "node:worker_threads";
import { type DemoFileOptions, makeDemoFile } from "./demo-file.ts";
import type { FromDemoWorker } from "./demo-maker.ts";

export interface DemoWorkerData extends DemoFileOptions {
	readonly path: string;
	/** ms since the epoch */
	readonly today: number;
}

const { path, today, ...options } = workerData as DemoWorkerData;
const tell = (message: FromDemoWorker): void => parentPort?.postMessage(message);
const result = await makeDemoFile(
	path,
	today,
	(share, who) => tell({ type: "progress", share, who }),
	options,
);
tell({ type: "made", result });
