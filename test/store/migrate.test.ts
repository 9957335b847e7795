import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import SqliteDatabase from "better-sqlite3";
import { describe, expect, test } from "vitest";
import { readMigrations } from "../../app/store/migrate.ts";
import { openStore } from "../../app/store/store.ts";
import {
	after,
	appendFrames,
	createFolder,
	createOpenStore,
	optionsFor,
	readingsOf,
	startRecorder,
	TurnedClock,
	unwrap,
} from "./create-store.ts";

const ours = join(import.meta.dirname, "../../migrations");
const presentVersion = readMigrations(ours).length;

/** Our migrations and one more. */
function createMigrations(sql: string): string {
	const folder = join(createFolder(), "migrations");
	mkdirSync(folder);
	cpSync(ours, folder, { recursive: true });
	writeFileSync(join(folder, `${String(presentVersion + 1).padStart(4, "0")}-next.sql`), sql);
	return folder;
}

function createRecords(): string {
	const { store, path } = createOpenStore();
	appendFrames(startRecorder(store), 20);
	store.dispose();
	return path;
}

function versionOf(path: string): unknown {
	const db = new SqliteDatabase(path, { readonly: true });
	const version = db.pragma("user_version", { simple: true });
	db.close();
	return version;
}

function backupsBeside(path: string): string[] {
	return readdirSync(join(path, ".."))
		.filter((name) => name.includes(".before-version-"))
		.sort();
}

function open(path: string, migrationsFolder: string) {
	const opened = openStore({ ...optionsFor(path, new TurnedClock()), migrationsFolder });
	if (opened.ok) after(() => opened.value.dispose());
	return opened;
}

test("our own migrations are numbered without a gap", () => {
	expect(readMigrations(ours).map((one) => one.version)).toEqual(
		Array.from({ length: presentVersion }, (_, i) => i + 1),
	);
});

test.each([
	["a gap", ["0001-a.sql", "0003-c.sql"]],
	["a number twice", ["0001-a.sql", "0001-b.sql"]],
	["no first one", ["0002-b.sql"]],
])("numbers with %s are our own mistake", (_, names) => {
	const folder = createFolder();
	for (const name of names) writeFileSync(join(folder, name), "SELECT 1;");
	expect(() => readMigrations(folder)).toThrow(/expected number/);
});

test("a new file is made without a backup; one with records is backed up before it changes", () => {
	const path = createRecords();
	expect(backupsBeside(path)).toEqual([]);
	const store = unwrap(open(path, createMigrations("ALTER TABLE people ADD COLUMN height_m REAL;")));
	const backups = backupsBeside(path);
	expect(backups).toEqual([`records.sqlite.before-version-${presentVersion + 1}`]);
	const backup = join(path, "..", backups[0]!);
	expect(versionOf(backup)).toBe(presentVersion);
	expect(unwrap(unwrap(open(backup, ours)).readFrames(1, 0, 100))).toHaveLength(20);
	// The records are all there, in the new form.
	expect(unwrap(store.readFrames(1, 0, 100)).map((frame) => frame.values)).toEqual(
		Array.from({ length: 20 }, (_, i) => readingsOf(i)),
	);
	store.dispose();
	expect(versionOf(path)).toBe(presentVersion + 1);
});

test("an older app refuses the file afterwards, by name", () => {
	const path = createRecords();
	unwrap(open(path, createMigrations("SELECT 1;"))).dispose();
	expect(open(path, ours)).toMatchObject({
		ok: false,
		error: { kind: "store-newer", fileVersion: presentVersion + 1, appVersion: presentVersion },
	});
});

test("a backup is never written over", () => {
	const path = createRecords();
	const taken = `${path}.before-version-${presentVersion + 1}`;
	writeFileSync(taken, "an older backup");
	unwrap(open(path, createMigrations("SELECT 1;")));
	expect(readFileSync(taken, "utf8")).toBe("an older backup");
	expect(existsSync(`${taken}-2`)).toBe(true);
});

describe("a migration that goes wrong is rolled back whole", () => {
	test.each([
		["by a mistake in its SQL", "CREATE TABLE half (id INTEGER); INSERT INTO nowhere VALUES (1);", /nowhere/],
		["by rows left without their parent", "DELETE FROM sessions;", /rows without their parent/],
	])("%s", (_, sql, reason) => {
		const path = createRecords();
		expect(() => open(path, createMigrations(sql))).toThrow(reason);
		expect(versionOf(path)).toBe(presentVersion);
		expect(backupsBeside(path)).toHaveLength(1);
		const store = unwrap(open(path, ours));
		expect(unwrap(store.readFrames(1, 0, 100))).toHaveLength(20);
		const db = new SqliteDatabase(path, { readonly: true });
		after(() => db.close());
		expect(db.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'half'").pluck().get()).toBe(0);
	});
});

test("reading brings a file of an older version to the present one", () => {
	const path = createRecords();
	const folder = createMigrations("ALTER TABLE people ADD COLUMN height_m REAL;");
	const options = { ...optionsFor(path, new TurnedClock()), mode: "read" as const, migrationsFolder: folder };
	const store = unwrap(openStore(options));
	after(() => store.dispose());
	expect(unwrap(store.readFrames(1, 0, 100))).toHaveLength(20);
	expect(versionOf(path)).toBe(presentVersion + 1);
});

test("a column that may be empty passes its check in any SQLite: some call json_valid(NULL) false", () => {
	const folder = join(import.meta.dirname, "../../migrations");
	const bare = readdirSync(folder)
		.filter((name) => name.endsWith(".sql"))
		.flatMap((name) => readFileSync(join(folder, name), "utf8").split("\n"))
		.filter((line) => line.includes("CHECK (json_valid(") && !line.includes("NOT NULL"));
	expect(bare).toEqual([]);
});
