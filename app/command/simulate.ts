/** A simulated board on a serial device, such as one end of a pseudo-terminal pair. It speaks the protocol and obeys
 *  whoever is at the other end, and can write what was really so beside it. */
import { once } from "node:events";
import { createWriteStream, type WriteStream } from "node:fs";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, ScenarioName } from "../contract.ts";
import { scenarioNames } from "../contract.ts";
import { systemClock } from "../link/link-clock.ts";
import { createSerialTransport } from "../link/serial-transport.ts";
import type { SimulatedBoardOptions } from "../link/simulated/board-options.ts";
import { type ServedBoard, serveBoard } from "../link/simulated/serve-board.ts";
import { createLimbs } from "../link/simulated/true-limb.ts";
import { faultSentence } from "./fault-sentence.ts";
import type { Outcome, Verb } from "./verb.ts";

/** Ignored by pseudo-terminals, but some systems refuse to set an unusual one on them. */
const usualBaudRate = 115_200;

interface Wish {
	readonly port: string;
	readonly truth: string | null;
	readonly seconds: number;
	readonly baudRate: number;
	readonly board: SimulatedBoardOptions;
}

function number(
	values: Record<string, string | undefined>,
	name: string,
	usual: number,
	least: number,
	most: number,
	isWhole: boolean,
): number {
	const text = values[name];
	if (text === undefined) return usual;
	const value = /^\d+(\.\d+)?$/.test(text) ? Number(text) : Number.NaN;
	if (value >= least && value <= most && (!isWhole || Number.isInteger(value))) return value;
	throw new RangeError(
		`--${name} takes a ${isWhole ? "whole " : ""}number from ${least} to ${most}, got '${text}'.`,
	);
}

/** @throws RangeError with a sentence for the person */
function wishOf(values: Record<string, string | undefined>): Wish {
	const { port, scenario = "tour" } = values;
	if (port === undefined || port === "") throw new RangeError("--port PATH is missing.");
	if (!(scenarioNames as readonly string[]).includes(scenario)) {
		throw new RangeError(`--scenario takes one of ${scenarioNames.join(", ")}, got '${scenario}'.`);
	}
	return {
		port,
		truth: values.truth ?? null,
		seconds: number(values, "seconds", Number.POSITIVE_INFINITY, 0.1, 604_800, false),
		baudRate: number(values, "baud", usualBaudRate, 9600, 4_000_000, true),
		board: {
			seed: number(values, "seed", 1, 0, 0xffffffff, true),
			framesPerSecond: number(values, "fps", 30, 1, 60, false),
			bandCount: number(values, "bands", 1, 1, 4, true),
			electrodeCount: number(values, "electrodes", 16, 8, 64, true),
			scenario: scenario as ScenarioName,
			corruptShare: number(values, "corrupt", 0, 0, 0.5, false),
			dropShare: number(values, "drop", 0, 0, 0.5, false),
			signalToNoiseDecibel: number(values, "snr", 70, 20, 140, false),
			streamsAtOnce: values.autostart !== undefined,
			// The board counts as started afresh each time, for whoever listens across two of them.
			bootNumber: Date.now() % 2 ** 32,
		},
	};
}

async function run(
	values: Record<string, string | undefined>,
	positionals: readonly string[],
): Promise<Outcome> {
	if (positionals.length > 0) return { exitCode: 2, message: `'${positionals[0]}' is not expected here.` };
	let wish: Wish;
	try {
		wish = wishOf(values);
	} catch (error) {
		if (error instanceof RangeError) return { exitCode: 2, message: error.message };
		throw error;
	}
	const transport = createSerialTransport(wish.port, wish.baudRate);
	const opened = await transport.open();
	if (!opened.ok) return worldFault(opened.error);
	const opensTruth = wish.truth === null ? success(null) : await openTruth(wish.truth);
	if (!opensTruth.ok) {
		await opened.value.close();
		return { exitCode: 1, message: opensTruth.error };
	}
	const truth = opensTruth.value;

	const { stream, close } = opened.value;
	process.stderr.write("Preparing the simulated limb …\n");
	const limbs = createLimbs(wish.board);
	const startedAt = systemClock.monotonic();
	const served = serveBoard(wish.board, limbs, stream, systemClock, (record) => {
		truth?.write(`${JSON.stringify(record)}\n`);
	});
	process.stderr.write(`A simulated board answers on ${wish.port}; nobody real is measured.\n`);
	const fault = await untilOver(wish.seconds, stream, (error) => transport.lost(error), truth);
	served.stop();
	await close();
	if (truth !== null) await new Promise<void>((settle) => truth.end(() => settle()));
	report(served, (systemClock.monotonic() - startedAt) / 1000);
	return fault === null ? { exitCode: 0 } : worldFault(fault);
}

function worldFault(fault: Fault): Outcome {
	return { exitCode: 1, message: faultSentence(fault) };
}

/** The open file, or a sentence on why it cannot be written. */
async function openTruth(path: string): Promise<Result<WriteStream, string>> {
	const file = createWriteStream(path);
	try {
		await once(file, "open");
		return success(file);
	} catch (error) {
		const why = (error as Error).message;
		return failure(`The truth cannot be written to '${path}' (${why}): choose another file with --truth.`);
	}
}

/** Resolves with null when the time is up or the person ends it, else with what ended it. */
function untilOver(
	seconds: number,
	stream: NodeJS.EventEmitter,
	lost: (error: Error | null) => Fault,
	truth: WriteStream | null,
): Promise<Fault | null> {
	return new Promise((settle) => {
		const over = () => settle(null);
		if (Number.isFinite(seconds)) systemClock.after(1000 * seconds, over);
		process.once("SIGINT", over);
		process.once("SIGTERM", over);
		const gone = (error?: Error | null) => settle(lost(error ?? null));
		stream.once("close", gone);
		stream.once("end", gone);
		truth?.once("error", (error: Error) => {
			const path = String(truth.path);
			const isFull = "code" in error && error.code === "ENOSPC";
			settle(isFull ? { kind: "disk-full", path } : { kind: "store-failed", path, detail: error.message });
		});
	});
}

function report({ frames }: ServedBoard, seconds: number): void {
	const taken = frames.sent + frames.corrupted + frames.dropped;
	const summary = { simulated: true, seconds: Math.round(seconds * 1000) / 1000, frames: taken, ...frames };
	process.stdout.write(`${JSON.stringify(summary)}\n`);
}

export const simulate: Verb = {
	usage:
		"tautline simulate --port PATH [--seed N --fps N --bands N --electrodes N --scenario NAME --corrupt SHARE --drop SHARE --snr DB --baud N --truth FILE --seconds N --autostart]",
	options: {
		port: { type: "string" },
		seed: { type: "string" },
		fps: { type: "string" },
		bands: { type: "string" },
		electrodes: { type: "string" },
		scenario: { type: "string" },
		corrupt: { type: "string" },
		drop: { type: "string" },
		snr: { type: "string" },
		baud: { type: "string" },
		truth: { type: "string" },
		seconds: { type: "string" },
		autostart: { type: "boolean" },
	},
	run,
};
