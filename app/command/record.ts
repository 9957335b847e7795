/**
 * Records a board on a serial port from its first frame on. The same backend as the screens' does the work: it checks
 * the current, stores every good frame, takes the rest baseline and computes region means.
 */
import { dirname, resolve } from "node:path";
import { cautions } from "../../core/safety/cautions.ts";
import type { AppState, Fault } from "../contract.ts";
import { createSerialSource } from "../link/serial-source.ts";
import { APP_VERSION } from "../session/app-version.ts";
import { type Backend, createBackend } from "../session/backend.ts";
import { openStore } from "../store/store.ts";
import { awaitState } from "./await-state.ts";
import { faultSentence } from "./fault-sentence.ts";
import { printRecording } from "./recording-summary.ts";
import type { Outcome, Verb } from "./verb.ts";

const USUAL_BAUD = "460800";
const USUAL_BASELINE_SECONDS = "2";
/** The longest that the link itself needs to tell what is wrong, and some more. */
const GREETING_MS = 15_000;
/** A board that went away is waited for, but not for ever. */
const AWAY_MS = 10_000;
/** Pictures under way when the board has stopped are still stored. */
const SETTLE_MS = 300;
const STATE_MS = 5000;

interface Wish {
	readonly port: string;
	readonly db: string;
	readonly seconds: number;
	readonly baudRate: number;
	readonly baselineSeconds: number;
	readonly title: string;
	readonly areCautionsRead: boolean;
}

function numberBetween(text: string, least: number, most: number): number | null {
	const value = /^\d+(\.\d+)?$/.test(text) ? Number(text) : Number.NaN;
	return value >= least && value <= most ? value : null;
}

function wishOf(values: Record<string, string | undefined>): Wish | string {
	const { port, db, seconds, title } = values;
	const baud = values.baud ?? USUAL_BAUD;
	const rest = values["baseline-seconds"] ?? USUAL_BASELINE_SECONDS;
	if (port === undefined || port === "") return "--port PATH is missing.";
	if (db === undefined || db === "") return "--db FILE is missing.";
	const length = numberBetween(seconds ?? "", 1, 86_400);
	if (length === null) return `--seconds takes a number from 1 to 86400, got '${seconds ?? ""}'.`;
	const baudRate = numberBetween(baud, 9600, 4_000_000);
	if (baudRate === null || !Number.isInteger(baudRate)) {
		return `--baud takes a whole number from 9600 to 4000000, got '${baud}'.`;
	}
	const baselineSeconds = numberBetween(rest, 1, 30);
	if (baselineSeconds === null) return `--baseline-seconds takes a number from 1 to 30, got '${rest}'.`;
	if ((title ?? "").length > 120) return "--title takes at most 120 characters.";
	return {
		port,
		db: resolve(db),
		seconds: length,
		baudRate,
		baselineSeconds,
		title: title ?? "",
		areCautionsRead: values["cautions-read"] !== undefined,
	};
}

/** Makes the file, or says why it cannot be used; one that is damaged or not ours is left as it is, for a path that was
 *  typed may lead anywhere. */
function prepareFile(path: string): Fault | null {
	const opened = openStore({
		path,
		mode: "create",
		whenCorrupt: "refuse",
		appVersion: APP_VERSION,
		now: Date.now,
		timers: { setInterval: () => null, clearInterval: () => undefined },
		onFault: () => undefined,
	});
	if (!opened.ok) return opened.error;
	opened.value.dispose();
	return null;
}

function linkFault({ link }: AppState): Fault | null {
	return link.state === "failed" ? link.fault : null;
}

/** @returns why the board cannot be recorded, or null once it waits to be started. */
async function awaitBoard(backend: Backend, port: string, signal: AbortSignal): Promise<Fault | null> {
	const isDecided = ({ link, storeFault }: AppState): boolean =>
		link.state === "stopped" || link.state === "failed" || storeFault !== null;
	const decided = await awaitState(backend, isDecided, GREETING_MS, signal);
	const state = backend.state();
	if (state.storeFault !== null) return state.storeFault;
	if (decided) return linkFault(state);
	return signal.aborted ? { kind: "cancelled" } : { kind: "no-data", path: port };
}

