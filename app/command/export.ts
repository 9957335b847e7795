import { existsSync, realpathSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { APP_VERSION } from "../session/app-version.ts";
import { type ExportFormat, exportSession as exportFrom } from "../store/export-session.ts";
import { volumeDocument, volumeTable } from "../store/export-volume.ts";
import type { Store } from "../store/store.ts";
import { faultSentence } from "./fault-sentence.ts";
import { openRecords } from "./open-records.ts";
import type { Outcome, Verb } from "./verb.ts";
import { type WriteError, writeWholeFile } from "./write-whole-file.ts";

const exportedBy = `Tautline ${APP_VERSION}`;

function isFormat(text: string | undefined): text is "csv" | "json" {
	return text === "csv" || text === "json";
}

/** The file itself, whatever links lead to it; its folder need not hold it yet. */
function placeOf(path: string): string {
	if (existsSync(path)) return realpathSync(path);
	const folder = dirname(resolve(path));
	return join(existsSync(folder) ? realpathSync(folder) : folder, basename(path));
}

/** An export must not be written over the records, nor over what SQLite keeps beside them. */
function isPartOfRecords(out: string, db: string): boolean {
	const records = placeOf(db);
	return ["", "-wal", "-shm", "-journal"].some((suffix) => placeOf(out) === records + suffix);
}

function writeSentence(error: WriteError, path: string): string {
	switch (error.kind) {
		case "disk-full":
			return `The disk of ${path} is full and nothing was written: free some space and try again.`;
		case "no-such-folder":
			return `There is no folder ${dirname(resolve(path))}: make it first, or choose another place.`;
		case "not-allowed":
			return `${path} cannot be written: choose a place where you may write.`;
		case "is-folder":
			return `${path} is a folder: add a file name.`;
		case "failed":
			return `${path} could not be written (${error.detail}): choose another place.`;
	}
}

function isWriteError(error: Fault | WriteError): error is WriteError {
	return ["disk-full", "no-such-folder", "not-allowed", "is-folder", "failed"].includes(error.kind);
}

async function toStandardOutput(pieces: Iterable<Result<string, Fault>>): Promise<Outcome> {
	for (const piece of pieces) {
		if (!piece.ok) return { exitCode: 1, message: faultSentence(piece.error) };
		if (!process.stdout.write(piece.value)) {
			await new Promise((drained) => process.stdout.once("drain", drained));
		}
	}
	return { exitCode: 0 };
}

async function writeExport(
	pieces: Result<Iterable<Result<string, Fault>>, Fault>,
	out: string,
): Promise<Outcome> {
	if (!pieces.ok) return { exitCode: 1, message: faultSentence(pieces.error) };
	if (out === "-") return toStandardOutput(pieces.value);
	const written = writeWholeFile(out, pieces.value);
	if (written.ok) {
		process.stdout.write(`${JSON.stringify({ file: resolve(out), bytes: written.value })}\n`);
		return { exitCode: 0 };
	}
	const { error } = written;
	return { exitCode: 1, message: isWriteError(error) ? writeSentence(error, out) : faultSentence(error) };
}

function piecesOf(
	store: Store,
	sessionId: number,
	format: ExportFormat,
): Result<Iterable<Result<string, Fault>>, Fault> {
	const made = exportFrom(store, sessionId, format, exportedBy);
	return made.ok ? success(made.value.pieces) : made;
}

async function volumePiecesOf(
	store: Store,
	db: string,
	sessionId: number,
	format: "csv" | "json",
): Promise<Result<Iterable<Result<string, Fault>>, Fault>> {
	const { readVolumeMeans } = await import("./volume-export.ts");
	const means = await readVolumeMeans(store, db, sessionId);
	if (!means.ok) return means;
	return success(format === "csv" ? volumeTable(means.value) : volumeDocument(means.value, exportedBy));
}

/** Writes one session as a table (CSV) or as a whole (JSON). With `--frames` the table holds the raw readings, with
 *  `--volume` either holds region means of all bands' volumes, computed now. */
export const exportSession: Verb = {
	usage: "tautline export --db FILE --session ID --format csv|json [--frames | --volume] --out FILE|-",
	options: {
		db: { type: "string" },
		session: { type: "string" },
		format: { type: "string" },
		frames: { type: "boolean" },
		volume: { type: "boolean" },
		out: { type: "string" },
	},
	async run({ db, session, format, frames, volume, out }, positionals) {
		const call = (message: string): Outcome => ({ exitCode: 2, message });
		if (positionals.length > 0) return call(`'${positionals[0]}' is not expected here.`);
		if (db === undefined || db === "") return call("--db FILE is missing.");
		if (session === undefined || !/^[1-9]\d{0,14}$/.test(session)) {
			return call(`--session takes a session's number as 'sessions' lists it, got '${session ?? ""}'.`);
		}
		if (!isFormat(format)) return call(`--format takes csv or json, got '${format ?? ""}'.`);
		if (frames !== undefined && format !== "csv") return call("--frames goes with --format csv only.");
		if (frames !== undefined && volume !== undefined) {
			return call("--frames and --volume are two different files: give one of them.");
		}
		if (out === undefined || out === "") return call("--out FILE is missing ('-' for standard output).");
		if (out !== "-" && isPartOfRecords(out, db)) return call("--out must not be the record file itself.");
		// A volume takes a while to compute: what is written nowhere is not begun.
		if (out !== "-" && !existsSync(dirname(resolve(out))))
			return { exitCode: 1, message: writeSentence({ kind: "no-such-folder" }, out) };
		const opened = openRecords(db);
		if (!opened.ok) return { exitCode: 1, message: faultSentence(opened.error) };
		try {
			const id = Number(session);
			const pieces =
				volume === undefined
					? piecesOf(opened.value, id, frames === undefined ? format : "readings-csv")
					: await volumePiecesOf(opened.value, db, id, format);
			return await writeExport(pieces, out);
		} finally {
			opened.value.dispose();
		}
	},
};
