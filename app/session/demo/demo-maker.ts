import { Worker } from "node:worker_threads";
import { failure, type Result } from "../../../core/result.ts";
import type { Fault } from "../../contract.ts";
import { removeDatabase, unfinishedDemo } from "./demo-file.ts";
import type { DemoWorkerData } from "./demo-worker.ts";

export type FromDemoWorker =
	| { readonly type: "progress"; readonly share: number; readonly who: string }
	| { readonly type: "made"; readonly result: Result<null, Fault> };

/** Makes a demo clinic at `data.path` without holding up this thread. Settles once the thread is gone; an abort leaves
 *  nothing behind. */
export async function makeDemoApart(
	workerFile: URL,
	data: DemoWorkerData,
	onProgress: (share: number, who: string) => void,
	signal: AbortSignal,
): Promise<Result<null, Fault>> {
	const worker = new Worker(workerFile, { workerData: data });
	let result: Result<null, Fault> = failure({ kind: "internal", detail: "the demo's thread ended early" });
	worker.on("message", (message: FromDemoWorker) => {
		if (message.type === "made") result = message.result;
		else if (!signal.aborted) onProgress(message.share, message.who);
	});
	worker.on("error", (error) => {
		result = failure({ kind: "internal", detail: error.message });
	});
	const abort = (): void => void worker.terminate();
	signal.addEventListener("abort", abort, { once: true });
	if (signal.aborted) abort();
	await new Promise((resolve) => worker.once("exit", resolve));
	signal.removeEventListener("abort", abort);
	if (signal.aborted) {
		result = failure({ kind: "cancelled" });
		removeDatabase(data.path);
	}
	if (!result.ok) removeDatabase(unfinishedDemo(data.path));
	return result;
}
