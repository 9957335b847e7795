/** A simulated board on a serial device, such as one end of a pseudo-terminal pair. It speaks the protocol and obeys
 *  whoever is at the other end, and can write what was really so beside it. `--cable` makes such a pair itself,
 *  and `--fault` lets one thing go wrong. */
import { once } from "node:events";
import { createWriteStream, type WriteStream } from "node:fs";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, ScenarioName } from "../contract.ts";
import { scenarioNames } from "../contract.ts";
import { systemClock } from "../link/link-clock.ts";
import { mayReadAcross } from "../link/simulated/across-pattern.ts";
import { existingCable, ownCable } from "../link/simulated/board-cable.ts";
import type { SimulatedBoardOptions } from "../link/simulated/board-options.ts";
import { createLimbs } from "../link/simulated/create-limbs.ts";
import {
	isFaultName,
	type SimulatedFault,
	type SimulatedFaultName,
	simulatedFaults,
} from "../link/simulated/faults.ts";
import { FaultyBench } from "../link/simulated/faulty-bench.ts";
import { faultSentence } from "./fault-sentence.ts";
import type { Outcome, Verb } from "./verb.ts";

/** Ignored by pseudo-terminals, but some systems refuse to set an unusual one on them. */
const usualBaudRate = 115_200;

/** When a fault comes, s after the first frame, and for how long it stays. */
const usualFaultAt = 5;
const usualFaultSeconds = 5;

/** Less than what lies between two simulated bands. */
const mostSlideMillimetre = 10;

interface Wish {
	/** The board's end of somebody's cable, or the host's end of one that is made here. */
	readonly port: string;
	readonly isOwnCable: boolean;
	readonly fault: { readonly name: SimulatedFaultName; readonly at: number; readonly seconds: number } | null;
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
	const { scenario = "tour", cable } = values;
	const port = cable ?? values.port;
	if (port === undefined || port === "") throw new RangeError("--port PATH is missing.");
	if (cable !== undefined && values.port !== undefined) {
		throw new RangeError("--port and --cable are two ways to say where: give one of them.");
	}
	if (!(scenarioNames as readonly string[]).includes(scenario)) {
		throw new RangeError(`--scenario takes one of ${scenarioNames.join(", ")}, got '${scenario}'.`);
	}
	const bandCount = number(values, "bands", 1, 1, 4, true);
	const electrodeCount = number(values, "electrodes", 16, 8, 64, true);
	const across = values.across !== undefined;
	if (across && !mayReadAcross(electrodeCount, bandCount)) {
		throw new RangeError(
			"--across takes --bands 2 to 4 of at most 24 electrodes, and 64 electrodes in all: fewer, or without --across.",
		);
	}
	const slideMetre = number(values, "slide", 0, 0, mostSlideMillimetre, false) / 1000;
	if (slideMetre > 0 && !across) {
		throw new RangeError(
			"--slide lets a band slide along the limb, which only bands with --across see: add it.",
		);
	}
	if (across && scenario === "slippage") {
		throw new RangeError("--across and the scenario slippage do not go together: leave one of them out.");
	}
	return {
		port,
		isOwnCable: cable !== undefined,
		fault: faultOf(values),
		truth: values.truth ?? null,
		seconds: number(values, "seconds", Number.POSITIVE_INFINITY, 0.1, 604_800, false),
		baudRate: number(values, "baud", usualBaudRate, 9600, 4_000_000, true),
		board: {
			seed: number(values, "seed", 1, 0, 0xffffffff, true),
			framesPerSecond: number(values, "fps", 30, 1, 60, false),
			bandCount,
			electrodeCount,
			scenario: scenario as ScenarioName,
			across,
			slideMetre,
			corruptShare: number(values, "corrupt", 0, 0, 0.5, false),
			dropShare: number(values, "drop", 0, 0, 0.5, false),
			...(values.snr !== undefined && { signalToNoiseDecibel: number(values, "snr", 0, 20, 140, false) }),
			streamsAtOnce: values.autostart !== undefined,
			// The board counts as started afresh each time, for whoever listens across two of them.
			bootNumber: Date.now() % 2 ** 32,
		},
	};
}

function faultOf(values: Record<string, string | undefined>): Wish["fault"] {
	const { fault: name } = values;
	if (name === undefined) return null;
	if (!isFaultName(name)) {
		const names = Object.keys(simulatedFaults).join(", ");
		throw new RangeError(`--fault takes list or one of ${names}, got '${name}'.`);
	}
	const fault: SimulatedFault = simulatedFaults[name];
	if (fault.needsCable === true && values.cable === undefined) {
		throw new RangeError(
			`--fault ${name} plays with the host's end of the cable: give it with --cable PATH.`,
		);
	}
	const at = fault.atOnce === true ? 0 : usualFaultAt;
	return {
		name,
		at: number(values, "fault-at", at, 0, 86_400, false),
		seconds: number(values, "fault-for", usualFaultSeconds, 0.1, 86_400, false),
	};
}

