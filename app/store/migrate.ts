/** Brings a database to the newest version by numbered SQL files, `0001-….sql` upwards, forward only. */
import {
	chmodSync,
	closeSync,
	existsSync,
	fsyncSync,
	openSync,
	readdirSync,
	readFileSync,
	renameSync,
	rmSync,
	statSync,
} from "node:fs";
import { join } from "node:path";
import type { Database } from "better-sqlite3";

export interface Migration {
	readonly version: number;
	readonly fileName: string;
	readonly sql: string;
}

/** "TAUT" in ASCII: how a file of ours is told from any other SQLite file (`PRAGMA application_id`). */
export const APPLICATION_ID = 0x54415554;

/** In order of their numbers. @throws Error when the numbers do not run 1, 2, 3 … without a gap. */
export function readMigrations(folder: string): readonly Migration[] {
	const names = readdirSync(folder)
		.filter((name) => name.endsWith(".sql"))
		.sort();
	return names.map((fileName, index) => {
		const version = index + 1;
		if (!fileName.startsWith(`${String(version).padStart(4, "0")}-`)) {
			throw new Error(`migrations: expected number ${version} next, found ${fileName} in ${folder}`);
		}
		return { version, fileName, sql: readFileSync(join(folder, fileName), "utf8") };
	});
}

export function versionOf(db: Database): number {
	return db.pragma("user_version", { simple: true }) as number;
}

/** A complete copy of the file as it was at `version`, beside it; an older copy is never written over. */
function backUp(db: Database, version: number): string {
	let copy = `${db.name}.before-version-${version + 1}`;
	for (let number = 2; existsSync(copy); number++)
		copy = `${db.name}.before-version-${version + 1}-${number}`;
	const unfinished = `${copy}.part`;
	rmSync(unfinished, { force: true });
	try {
		// Unlike a copy of the file this takes in what is still in the write-ahead log.
		db.prepare("VACUUM INTO ?").run(unfinished);
		chmodSync(unfinished, statSync(db.name).mode);
		const file = openSync(unfinished, "r+");
		fsyncSync(file);
		closeSync(file);
		renameSync(unfinished, copy);
	} catch (error) {
		rmSync(unfinished, { force: true });
		throw error;
	}
	return copy;
}

/** Integrity and foreign keys. @returns what is wrong, or null. */
function findDamage(db: Database): string | null {
	const verdict = db.pragma("integrity_check(1)", { simple: true }) as string;
	if (verdict !== "ok") return verdict;
	const orphans = db.pragma("foreign_key_check") as { table: string }[];
	return orphans.length === 0
		? null
		: `${orphans.length} rows without their parent, first in ${orphans[0]!.table}`;
}

/**
 * Applies what is missing, each file in one immediate transaction that also sets `user_version`, after a backup when
 * the file holds anything. A migration that fails, or leaves damage, is rolled back whole.
 * @returns path of the backup, or null when none was needed. @throws what SQLite throws, and Error when a migration
 * leaves the file damaged.
 */
export function migrate(db: Database, migrations: readonly Migration[]): string | null {
	const before = versionOf(db);
	const missing = migrations.filter((migration) => migration.version > before);
	if (missing.length === 0) return null;
	const backup = before > 0 ? backUp(db, before) : null;
	// A migration that rebuilds a table drops the old one, which would take the rows that refer to it along. Off outside
	// transactions only; the check below stands in for it.
	db.pragma("foreign_keys = OFF");
	for (const migration of missing) {
		const apply = db.transaction(() => {
			// Another process may have been faster while this one waited for the lock.
			if (versionOf(db) >= migration.version) return;
			db.exec(migration.sql);
			db.pragma(`application_id = ${APPLICATION_ID}`);
			db.pragma(`user_version = ${migration.version}`);
			const damage = findDamage(db);
			if (damage !== null) throw new Error(`migration ${migration.fileName}: ${damage}`);
		});
		apply.immediate();
	}
	db.pragma("foreign_keys = ON");
	return backup;
}