/** Lets the recording run. @returns why it ended before its time, or null. */
async function run(backend: Backend, wish: Wish, signal: AbortSignal): Promise<Fault | null> {
	const until = Date.now() + 1000 * wish.seconds;
	const isOver = (state: AppState): boolean =>
		state.storeFault !== null || linkFault(state) !== null || state.link.state === "reconnecting";
	while (Date.now() < until) {
		if (!(await awaitState(backend, isOver, until - Date.now(), signal))) return null;
		const state = backend.state();
		const fault = state.storeFault ?? linkFault(state);
		if (fault !== null) return fault;
		if (state.link.state !== "reconnecting") continue;
		process.stderr.write(
			`tautline record: ${faultSentence(state.link.fault)} Waiting for it to come back.\n`,
		);
		const away = state.link.fault;
		const isBack = ({ link }: AppState): boolean => link.state !== "reconnecting" && link.state !== "opening";
		const patience = Math.min(AWAY_MS, Math.max(0, until - Date.now()));
		if (!(await awaitState(backend, isBack, patience, signal))) return signal.aborted ? null : away;
	}
	return null;
}

/** Records until the time is up. @returns the session's number, null when there is none, and what went wrong. */
async function recordWith(
	backend: Backend,
	wish: Wish,
	signal: AbortSignal,
): Promise<{ sessionId: number | null; fault: Fault | null }> {
	const unready = await awaitBoard(backend, wish.port, signal);
	if (unready !== null) return { sessionId: null, fault: unready };
	if (wish.areCautionsRead) {
		const acknowledged = await backend.request("acknowledgeCautions", { version: cautions.version });
		if (!acknowledged.ok) return { sessionId: null, fault: acknowledged.error };
	}
	// Before the board starts, so that its very first frame is kept.
	const started = await backend.request("startRecording", { title: wish.title });
	if (!started.ok) return { sessionId: null, fault: started.error };
	const { sessionId } = started.value;
	const running = await backend.request("sendCommand", { command: "start" });
	if (!running.ok) return { sessionId, fault: running.error };
	await awaitState(
		backend,
		({ link }) => link.state === "streaming" || link.state === "failed",
		STATE_MS,
		signal,
	);
	const rest = backend.request("takeBaseline", { seconds: wish.baselineSeconds }, signal).then((taken) => {
		if (taken.ok || taken.error.kind === "cancelled") return;
		// The frames are kept all the same, and the backend takes one by itself as soon as there is rest.
		process.stderr.write(`tautline record: ${faultSentence(taken.error)}\n`);
	});
	const fault = await run(backend, wish, signal);
	await backend.request("sendCommand", { command: "stop" });
	await rest;
	await awaitState(backend, () => false, SETTLE_MS);
	const stopped = await backend.request("stopRecording", null);
	return { sessionId, fault: fault ?? (stopped.ok ? null : stopped.error) };
}

function sentenceOf(fault: Fault): string {
	if (fault.kind !== "cautions-not-acknowledged") return faultSentence(fault);
	return "The cautions have not been acknowledged for this file: read them in the README, then add --cautions-read.";
}

async function recordWish(wish: Wish): Promise<Outcome> {
	const unusable = prepareFile(wish.db);
	if (unusable !== null) return { exitCode: 1, message: faultSentence(unusable) };
	const interruption = new AbortController();
	const interrupt = (): void => interruption.abort();
	// Whoever stops the program wants the board's current off and the frames kept.
	process.once("SIGINT", interrupt).once("SIGTERM", interrupt);
	const backend = createBackend({
		dataFolder: dirname(wish.db),
		databasePath: wish.db,
		source: (events) =>
			createSerialSource({ path: wish.port, baudRate: wish.baudRate, startByItself: false }, events),
	});
	let outcome: Awaited<ReturnType<typeof recordWith>>;
	try {
		outcome = await recordWith(backend, wish, interruption.signal);
	} finally {
		await backend.dispose();
		process.off("SIGINT", interrupt).off("SIGTERM", interrupt);
	}
	if (outcome.sessionId !== null) printRecording(wish.db, outcome.sessionId);
	return outcome.fault === null ? { exitCode: 0 } : { exitCode: 1, message: sentenceOf(outcome.fault) };
}

export const record: Verb = {
	usage:
		"tautline record --port PATH --db FILE --seconds N [--baud N] [--baseline-seconds N] [--title TEXT] [--cautions-read]",
	options: {
		port: { type: "string" },
		db: { type: "string" },
		seconds: { type: "string" },
		baud: { type: "string" },
		"baseline-seconds": { type: "string" },
		title: { type: "string" },
		"cautions-read": { type: "boolean" },
	},
	async run(values, positionals) {
		if (positionals.length > 0) return { exitCode: 2, message: `'${positionals[0]}' is not expected here.` };
		const wish = wishOf(values);
		return typeof wish === "string" ? { exitCode: 2, message: wish } : recordWish(wish);
	},
};
