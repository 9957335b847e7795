/** Entry of the thread that finds or makes one model in three dimensions and ends; see `volume-builder.ts`. */
import { parentPort, workerData } from "node:worker_threads";
import { failure, success } from "../../core/result.ts";
import { buffersOf } from "./buffers-of.ts";
import { createKeptModels, keyOf } from "./kept-models.ts";
import type { FromVolumeWorker, MadeVolume, VolumeWorkerData } from "./volume-messages.ts";
import { VOLUME_ALGORITHM } from "./volume-version.ts";

const port = parentPort;
if (port === null) throw new Error("volume-worker.ts runs as a worker thread");
const { request, folder } = workerData as VolumeWorkerData;

function tell(message: FromVolumeWorker): void {
	port?.postMessage(message, buffersOf(message));
}

const kept = createKeptModels(folder);
const key = keyOf(request, VOLUME_ALGORITHM);
tell({ type: "step", step: "Looking for a model that was kept", share: 0 });
const found = kept.load(key) as MadeVolume | null;
if (found !== null) {
	// All arrays of a file lie in one piece of memory, and the model's moves on to the picture worker.
	const modelRest = found.modelRest.slice();
	const noisePerOhm = found.noisePerOhm.slice();
	tell({ type: "built", result: success({ ...found, modelRest, noisePerOhm, wasKept: true }) });
} else {
	// Read only now: what makes a model is much more code than what finds one.
	const { makeVolume } = await import("./make-volume.ts");
	const made = makeVolume(request, (step, share) => tell({ type: "step", step, share }));
	if (made.ok) {
		kept.store(key, made.value);
		tell({ type: "built", result: success({ ...made.value, wasKept: false }) });
	} else {
		tell({ type: "built", result: failure(made.error) });
	}
}
