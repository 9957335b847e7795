/** Which source of frames a choice of the contract stands for. */
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, Reply, SourceChoice } from "../contract.ts";
import type { FrameSource, FrameSourceEvents } from "../link/frame-source.ts";
import { PortRegistry } from "../link/ports.ts";
import { createSerialSource } from "../link/serial-source.ts";
import { createSimulatedSource } from "../link/simulated-source.ts";

export type SourceFactory = (events: FrameSourceEvents) => FrameSource;

export interface Sources {
	listPorts(): Promise<Reply<"listPorts">>;
	/** A port is looked up among those that were listed: no path from a page is ever opened. */
	find(choice: SourceChoice): Result<SourceFactory, Fault>;
}

export interface SourcesOptions {
	/** Where the simulated board's code lies when it is bundled. */
	readonly workerFolder?: URL | undefined;
	/** Serial devices that are offered besides those that are found. */
	readonly serialPaths?: readonly string[] | undefined;
}

export function createSources({ workerFolder, serialPaths }: SourcesOptions = {}): Sources {
	const ports = new PortRegistry(serialPaths);
	const bundled = workerFolder === undefined ? {} : { workerFile: new URL("board-worker.js", workerFolder) };
	return {
		async listPorts() {
			try {
				return success(await ports.list());
			} catch (error) {
				return failure({ kind: "port-failed", path: "", detail: (error as Error).message });
			}
		},
		find(choice) {
			if (choice.kind === "simulated") {
				return success((events) => createSimulatedSource({ ...choice, ...bundled }, events));
			}
			const path = ports.pathOf(choice.portId);
			if (path === null) return failure({ kind: "no-such-port", path: choice.portId });
			return success((events) => createSerialSource({ path, baudRate: choice.baudRate }, events));
		},
	};
}
