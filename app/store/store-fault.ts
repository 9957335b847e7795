/** Turns what SQLite and the file system throw into the faults that a person can do something about. */
import { statfsSync } from "node:fs";
import { dirname } from "node:path";
import { failure, type Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";

/** A row that does not hold what its table promises: the file was damaged or changed by other hands. */
export class DamagedRecordError extends Error {
	override readonly name = "DamagedRecordError";
}

/** Below this a failed write is put down to a full disk: SQLite reports some of those as a plain I/O error. */
const NEARLY_FULL_BYTES = 1 << 20;

function isNearlyFull(path: string): boolean {
	try {
		const disk = statfsSync(dirname(path));
		return disk.bavail * disk.bsize < NEARLY_FULL_BYTES;
	} catch {
		// Not even the folder can be looked at, so nothing speaks for a full disk.
		return false;
	}
}

function codeOf(error: unknown): string {
	return error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : "";
}

/** @returns null for an error that is our own mistake and must not be hidden. */
export function faultOf(error: unknown, path: string): Fault | null {
	if (error instanceof DamagedRecordError) return { kind: "store-corrupt", path, keptAs: null };
	const code = codeOf(error);
	const detail = error instanceof Error ? error.message : String(error);
	if (code === "SQLITE_FULL" || code === "ENOSPC" || code === "EDQUOT") return { kind: "disk-full", path };
	if (code.startsWith("SQLITE_READONLY")) return { kind: "store-read-only", path };
	if (code === "EACCES" || code === "EPERM" || code === "EROFS") return { kind: "store-read-only", path };
	if (code.startsWith("SQLITE_CORRUPT") || code === "SQLITE_NOTADB") {
		return { kind: "store-corrupt", path, keptAs: null };
	}
	if (code.startsWith("SQLITE_BUSY") || code.startsWith("SQLITE_LOCKED")) return { kind: "store-busy", path };
	if (code === "ENOENT") return { kind: "store-missing", path };
	if (code.startsWith("SQLITE_IOERR") || code.startsWith("SQLITE_CANTOPEN")) {
		return isNearlyFull(path) ? { kind: "disk-full", path } : { kind: "store-failed", path, detail };
	}
	if (/^E[A-Z]+$/.test(code)) return { kind: "store-failed", path, detail };
	return null;
}

/** Runs `work`; a fault of the world comes back as a failure, our own mistakes are thrown on. */
export function guard<T>(path: string, work: () => Result<T, Fault>): Result<T, Fault> {
	try {
		return work();
	} catch (error) {
		const fault = faultOf(error, path);
		if (fault === null) throw error;
		return failure(fault);
	}
}

/** The same for work that goes on later. */
export async function guardAsync<T>(
	path: string,
	work: () => Promise<Result<T, Fault>>,
): Promise<Result<T, Fault>> {
	try {
		return await work();
	} catch (error) {
		return guard(path, () => {
			throw error;
		});
	}
}
