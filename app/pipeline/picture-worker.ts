/** Entry of the thread that turns frames into pictures; see `picture-stream.ts`. */
import { parentPort, workerData } from "node:worker_threads";
import type { PictureWorkerData, ToPictureWorker } from "./messages.ts";
import { createPictureLoop } from "./picture-loop.ts";

const port = parentPort;
if (port === null) throw new Error("picture-worker.ts runs as a worker thread");

const loop = createPictureLoop((workerData as PictureWorkerData).rings, (message) =>
	port.postMessage(message),
);

port.on("message", (message: ToPictureWorker) => loop.receive(message));
