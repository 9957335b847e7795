/** Frames per second into SQLite (WAL, synchronous FULL) in batches as large as 15 frames, and the longest single
 *  flush: it runs on the thread that must answer the person. */
import type { Store } from "../../app/store/store.ts";
import { createConfiguration, newSession, unwrap } from "../store/create-records.ts";
import { withBenchStore } from "./bench-store.ts";
import { quantile } from "./measure.ts";

const batches = 60;
const framesPerBatch = 15;

export function benchStore(): Record<string, unknown> {
	return {
		"208 readings": withBenchStore((store) => storeFrames(store, 208)),
		"928 readings": withBenchStore((store) => storeFrames(store, 928)),
	};
}

function storeFrames(store: Store, readingCount: number): Record<string, number> {
	const recorder = unwrap(store.startSession(newSession));
	recorder.addConfiguration(createConfiguration({ readingCount }));
	const values = new Float64Array(readingCount);
	const flushMicros: number[] = [];
	const began = performance.now();
	let sequence = 0;
	for (let batch = 0; batch < batches; batch++) {
		for (let k = 0; k < framesPerBatch; k++) {
			for (let i = 0; i < readingCount; i++) values[i] = Math.round(30_000 * Math.sin(i + sequence));
			const frame = { bandIndex: 0, sequence, timeMicros: 33_333 * sequence, configuration: 1, values };
			recorder.appendFrame(frame, sequence, 0, 1);
			sequence++;
		}
		const flushed = performance.now();
		unwrap(recorder.flush());
		flushMicros.push(1000 * (performance.now() - flushed));
	}
	const seconds = (performance.now() - began) / 1000;
	flushMicros.sort((a, b) => a - b);
	return {
		"frames/s": Math.round(sequence / seconds),
		"flush ms, median": quantile(flushMicros, 0.5) / 1000,
		"flush ms, longest": quantile(flushMicros, 1) / 1000,
	};
}
