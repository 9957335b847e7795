import { spawnSync } from "node:child_process";
import {
	chmodSync,
	copyFileSync,
	existsSync,
	mkdirSync,
	readdirSync,
	readFileSync,
	statSync,
	truncateSync,
	writeFileSync,
} from "node:fs";
import { basename, join } from "node:path";
import SqliteDatabase from "better-sqlite3";
import { describe, expect, test } from "vitest";
import type { Fault } from "../../app/contract.ts";
import { openStore, type StoreOptions } from "../../app/store/store.ts";
import type { Result } from "../../core/result.ts";
import {
	after,
	appendFrames,
	createFolder,
	createOpenStore,
	faultOf,
	optionsFor,
	startRecorder,
	TurnedClock,
	unwrap,
} from "./create-store.ts";

function open(path: string, change: Partial<StoreOptions> = {}) {
	const opened = openStore({ ...optionsFor(path, new TurnedClock()), ...change });
	if (opened.ok) after(() => opened.value.dispose());
	return opened;
}

/** A closed file with one session of 200 frames. */
function createRecords(): string {
	const { store, path } = createOpenStore();
	const recorder = startRecorder(store);
	appendFrames(recorder, 200);
	store.dispose();
	return path;
}

function contentsOf(path: string): Buffer {
	return readFileSync(path);
}

function expectUntouched(path: string, before: Buffer, names: string[]): void {
	expect(contentsOf(path).equals(before)).toBe(true);
	expect(readdirSync(join(path, ".."))).toEqual(names);
}

describe("a missing file", () => {
	test("is made with its folder, for its owner only, when that was asked for", () => {
		const path = join(createFolder(), "a", "b", "records.sqlite");
		unwrap(open(path));
		expect(statSync(path).mode & 0o777).toBe(0o600);
		expect(statSync(join(path, "..")).mode & 0o777).toBe(0o700);
	});

	test.each(["read", "write"] as const)("is told and not made for '%s'", (mode) => {
		const path = join(createFolder(), "none", "records.sqlite");
		expect(faultOf(open(path, { mode }))).toEqual({ kind: "store-missing", path });
		expect(existsSync(join(path, ".."))).toBe(false);
	});
});

test("an empty file is taken as a new one", () => {
	const path = join(createFolder(), "records.sqlite");
	writeFileSync(path, "");
	unwrap(unwrap(open(path)).listPeople());
});

test("a second connection sees what was committed, while the first goes on writing", () => {
	const { store, path, clock } = createOpenStore();
	const recorder = startRecorder(store);
	appendFrames(recorder, 5);
	clock.pass(400);
	appendFrames(recorder, 2);

	const other = new SqliteDatabase(path, { readonly: true });
	after(() => other.close());
	const count = other.prepare("SELECT count(*) FROM frames").pluck();
	expect(count.get()).toBe(5);
	clock.pass(400);
	expect(count.get()).toBe(7);
	// The application sees its own records through a second store as well.
	const reader = unwrap(open(path, { mode: "read" }));
	expect(unwrap(reader.readFrames(recorder.sessionId, 0, 100))).toHaveLength(7);
});

test("writes ahead, syncs every commit, and marks the file as ours", () => {
	const { path } = createOpenStore();
	const other = new SqliteDatabase(path);
	after(() => other.close());
	expect(other.pragma("journal_mode", { simple: true })).toBe("wal");
	// "TAUT" in ASCII.
	expect(other.pragma("application_id", { simple: true })).toBe(0x54415554);
	expect(other.pragma("foreign_key_check")).toEqual([]);
});

describe("a file of a newer version", () => {
	test.each(["create", "write", "read"] as const)("is refused by name and left untouched: '%s'", (mode) => {
		const path = createRecords();
		const db = new SqliteDatabase(path);
		const present = db.pragma("user_version", { simple: true }) as number;
		db.pragma(`user_version = ${present + 3}`);
		db.close();
		const before = contentsOf(path);
		for (const whenCorrupt of ["refuse", "set-aside", "start-fresh"] as const) {
			expect(faultOf(open(path, { mode, whenCorrupt }))).toEqual({
				kind: "store-newer",
				path,
				fileVersion: present + 3,
				appVersion: present,
			});
		}
		expectUntouched(path, before, [basename(path)]);
	});
});

