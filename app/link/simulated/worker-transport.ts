import { Duplex } from "node:stream";
import { Worker } from "node:worker_threads";
import { failure, type Result, success } from "../../../core/result.ts";
import type { Fault } from "../../contract.ts";
import type { Connection, Transport } from "../transport.ts";
import type { SimulatedBoardOptions } from "./board-options.ts";
import type { BoardWorkerData, FromBoardWorker } from "./board-worker.ts";
import type { FrameTruth } from "./truth.ts";

/** A board in a worker thread; each opening switches on a new one. */
export function createWorkerTransport(
	options: SimulatedBoardOptions,
	workerFile: URL,
	onTruth: ((truth: FrameTruth) => void) | null,
): Transport {
	return {
		label: "simulated band",
		open: () => startWorker(workerFile, { options, wantsTruth: onTruth !== null }, onTruth),
		lost: (error) => ({ kind: "internal", detail: error?.message ?? "the simulated band ended by itself" }),
	};
}

function startWorker(
	workerFile: URL,
	workerData: BoardWorkerData,
	onTruth: ((truth: FrameTruth) => void) | null,
): Promise<Result<Connection, Fault>> {
	return new Promise((settle) => {
		const worker = new Worker(workerFile, { workerData, name: "simulated band" });
		const stream = new WorkerStream(worker);
		// A worker that fails before anybody listens to its stream has told so through the promise.
		stream.on("error", () => {});
		worker.on("message", (message: FromBoardWorker) => {
			switch (message.type) {
				case "ready":
					settle(success({ stream, close: () => endWorker(worker, stream) }));
					return;
				case "bytes":
					stream.push(message.bytes);
					return;
				case "truth":
					onTruth?.(message.truth);
			}
		});
		worker.once("error", (error: Error) => {
			settle(failure({ kind: "internal", detail: error.message }));
			stream.destroy(error);
		});
		worker.once("exit", () => stream.destroy());
	});
}

async function endWorker(worker: Worker, stream: Duplex): Promise<void> {
	await worker.terminate();
	stream.destroy();
}

/** The bytes of a worker's board. The link behind it always reads on, so nothing piles up here. */
class WorkerStream extends Duplex {
	readonly #worker: Worker;

	constructor(worker: Worker) {
		super();
		this.#worker = worker;
	}

	override _read(): void {
		// Bytes are pushed as they come.
	}

	override _write(chunk: Uint8Array, _encoding: BufferEncoding, done: (error?: Error | null) => void): void {
		this.#worker.postMessage(Uint8Array.from(chunk));
		done();
	}
}
