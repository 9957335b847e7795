/** The app as it runs for `core-use.ts`, alone in a process so that its processor time is its own. Says over IPC where pages
 *  find it, then what a span of time has cost. */

import { monitorEventLoopDelay, PerformanceObserver, performance } from "node:perf_hooks";
import { setTimeout as wait } from "node:timers/promises";
import { rendererFolder } from "../../app/build.ts";
import type { AppState } from "../../app/contract.ts";
import { startLoopbackHost } from "../../app/hosts/loopback.ts";
import type { Backend } from "../../app/session/backend.ts";
import { createSwitchingBackend } from "../../app/session/switching-backend.ts";
import { cautions } from "../../core/safety/cautions.ts";
import { unwrap } from "../store/create-records.ts";

const [dataFolder, serialPath] = process.argv.slice(2) as [string, string];
const backend = createSwitchingBackend({ dataFolder, serialPaths: [serialPath], source: null });
const host = unwrap(await startLoopbackHost({ backend, rendererFolder, port: 0 }));

/** What a span has cost. */
export interface CoreUse {
	readonly seconds: number;
	/** s of all threads together */
	readonly processor: number;
	/** s in which the main thread did not wait for anything */
	readonly mainBusy: number;
	/** ms by which the main thread came late to a timer: nearly all (99 of 100) and the longest */
	readonly lateMost: number;
	readonly lateLongest: number;
	/** s in which the main thread collected garbage */
	readonly collecting: number;
	readonly collections: number;
	readonly framesRecorded: number;
}

function told(test: (state: AppState) => boolean): Promise<void> {
	return new Promise((resolve) => {
		const look = (): boolean => test(backend.state());
		if (look()) return resolve();
		const stop = backend.onState(() => {
			if (!look()) return;
			stop();
			resolve();
		});
	});
}

async function ask(...[name, argument]: Parameters<Backend["request"]>): Promise<void> {
	unwrap(await backend.request(name, argument));
}

async function prepare(): Promise<void> {
	await ask("acknowledgeCautions", { version: cautions.version });
	const { ports } = unwrap(await backend.request("listPorts", null));
	await ask("connect", {
		kind: "serial",
		portId: ports.find(({ path }) => path === serialPath)!.portId,
		baudRate: 921_600,
	});
	await told(({ picture, board }) => picture.state === "ready" && board?.bandCount === 2);
	await ask("startVolume", null);
	await told(({ volume }) => {
		if (volume.state === "failed") throw new Error(`core use: no volume, ${JSON.stringify(volume.fault)}`);
		return volume.state === "ready";
	});
	await ask("startRecording", { title: "core use" });
}

async function measure(seconds: number): Promise<CoreUse> {
	const delay = monitorEventLoopDelay({ resolution: 5 });
	let collecting = 0;
	let collections = 0;
	const observer = new PerformanceObserver((list) => {
		for (const { duration } of list.getEntries()) {
			collecting += duration / 1000;
			collections++;
		}
	});
	observer.observe({ entryTypes: ["gc"] });
	const frames = backend.state().recording?.frames ?? 0;
	const began = performance.now();
	const processor = process.cpuUsage();
	const loop = performance.eventLoopUtilization();
	delay.enable();
	await wait(1000 * seconds);
	delay.disable();
	const used = process.cpuUsage(processor);
	const busy = performance.eventLoopUtilization(loop);
	observer.disconnect();
	return {
		seconds: (performance.now() - began) / 1000,
		processor: (used.user + used.system) / 1e6,
		mainBusy: busy.active / 1000,
		lateMost: delay.percentile(99) / 1e6,
		lateLongest: delay.max / 1e6,
		collecting,
		collections,
		framesRecorded: (backend.state().recording?.frames ?? 0) - frames,
	};
}

process.on("message", async (message: { do: "prepare" } | { do: "measure"; seconds: number }) => {
	if (message.do === "prepare") {
		await prepare();
		process.send!({ entryUrl: host.entryUrl });
	} else process.send!(await measure(message.seconds));
});
process.once("disconnect", async () => {
	await host.dispose();
	await backend.dispose();
});