describe("a file that is not ours", () => {
	test("another program's SQLite file is refused and left untouched", () => {
		const path = join(createFolder(), "other.sqlite");
		const other = new SqliteDatabase(path);
		other.exec("CREATE TABLE people (id INTEGER PRIMARY KEY); INSERT INTO people DEFAULT VALUES");
		other.close();
		const before = contentsOf(path);
		for (const whenCorrupt of ["refuse", "set-aside", "start-fresh"] as const) {
			expect(faultOf(open(path, { whenCorrupt }))).toEqual({ kind: "store-foreign", path });
		}
		expectUntouched(path, before, ["other.sqlite"]);
	});

	test("a text, and a folder, are refused and left untouched", () => {
		const folder = createFolder();
		const path = join(folder, "notes.txt");
		writeFileSync(path, "not a database at all, but long enough to be one".repeat(10));
		const before = contentsOf(path);
		expect(faultOf(open(path))).toEqual({ kind: "store-foreign", path });
		expect(faultOf(open(folder))).toEqual({ kind: "store-foreign", path: folder });
		expectUntouched(path, before, ["notes.txt"]);
	});
});

const damages: [string, (path: string) => void][] = [
	["cut off in the middle", (path) => truncateSync(path, statSync(path).size >> 1)],
	[
		"a page overwritten",
		(path) => {
			const bytes = contentsOf(path);
			bytes.fill(0xa5, 4096 * 5, 4096 * 6);
			writeFileSync(path, bytes);
		},
	],
	[
		"the table of contents overwritten",
		(path) => {
			const bytes = contentsOf(path);
			bytes.fill(0xff, 100, 2000);
			writeFileSync(path, bytes);
		},
	],
];

describe.each(damages)("a damaged file (%s)", (_, damage) => {
	function createDamaged(): { path: string; before: Buffer } {
		const path = createRecords();
		damage(path);
		return { path, before: contentsOf(path) };
	}

	test("is left as it is where that was asked for", () => {
		const { path, before } = createDamaged();
		for (const mode of ["create", "write"] as const) {
			expect(faultOf(open(path, { mode }))).toEqual({ kind: "store-corrupt", path, keptAs: null });
		}
		expect(contentsOf(path).equals(before)).toBe(true);
	});

	test("is kept under another name and told, and no new file takes its place", () => {
		const { path, before } = createDamaged();
		const fault = faultOf(open(path, { whenCorrupt: "set-aside" }));
		if (fault.kind !== "store-corrupt" || fault.keptAs === null) throw new Error(JSON.stringify(fault));
		expect(contentsOf(fault.keptAs).equals(before)).toBe(true);
		expect(existsSync(path)).toBe(false);
	});

	test("is kept under another name, and a new one begun, where that was asked for", () => {
		const { path, before } = createDamaged();
		const store = unwrap(open(path, { whenCorrupt: "start-fresh" }));
		expect(contentsOf(store.setAside!).equals(before)).toBe(true);
		expect(unwrap(store.listSessions({ personId: null, offset: 0, limit: 10 })).total).toBe(0);
	});

	test("is never changed by reading", () => {
		const { path, before } = createDamaged();
		expect(faultOf(open(path, { mode: "read", whenCorrupt: "start-fresh" }))).toMatchObject({
			kind: "store-corrupt",
			keptAs: null,
		});
		expect(contentsOf(path).equals(before)).toBe(true);
	});
});

test("at the app's own place a file without SQLite's header is a damaged one, kept and told", () => {
	const path = createRecords();
	const bytes = contentsOf(path);
	bytes.fill(0, 0, 16);
	writeFileSync(path, bytes);
	const first = faultOf(open(path, { whenCorrupt: "set-aside" }));
	if (first.kind !== "store-corrupt") throw new Error(JSON.stringify(first));
	expect(contentsOf(first.keptAs!).equals(bytes)).toBe(true);
});