function listFaults(): Outcome {
	for (const [name, { does }] of Object.entries(simulatedFaults)) {
		process.stdout.write(`${name.padEnd(18)} ${does}\n`);
	}
	return { exitCode: 0 };
}

async function run(
	values: Record<string, string | undefined>,
	positionals: readonly string[],
): Promise<Outcome> {
	if (positionals.length > 0) return { exitCode: 2, message: `'${positionals[0]}' is not expected here.` };
	if (values.fault === "list") return listFaults();
	let wish: Wish;
	try {
		wish = wishOf(values);
	} catch (error) {
		if (error instanceof RangeError) return { exitCode: 2, message: error.message };
		throw error;
	}
	let end: (fault: Fault | null) => void = () => {};
	const isOver = new Promise<Fault | null>((settle) => {
		end = settle;
	});
	let begin = () => {};
	const hasFrames = new Promise<void>((settle) => {
		begin = settle;
	});
	const cable = wish.isOwnCable
		? await ownCable(wish.port, wish.baudRate)
		: existingCable(wish.port, wish.baudRate, systemClock);
	let truth: WriteStream | null = null;
	const bench = new FaultyBench({
		board: wish.board,
		cable,
		clock: systemClock,
		baudRate: wish.baudRate,
		onTruth(record) {
			begin();
			truth?.write(`${JSON.stringify(record)}\n`);
		},
		say,
		onGone: () => end({ kind: "no-such-port", path: cable.boardPath }),
	});
	const opened = await bench.open();
	const opensTruth = opened.ok && wish.truth !== null ? await openTruth(wish.truth) : success(null);
	if (!opened.ok || !opensTruth.ok) {
		await bench.stop();
		if (!opened.ok) return worldFault(opened.error);
		return opensTruth.ok ? { exitCode: 0 } : { exitCode: 1, message: opensTruth.error };
	}
	truth = opensTruth.value;
	const cancelEnd = endAtWish(wish.seconds, end, truth);

	process.stderr.write("Preparing the simulated limb …\n");
	const limbs = createLimbs(wish.board);
	const startedAt = systemClock.monotonic();
	// What is wrong from the start is so before the board's first word.
	if (wish.fault !== null) void play(bench, wish.fault, hasFrames);
	bench.start(limbs);
	say(`A simulated board answers on ${wish.port}; nobody real is measured.`);
	const fault = await isOver;
	cancelEnd();
	await bench.stop();
	if (truth !== null) await new Promise<void>((settle) => truth?.end(() => settle()));
	report(bench.frames, (systemClock.monotonic() - startedAt) / 1000);
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

/** @returns what cancels the time that is waited for. Tells null when the time is up or the person ends it, else that the truth cannot be written any more. */
function endAtWish(
	seconds: number,
	end: (fault: Fault | null) => void,
	truth: WriteStream | null,
): () => void {
	const over = () => end(null);
	const cancel = Number.isFinite(seconds) ? systemClock.after(1000 * seconds, over) : () => {};
	process.once("SIGINT", over);
	process.once("SIGTERM", over);
	truth?.once("error", (error: Error) => {
		const path = String(truth.path);
		const isFull = "code" in error && error.code === "ENOSPC";
		end(isFull ? { kind: "disk-full", path } : { kind: "store-failed", path, detail: error.message });
	});
	return cancel;
}

/** One fault, when it is due. */
async function play(
	bench: FaultyBench,
	{ name, at, seconds }: NonNullable<Wish["fault"]>,
	hasFrames: Promise<void>,
): Promise<void> {
	if (at > 0) {
		await hasFrames;
		await bench.wait(at);
	}
	if (bench.isOver) return;
	say(`Now, for ${seconds} s: ${simulatedFaults[name].does}`);
	await bench.play(name, seconds);
	say("That is over.");
}

function say(sentence: string): void {
	process.stderr.write(`${sentence}\n`);
}

function report(frames: FaultyBench["frames"], seconds: number): void {
	const taken = frames.sent + frames.corrupted + frames.dropped;
	const summary = { simulated: true, seconds: Math.round(seconds * 1000) / 1000, frames: taken, ...frames };
	process.stdout.write(`${JSON.stringify(summary)}\n`);
}

export const simulate: Verb = {
	usage:
		"tautline simulate --port PATH | --cable PATH [--fault NAME|list --fault-at SECONDS --fault-for SECONDS --seed N --fps N --bands N --electrodes N --across --slide MM --scenario NAME --corrupt SHARE --drop SHARE --snr DB --baud N --truth FILE --seconds N --autostart]",
	options: {
		port: { type: "string" },
		cable: { type: "string" },
		fault: { type: "string" },
		"fault-at": { type: "string" },
		"fault-for": { type: "string" },
		seed: { type: "string" },
		fps: { type: "string" },
		bands: { type: "string" },
		electrodes: { type: "string" },
		across: { type: "boolean" },
		slide: { type: "string" },
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
