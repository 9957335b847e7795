/** Makes a model in three dimensions in a thread of its own, which ends with its job: the memory goes with it, and an
 *  abort takes effect at once. */
import { Worker } from "node:worker_threads";
import { failure, type Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { BuiltVolume, FromVolumeWorker, VolumeRequest, VolumeWorkerData } from "./volume-messages.ts";

export interface VolumeBuilder {
	/** Settles with `cancelled` as soon as `signal` aborts. @param onStep names what is being done, for people */
	build(
		request: VolumeRequest,
		onStep: (step: string, share: number) => void,
		signal: AbortSignal,
	): Promise<Result<BuiltVolume, Fault>>;
	/** Ends what is under way. Safe twice. */
	dispose(): Promise<void>;
}

/** @param folder where models are kept, made when missing */
export function createVolumeBuilder(workerFile: URL, folder: string): VolumeBuilder {
	const ending = new Set<Promise<unknown>>();
	const running = new Set<() => void>();

	function end(worker: Worker): void {
		const ended: Promise<unknown> = worker.terminate().finally(() => ending.delete(ended));
		ending.add(ended);
	}

	return {
		build(request, onStep, signal) {
			if (signal.aborted) return Promise.resolve(failure({ kind: "cancelled" }));
			return new Promise((resolve) => {
				const worker = new Worker(workerFile, {
					workerData: { request, folder } satisfies VolumeWorkerData,
				});
				let isSettled = false;
				const settle = (result: Result<BuiltVolume, Fault>): void => {
					if (isSettled) return;
					isSettled = true;
					signal.removeEventListener("abort", abort);
					running.delete(abort);
					end(worker);
					resolve(result);
				};
				const abort = (): void => settle(failure({ kind: "cancelled" }));
				const fail = (detail: string): void => settle(failure({ kind: "internal", detail }));
				signal.addEventListener("abort", abort, { once: true });
				running.add(abort);
				worker.on("message", (message: FromVolumeWorker) => {
					if (isSettled) return;
					if (message.type === "step") onStep(message.step, message.share);
					else settle(message.result);
				});
				worker.on("error", (error) => fail(error.message));
				worker.on("exit", () => fail("the thread that makes the volume's model ended by itself"));
			});
		},
		async dispose() {
			for (const abort of [...running]) abort();
			await Promise.all(ending);
		},
	};
}
