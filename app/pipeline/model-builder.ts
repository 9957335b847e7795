/**
 * Makes picture models, and reads recording files, in a thread of its own, one job after another. An abort ends the
 * thread when its job is the one running, for nothing else stops a computation; the next job starts a fresh one.
 */
import { Worker } from "node:worker_threads";
import { failure, type Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type { BuiltModel, FromModelWorker, ModelRequest, ToModelWorker } from "./messages.ts";
import type { ReadRecording } from "./read-recording.ts";
import type { StudyOf, StudyWish } from "./study.ts";

export interface ModelBuilder {
	/** `onStep` names what is being done, for people. */
	build(
		request: ModelRequest,
		onStep: (step: string) => void,
		signal: AbortSignal,
	): Promise<Result<BuiltModel, Fault>>;
	/** Checks a recording file's text. */
	read(fileName: string, text: string, signal: AbortSignal): Promise<Result<ReadRecording, Fault>>;
	/** What could be seen of a subject, or another picture of one frame. */
	study<W extends StudyWish>(
		request: ModelRequest,
		wish: W,
		signal: AbortSignal,
	): Promise<Result<StudyOf<W>, Fault>>;
	/** Settles all jobs as cancelled. Safe twice. */
	dispose(): Promise<void>;
}

interface Job {
	readonly message: ToModelWorker;
	onMessage(message: FromModelWorker): void;
	fail(fault: Fault): void;
}

/** @param startsNow whether the thread is there before the first job: half a second that nobody waits for */
export function createModelBuilder(workerFile: URL, startsNow = true): ModelBuilder {
	const queue: Job[] = [];
	let running: Job | null = null;
	let worker: Worker | null = startsNow ? startWorker() : null;
	let jobIds = 0;
	let disposed = false;

	function startWorker(): Worker {
		const started = new Worker(workerFile);
		started.on("message", (message: FromModelWorker) => {
			if (running?.message.jobId === message.jobId) running.onMessage(message);
		});
		started.on("error", (error) => {
			if (worker !== started) return;
			worker = null;
			const job = running;
			job?.fail({ kind: "internal", detail: error.message });
		});
		return started;
	}

	function next(): void {
		if (running !== null || disposed) return;
		running = queue.shift() ?? null;
		if (running === null) return;
		worker ??= startWorker();
		worker.postMessage(running.message);
	}

	function cancel(job: Job): void {
		const waiting = queue.indexOf(job);
		if (waiting >= 0) {
			queue.splice(waiting, 1);
		} else if (running === job && worker !== null) {
			const ended = worker;
			worker = null;
			void ended.terminate();
		}
		job.fail({ kind: "cancelled" });
	}

	function run<T>(
		message: (jobId: number) => ToModelWorker,
		outcome: (message: FromModelWorker) => Result<T, Fault> | null,
		signal: AbortSignal,
	): Promise<Result<T, Fault>> {
		if (signal.aborted || disposed) return Promise.resolve(failure({ kind: "cancelled" }));
		return new Promise((resolve) => {
			const abort = (): void => cancel(job);
			const settle = (result: Result<T, Fault>): void => {
				signal.removeEventListener("abort", abort);
				if (running === job) running = null;
				resolve(result);
				next();
			};
			jobIds++;
			const job: Job = {
				message: message(jobIds),
				onMessage(received) {
					const result = outcome(received);
					if (result !== null) settle(result);
				},
				fail: (fault) => settle(failure(fault)),
			};
			signal.addEventListener("abort", abort, { once: true });
			queue.push(job);
			next();
		});
	}

	return {
		build(request, onStep, signal) {
			return run(
				(jobId) => ({ type: "build", jobId, request }),
				(message) => {
					if (message.type === "step") onStep(message.step);
					return message.type === "built" ? message.result : null;
				},
				signal,
			);
		},
		read(fileName, text, signal) {
			return run(
				(jobId) => ({ type: "read", jobId, fileName, text }),
				(message) => (message.type === "read" ? message.result : null),
				signal,
			);
		},
		study<W extends StudyWish>(request: ModelRequest, wish: W, signal: AbortSignal) {
			return run(
				(jobId) => ({ type: "study", jobId, request, wish }),
				(message) => (message.type === "studied" ? (message.result as Result<StudyOf<W>, Fault>) : null),
				signal,
			);
		},
		async dispose() {
			disposed = true;
			for (const job of queue.splice(0)) job.fail({ kind: "cancelled" });
			running?.fail({ kind: "cancelled" });
			const ended = worker;
			worker = null;
			await ended?.terminate();
		},
	};
}