test("two damaged files in the same moment are both kept", () => {
	const path = createRecords();
	truncateSync(path, 5000);
	const kept = join(createFolder(), "copy");
	copyFileSync(path, kept);
	const clock = new TurnedClock();
	const first = faultOf(open(path, { whenCorrupt: "set-aside", now: clock.now }));
	copyFileSync(kept, path);
	const second = faultOf(open(path, { whenCorrupt: "set-aside", now: clock.now }));
	expect([first.kind, second.kind]).toEqual(["store-corrupt", "store-corrupt"]);
	expect(readdirSync(join(path, "..")).filter((name) => name.includes(".damaged-"))).toHaveLength(2);
});

test("a reading that was damaged later is told when it is read, and the rest stays readable", () => {
	const { store, path } = createOpenStore();
	const recorder = startRecorder(store);
	appendFrames(recorder, 3);
	unwrap(recorder.close());
	const other = new SqliteDatabase(path);
	other.prepare("UPDATE frames SET readings = x'0900' WHERE ordinal = 1").run();
	other.close();
	expect(faultOf(store.readFrames(recorder.sessionId, 0, 3))).toEqual({
		kind: "store-corrupt",
		path,
		keptAs: null,
	});
	expect(unwrap(store.readFrames(recorder.sessionId, 2, 1))).toHaveLength(1);
	expect(unwrap(store.session(recorder.sessionId)).summary.frameCount).toBe(3);
});

test("a file that another program holds is told after a while, and nothing is lost", () => {
	const { store, path, clock, faults } = createOpenStore();
	const recorder = startRecorder(store);
	const other = new SqliteDatabase(path);
	after(() => other.close());
	other.exec("BEGIN IMMEDIATE");
	appendFrames(recorder, 3);
	clock.pass(400);
	// Once may be a passing moment; when it lasts it is told, once.
	expect(faults).toEqual([]);
	expect(faultOf(store.saveSetting("a", 1))).toEqual({ kind: "store-busy", path });
	clock.pass(10_000);
	expect(faults).toEqual([{ kind: "store-busy", path }]);
	other.exec("ROLLBACK");
	clock.pass(2000);
	expect(unwrap(store.readFrames(recorder.sessionId, 0, 10))).toHaveLength(3);
});

describe("without the right to write", () => {
	const node = process.execPath;
	const child = join(import.meta.dirname, "open-child.ts");

	/** Opens the file as a user without rights: root may write whatever the bits say. */
	function openAsNobody(path: string, mode: string): Result<number, Fault> {
		const rights = process.getuid?.() === 0 ? { uid: 65_534, gid: 65_534 } : {};
		const run = spawnSync(node, [child, path, mode], { encoding: "utf8", ...rights });
		if (run.status !== 0) throw new Error(run.stderr);
		return JSON.parse(run.stdout) as Result<number, Fault>;
	}

	function createLocked(): string {
		const path = createRecords();
		chmodSync(path, 0o444);
		chmodSync(join(path, ".."), 0o555);
		after(() => chmodSync(join(path, ".."), 0o755));
		return path;
	}

	test("the file is told to be read-only, and is untouched", () => {
		const path = createLocked();
		const before = contentsOf(path);
		expect(openAsNobody(path, "create")).toEqual({ ok: false, error: { kind: "store-read-only", path } });
		expectUntouched(path, before, [basename(path)]);
	});

	test("the file can still be read, from a folder where nothing can be made", () => {
		const path = createLocked();
		expect(openAsNobody(path, "read")).toEqual({ ok: true, value: 200 });
	});

	test("a new file in a folder that cannot be written is told", () => {
		const folder = join(createFolder(), "locked");
		mkdirSync(folder, { mode: 0o555 });
		chmodSync(join(folder, ".."), 0o755);
		const path = join(folder, "records.sqlite");
		expect(openAsNobody(path, "create")).toEqual({ ok: false, error: { kind: "store-read-only", path } });
	});
});
