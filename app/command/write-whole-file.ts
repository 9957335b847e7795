/** Writes a file so that it is there whole or not at all. */
import { closeSync, fsyncSync, openSync, renameSync, rmSync, statSync, writeSync } from "node:fs";
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

/** `writeSync` may write less than it was given. */
function writeAll(file: number, text: string): void {
	const bytes = Buffer.from(text, "utf8");
	for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
}

/** Writes the pieces beside `path` under another name, then renames; after a failure nothing of it is left, and an
 *  older file of this name is as it was. @returns the number of bytes, or the fault of a piece. */
export function writeWholeFile(
	path: string,
	pieces: Iterable<Result<string, Fault>>,
): Result<number, Fault | WriteError> {
	if (statSync(path, { throwIfNoEntry: false })?.isDirectory() === true)
		return failure({ kind: "is-folder" });
	const unfinished = join(dirname(path), `.${basename(path)}.${process.pid}.part`);
	let file: number | null = null;
	try {
		file = openSync(unfinished, "wx");
		for (const piece of pieces) {
			if (!piece.ok) return piece;
			writeAll(file, piece.value);
		}
		fsyncSync(file);
		closeSync(file);
		file = null;
		renameSync(unfinished, path);
		return success(statSync(path).size);
	} catch (error) {
		return failure(writeErrorOf(error));
	} finally {
		if (file !== null) closeSync(file);
		rmSync(unfinished, { force: true });
	}
}
