/** Entry of the thread that makes picture models; see `model-builder.ts`. */
import { parentPort } from "node:worker_threads";
import { buffersOf } from "./buffers-of.ts";
import { makeModel } from "./make-model.ts";
import { makeStudy } from "./make-study.ts";
import type { FromModelWorker, ToModelWorker } from "./messages.ts";
import { readRecording } from "./read-recording.ts";

const port = parentPort;
if (port === null) throw new Error("model-worker.ts runs as a worker thread");

function tell(message: FromModelWorker): void {
	// A copy of a large matrix would hold the receiving thread for a tenth of a second.
	port?.postMessage(message, buffersOf(message));
}

port.on("message", (message: ToModelWorker) => {
	const { jobId } = message;
	switch (message.type) {
		case "build": {
			const result = makeModel(message.request, (step) => tell({ type: "step", jobId, step }));
			tell({ type: "built", jobId, result });
			return;
		}
		case "read":
			tell({ type: "read", jobId, result: readRecording(message.fileName, message.text) });
			return;
		case "study":
			tell({ type: "studied", jobId, result: makeStudy(message.request, message.wish) });
	}
});
