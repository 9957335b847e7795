/** Which source of frames a choice of the contract stands for. */
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, Reply, SourceChoice } from "../contract.ts";
import type { FrameSource, FrameSourceEvents } from "../link/frame-source.ts";
import { PortRegistry } from "../link/ports.ts";
import { createSerialSource } from "../link/serial-source.ts";
import { type AskedEffort, createAskedEffort } from "../link/simulated/follower.ts";
import type { Wearer } from "../link/simulated/invented-person.ts";
import { createSimulatedSource } from "../link/simulated-source.ts";

export type SourceFactory = (events: FrameSourceEvents) => FrameSource;

export interface Sources {
	listPorts(): Promise<Reply<"listPorts">>;
	/** A port is looked up among those that were listed: no path from a page is ever opened. */
	/** `wearer`: whom a simulated board is strapped to. */
	find(choice: SourceChoice, wearer: Wearer): Result<SourceFactory, Fault>;
	/** What the simulated person who follows the coach is asked for. */
	readonly asked: AskedEffort;
}

export interface SourcesOptions {
	/** Where the simulated board's code lies when it is bundled. */
	readonly workerFolder?: URL | undefined;
	/** Serial devices that are offered besides those that are found. */
	readonly serialPaths?: readonly string[] | undefined;
}

export function createSources({ workerFolder, serialPaths }: SourcesOptions = {}): Sources {
	const ports = new PortRegistry(serialPaths);
	const asked = createAskedEffort();
	const bundled = workerFolder === undefined ? {} : { workerFile: new URL("board-worker.js", workerFolder) };
	return {
		asked,
		async listPorts() {
			try {
				return success(await ports.list());
			} catch (error) {
				return failure({ kind: "port-failed", path: "", detail: (error as Error).message });
			}
		},
		find(choice, wearer) {
			if (choice.kind === "simulated") {
				return success((events) => createSimulatedSource({ ...choice, wearer, ...bundled, asked }, events));
			}
			const path = ports.pathOf(choice.portId);
			if (path === null) return failure({ kind: "no-such-port", path: choice.portId });
			return success((events) => createSerialSource({ path, baudRate: choice.baudRate }, events));
		},
	};
}
