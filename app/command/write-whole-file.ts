/** Writes a file so that it is there whole or not at all. */
import {
	closeSync,
	fsyncSync,
	openSync,
	realpathSync,
	renameSync,
	rmSync,
	statSync,
	writeSync,
} from "node:fs";
import { basename, dirname, join } from "node:path";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";

export type WriteError =
	| { readonly kind: "disk-full" }
	| { readonly kind: "no-such-folder" }
	| { readonly kind: "not-allowed" }
	| { readonly kind: "is-folder" }
	| { readonly kind: "failed"; readonly detail: string };

function writeErrorOf(error: unknown): WriteError {
	const { code, message } = error as NodeJS.ErrnoException;
	switch (code) {
		case "ENOSPC":
		case "EDQUOT":
		case "EFBIG":
			return { kind: "disk-full" };
		case "ENOENT":
		case "ENOTDIR":
			return { kind: "no-such-folder" };
		case "EACCES":
		case "EPERM":
		case "EROFS":
			return { kind: "not-allowed" };
		case "EISDIR":
			return { kind: "is-folder" };
		default:
			if (code === undefined) throw error;
			return { kind: "failed", detail: message };
	}
}

/** @returns the number of bytes, or the fault of a piece. */
function writePieces(file: number, pieces: Iterable<Result<string, Fault>>): Result<number, Fault> {
	let count = 0;
	for (const piece of pieces) {
		if (!piece.ok) return piece;
		const bytes = Buffer.from(piece.value, "utf8");
		// `writeSync` may write less than it was given.
		for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
		count += bytes.length;
	}
	return success(count);
}

function writeToDevice(
	path: string,
	pieces: Iterable<Result<string, Fault>>,
): Result<number, Fault | WriteError> {
	let file: number | null = null;
	try {
		file = openSync(path, "w");
		return writePieces(file, pieces);
	} catch (error) {
		return failure(writeErrorOf(error));
	} finally {
		if (file !== null) closeSync(file);
	}
}

/** Writes the pieces beside `path` under another name, then renames; after a failure nothing of it is left, and an
 *  older file of this name is as it was. Links are followed. A device or a pipe is written to and stays what it is.
 *  @returns the number of bytes, or the fault of a piece. */
export function writeWholeFile(
	path: string,
	pieces: Iterable<Result<string, Fault>>,
): Result<number, Fault | WriteError> {
	const there = statSync(path, { throwIfNoEntry: false });
	if (there?.isDirectory() === true) return failure({ kind: "is-folder" });
	if (there !== undefined && !there.isFile()) return writeToDevice(path, pieces);
	const whole = there === undefined ? path : realpathSync(path);
	const unfinished = join(dirname(whole), `.${basename(whole)}.${process.pid}.part`);
	let file: number | null = null;
	try {
		file = openSync(unfinished, "wx");
		const written = writePieces(file, pieces);
		if (!written.ok) return written;
		fsyncSync(file);
		closeSync(file);
		file = null;
		renameSync(unfinished, whole);
		return written;
	} catch (error) {
		return failure(writeErrorOf(error));
	} finally {
		if (file !== null) closeSync(file);
		rmSync(unfinished, { force: true });
	}
}
