/** Which source of frames a choice of the contract stands for. */
import { failure, type Result, success } from "../../core/result.ts";
import { defaultWorkingLimitAmpere } from "../../core/safety/current-limit.ts";
import type { BoardProfile } from "../../core/wire/profile/board-profile.ts";
import type { Fault, Reply, SourceChoice } from "../contract.ts";
import { captureLines } from "../link/capture-lines.ts";
import type { FrameSource, FrameSourceEvents } from "../link/frame-source.ts";
import { systemClock } from "../link/link-clock.ts";
import { createLogTransport } from "../link/log-transport.ts";
import { PortRegistry } from "../link/ports.ts";
import { ProfileLink } from "../link/profile-link.ts";
import { createSerialSource } from "../link/serial-source.ts";
import { createSerialTransport } from "../link/serial-transport.ts";
import { mayReadAcross } from "../link/simulated/across-pattern.ts";
import { lieApart } from "../link/simulated/band-levels.ts";
import { type AskedEffort, createAskedEffort } from "../link/simulated/follower.ts";
import type { Wearer } from "../link/simulated/invented-person.ts";
import { createSimulatedSource } from "../link/simulated-source.ts";

export type SourceFactory = (events: FrameSourceEvents) => FrameSource;

export interface Sources {
	listPorts(): Promise<Reply<"listPorts">>;
	/** The path of a port that was listed; null for any other id. */
	pathOf(portId: string): string | null;
	/** The id of a port that the app itself knows by its path. */
	portIdOf(path: string): string;
	/**
	 * A port is looked up among those that were listed: no path from a page is ever opened.
	 * @param wearer whom a simulated board is strapped to
	 * @param profileNamed finds the profile that a choice names
	 */
	find(
		choice: SourceChoice,
		wearer: Wearer,
		profileNamed: (name: string) => Result<BoardProfile, Fault>,
	): Result<SourceFactory, Fault>;
	/** Plays a recorded log; see `createLogTransport`. */
	playing(fileName: string, text: string, profile: BoardProfile, framesPerSecond: number): SourceFactory;
	/** What a listed port says in that time. */
	capture(
		choice: { readonly portId: string; readonly baudRate: number; readonly seconds: number },
		signal: AbortSignal,
	): Promise<Result<string, Fault>>;
	/** What the simulated person who follows the coach is asked for. */
	readonly asked: AskedEffort;
}

export interface SourcesOptions {
	/** Where the simulated board's code lies when it is bundled. */
	readonly workerFolder?: URL | undefined;
	/** Serial devices that are offered besides those that are found. */
	readonly serialPaths?: readonly string[] | undefined;
	/** Asked anew whenever a current is looked at; see `core/safety/current-limit.ts`. */
	readonly workingLimitAmpere?: () => number;
}

export function createSources({
	workerFolder,
	serialPaths,
	workingLimitAmpere = () => defaultWorkingLimitAmpere,
}: SourcesOptions = {}): Sources {
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
		pathOf: (portId) => ports.pathOf(portId),
		portIdOf: (path) => ports.idOf(path),
		find(choice, wearer, profileNamed) {
			if (choice.kind === "simulated") {
				const { bandCount, electrodeCount, scenario } = choice;
				// a band that slips around is simulated on a section only
				const across =
					scenario !== "slippage" &&
					mayReadAcross(electrodeCount, bandCount) &&
					lieApart(wearer.limb.level, bandCount);
				const options = { ...choice, across, wearer, ...bundled, asked, workingLimitAmpere };
				return success((events) => createSimulatedSource(options, events));
			}
			const path = ports.pathOf(choice.portId);
			if (path === null) return failure({ kind: "no-such-port", path: choice.portId });
			const { baudRate } = choice;
			if (choice.kind === "serial")
				return success((events) => createSerialSource({ path, baudRate, workingLimitAmpere }, events));
			const profile = profileNamed(choice.profile);
			if (!profile.ok) return profile;
			const transport = createSerialTransport(path, baudRate);
			return success(
				(events) => new ProfileLink({ transport, profile: profile.value, workingLimitAmpere }, events),
			);
		},
		playing(fileName, text, profile, framesPerSecond) {
			// A character for each byte, as pages read such a file.
			const log = Buffer.from(text, "latin1");
			const transport = createLogTransport(fileName, log, profile, framesPerSecond, systemClock);
			return (events) => new ProfileLink({ transport, profile, isRecording: true }, events);
		},
		async capture({ portId, baudRate, seconds }, signal) {
			const path = ports.pathOf(portId);
			if (path === null) return failure({ kind: "no-such-port", path: portId });
			return captureLines(createSerialTransport(path, baudRate), 1000 * seconds, systemClock, signal);
		},
	};
}
