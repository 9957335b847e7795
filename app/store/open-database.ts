/** Opens the database file, or says why not; never harms a file that is damaged, newer or not ours. */
import {
	accessSync,
	closeSync,
	constants,
	existsSync,
	mkdirSync,
	openSync,
	readFileSync,
	readSync,
	renameSync,
	statSync,
} from "node:fs";
import { dirname, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import SqliteDatabase, { type Database } from "better-sqlite3";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { APPLICATION_ID, type Migration, migrate, readMigrations, versionOf } from "./migrate.ts";
import { DamagedRecordError, guard } from "./store-fault.ts";

export interface DatabaseOptions {
	readonly path: string;
	/** `create` makes the file and its folder when missing, `write` wants an existing file, `read` changes nothing
	 *  but brings a file of an older version to the present one. */
	readonly mode: "create" | "write" | "read";
	/**
	 * What to do with a file that is damaged. `refuse` leaves it as it is; `set-aside` renames it and still fails,
	 * so that the person is told first; `start-fresh` renames it and opens an empty one.
	 */
	readonly whenCorrupt: "refuse" | "set-aside" | "start-fresh";
	/** ms since the epoch. */
	readonly now: () => number;
	/** Folder of the numbered SQL files; beside the sources when left out. */
	readonly migrationsFolder?: string;
	/** Path of better-sqlite3's native part for a packaged app; found by itself when left out. */
	readonly nativeBinding?: string;
}

export interface OpenDatabase {
	readonly db: Database;
	readonly path: string;
	/** Where a damaged file was put before this one was begun; null normally. */
	readonly setAside: string | null;
	/** Copy of the file from before a migration; null when none was applied. */
	readonly backup: string | null;
}

/** ms that opening, migrating and ending a recording wait for another process. */
export const OPEN_TIMEOUT = 2000;
/** A file up to this size is checked whole at every start (about 0.4 s at the limit, measured); a larger one only
 *  when it was not closed cleanly. */
const ALWAYS_CHECKED_BYTES = 256 << 20;
/** A larger file is not read into memory. */
const LARGEST_LOADED_BYTES = 1 << 30;
/** Pages in the write-ahead log before they are moved to the file (about 1 MB): small, because moving holds the
 *  thread. */
const CHECKPOINT_PAGES = 250;

const HEADER_BYTES = 100;
const MAGIC = "SQLite format 3\0";
const companions = ["", "-wal", "-shm", "-journal"] as const;

interface Header {
	readonly applicationId: number;
	readonly version: number;
}

/** A file without a byte is as good as none: SQLite makes one before it writes. */
const EMPTY: Header = { applicationId: APPLICATION_ID, version: 0 };

/** The first page's facts without SQLite, which would already write beside the file.
 *  @returns null when it is no SQLite file. */
function readHeader(path: string): Header | null {
	const bytes = Buffer.alloc(HEADER_BYTES);
	const file = openSync(path, "r");
	try {
		if (readSync(file, bytes, 0, HEADER_BYTES, 0) < HEADER_BYTES) return null;
	} finally {
		closeSync(file);
	}
	if (bytes.toString("latin1", 0, MAGIC.length) !== MAGIC) return null;
	return { version: bytes.readUInt32BE(60), applicationId: bytes.readUInt32BE(68) };
}

function sizeOf(path: string): number {
	return statSync(path, { throwIfNoEntry: false })?.size ?? 0;
}

/** Renames the file and what belongs to it. @returns its new path. */
function renameAside(path: string, now: number): string {
	const stamp = new Date(now).toISOString().replace(/[:.]/g, "-");
	let kept = `${path}.damaged-${stamp}`;
	for (let number = 2; existsSync(kept); number++) kept = `${path}.damaged-${stamp}-${number}`;
	for (const companion of companions) {
		if (existsSync(path + companion)) renameSync(path + companion, kept + companion);
	}
	return kept;
}

/**
 * A file in write-ahead mode needs another file beside it even to be read, which cannot be made in a folder that is
 * read-only (sqlite.org/wal.html, "Read-Only Databases"). Where nothing is in the log the file is complete by itself and
 * is read into memory, marked as one without a log (bytes 18 and 19, sqlite.org/fileformat.html).
 */
function loadWhole(path: string, options: SqliteDatabase.Options): Database {
	const bytes = readFileSync(path);
	bytes[18] = 1;
	bytes[19] = 1;
	return new SqliteDatabase(bytes, options);
}

function isWritable(path: string): boolean {
	try {
		accessSync(path, constants.W_OK);
		return true;
	} catch {
		// Whatever the reason, nothing can be made there.
		return false;
	}
}

function connect(path: string, options: DatabaseOptions): Database {
	const native = options.nativeBinding === undefined ? {} : { nativeBinding: options.nativeBinding };
	if (options.mode !== "read") return new SqliteDatabase(path, { timeout: OPEN_TIMEOUT, ...native });
	const readOnly = { timeout: OPEN_TIMEOUT, readonly: true, ...native };
	const isComplete = sizeOf(`${path}-wal`) === 0;
	if (isComplete && !isWritable(dirname(path)) && sizeOf(path) <= LARGEST_LOADED_BYTES) {
		return loadWhole(path, readOnly);
	}
	return new SqliteDatabase(path, { ...readOnly, fileMustExist: true });
}

/** @throws DamagedRecordError naming the first damage found. */
function check(db: Database, path: string, wasOpen: boolean): void {
	if (!wasOpen && sizeOf(path) > ALWAYS_CHECKED_BYTES) return;
	const verdict = db.pragma("quick_check(1)", { simple: true }) as string;
	if (verdict !== "ok") throw new DamagedRecordError(verdict);
}

type Connection = Omit<OpenDatabase, "setAside">;

/** Opens a file that is ours or new. @throws what SQLite throws, with the connection closed. */
function openOwn(
	path: string,
	options: DatabaseOptions,
	migrations: readonly Migration[],
): Result<Connection, Fault> {
	const wasOpen = sizeOf(`${path}-wal`) > 0 || sizeOf(`${path}-journal`) > 0;
	const db = connect(path, options);
	try {
		// A schema from other hands runs no functions (sqlite.org/security.html).
		db.pragma("trusted_schema = OFF");
		db.pragma("cell_size_check = ON");
		check(db, path, wasOpen);
		const fileVersion = versionOf(db);
		if (fileVersion > migrations.length) {
			db.close();
			return failure({ kind: "store-newer", path, fileVersion, appVersion: migrations.length });
		}
		let backup: string | null = null;
		if (options.mode !== "read") {
			// So that what is deleted gives its space back; settled before the first table. A file of the first version keeps
			// its size and uses that space again.
			if (fileVersion === 0) db.pragma("auto_vacuum = INCREMENTAL");
			// What is deleted is written over, not just let go.
			db.pragma("secure_delete = ON");
			// Tables first: only a file that has them is put into write-ahead mode.
			backup = migrate(db, migrations);
			db.pragma("journal_mode = WAL");
			db.pragma("synchronous = FULL");
			db.pragma("foreign_keys = ON");
			db.pragma(`wal_autocheckpoint = ${CHECKPOINT_PAGES}`);
			// The header of the file itself must tell the new version: that is what an older app looks at.
			if (backup !== null) db.pragma("wal_checkpoint(TRUNCATE)");
		}
		return success({ db, path, backup });
	} catch (error) {
		db.close();
		throw error;
	}
}

/** What can be said against the file without touching it; null when nothing can. */
function refuse(path: string, options: DatabaseOptions, appVersion: number): Fault | null {
	const file = statSync(path, { throwIfNoEntry: false });
	if (file === undefined) {
		if (options.mode !== "create") return { kind: "store-missing", path };
		mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
		// Health data: for its owner only. SQLite gives the files beside it the same rights.
		closeSync(openSync(path, "a", 0o600));
	} else {
		if (!file.isFile()) return { kind: "store-foreign", path };
		const header = file.size === 0 && options.mode === "create" ? EMPTY : readHeader(path);
		if (header === null) {
			// At the app's own place this was our file; anywhere else it may be anything.
			return options.whenCorrupt === "refuse"
				? { kind: "store-foreign", path }
				: { kind: "store-corrupt", path, keptAs: null };
		}
		if (header.applicationId !== APPLICATION_ID) return { kind: "store-foreign", path };
		if (header.version > appVersion) {
			return { kind: "store-newer", path, fileVersion: header.version, appVersion };
		}
		if (options.mode === "read" && header.version < appVersion) return bringUp(path, options);
	}
	if (options.mode !== "read") {
		accessSync(dirname(path), constants.W_OK);
		if (file !== undefined) accessSync(path, constants.W_OK);
	}
	return null;
}

/** A file of an older version is brought to the present one even when it is only to be read. */
function bringUp(path: string, options: DatabaseOptions): Fault | null {
	const opened = openDatabase({ ...options, path, mode: "write" });
	if (!opened.ok) return opened.error;
	opened.value.db.close();
	return null;
}

/** Keeps a damaged file under another name, and begins a new one where the caller wants that. */
function setAside(
	path: string,
	options: DatabaseOptions,
	migrations: readonly Migration[],
): Result<OpenDatabase, Fault> {
	if (options.mode === "read" || options.whenCorrupt === "refuse") {
		return failure({ kind: "store-corrupt", path, keptAs: null });
	}
	const keptAs = renameAside(path, options.now());
	if (options.whenCorrupt === "set-aside") return failure({ kind: "store-corrupt", path, keptAs });
	const fresh = openOwn(path, options, migrations);
	return fresh.ok ? success({ ...fresh.value, setAside: keptAs }) : fresh;
}

export function openDatabase(options: DatabaseOptions): Result<OpenDatabase, Fault> {
	const path = resolve(options.path);
	const migrations = readMigrations(
		options.migrationsFolder ?? fileURLToPath(new URL("../../migrations", import.meta.url)),
	);
	const opened = guard<Connection>(path, () => {
		const refusal = refuse(path, options, migrations.length);
		return refusal === null ? openOwn(path, options, migrations) : failure(refusal);
	});
	if (opened.ok) return success({ ...opened.value, setAside: null });
	if (opened.error.kind !== "store-corrupt") return opened;
	return guard(path, () => setAside(path, options, migrations));
}
