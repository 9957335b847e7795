/** Records until it is killed, as fast as it can: after each commit it prints how many frames are on the disk. */
import { writeSync } from "node:fs";
import { openStore } from "../../app/store/store.ts";
import { createConfiguration, createFrame, newSession, series, unwrap } from "./create-records.ts";

const store = unwrap(
	openStore({
		path: process.argv[2]!,
		mode: "create",
		whenCorrupt: "refuse",
		appVersion: "0.0.0-test",
		now: Date.now,
		timers: { setInterval, clearInterval: (handle) => clearInterval(handle as NodeJS.Timeout) },
		onFault: (fault) => {
			throw new Error(JSON.stringify(fault));
		},
	}),
);
const recorder = unwrap(store.startSession(newSession));
recorder.addConfiguration(createConfiguration());
const seriesId = recorder.addSeries(series);

function step(): void {
	for (let i = 0; i < 15; i++) {
		const ordinal = recorder.appendFrame(createFrame(recorder.frames), Date.now(), 0, 1);
		recorder.appendTrend(seriesId, ordinal, Float32Array.of(ordinal, -ordinal));
	}
	unwrap(recorder.flush());
	writeSync(1, `${recorder.frames}\n`);
	setImmediate(step);
}
step();
