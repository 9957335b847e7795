import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import SqliteDatabase from "better-sqlite3";
import { expect, test } from "vitest";
import type { Fault } from "../../app/contract.ts";
import { openDatabase } from "../../app/store/open-database.ts";
import { createStore, openStore, type SessionRecorder, type Store } from "../../app/store/store.ts";
import { faultOf as storeFaultOf } from "../../app/store/store-fault.ts";
import {
	after,
	appendFrames,
	createFolder,
	createFrame,
	createOpenStore,
	faultOf,
	optionsFor,
	readingsOf,
	startRecorder,
	TurnedClock,
	unwrap,
} from "./create-store.ts";

interface TightStore {
	readonly store: Store;
	readonly path: string;
	readonly clock: TurnedClock;
	readonly faults: Fault[];
	readonly makeRoom: () => void;
}

/** A store whose file may not grow by more than so many pages: SQLite then says that the disk is full. */
function createTightStore(pages: number, onRecovered: (fault: Fault) => void = () => undefined): TightStore {
	const path = join(createFolder(), "records.sqlite");
	const clock = new TurnedClock();
	const faults: Fault[] = [];
	const opened = unwrap(openDatabase(optionsFor(path, clock)));
	const size = opened.db.pragma("page_count", { simple: true }) as number;
	opened.db.pragma(`max_page_count = ${size + pages}`);
	const store = createStore(opened, { ...optionsFor(path, clock, faults), onRecovered });
	after(() => store.dispose());
	return { store, path, clock, faults, makeRoom: () => opened.db.pragma("max_page_count = 1000000") };
}

/** Frames until the disk is full. @returns how many are on the disk. */
function fill(recorder: SessionRecorder, clock: TurnedClock, faults: Fault[]): number {
	let kept = 0;
	while (faults.length === 0) {
		kept = recorder.frames;
		appendFrames(recorder, 12);
		clock.pass(400);
	}
	return kept;
}

test("a full disk is told once, and what was stored stays intact", () => {
	const { store, path, clock, faults } = createTightStore(30);
	const recorder = startRecorder(store);
	const kept = fill(recorder, clock, faults);
	expect(kept).toBeGreaterThan(50);
	clock.pass(30_000);
	expect(faults).toEqual([{ kind: "disk-full", path }]);
	expect(unwrap(store.readFrames(recorder.sessionId, 0, 10_000)).map((frame) => frame.values)).toEqual(
		Array.from({ length: kept }, (_, i) => readingsOf(i)),
	);
	expect(faultOf(recorder.close())).toEqual({ kind: "disk-full", path });
	store.dispose();

	const again = createOpenStore(path);
	expect(unwrap(again.store.session(recorder.sessionId)).summary).toMatchObject({ frameCount: kept });
	const db = new SqliteDatabase(path, { readonly: true });
	after(() => db.close());
	expect(db.pragma("integrity_check", { simple: true })).toBe("ok");
});

test("frames that arrived meanwhile are written once there is room again", () => {
	const { store, clock, faults, makeRoom } = createTightStore(30);
	const recorder = startRecorder(store);
	fill(recorder, clock, faults);
	appendFrames(recorder, 40);
	makeRoom();
	clock.pass(2000);
	expect(unwrap(store.readFrames(recorder.sessionId, 0, 10_000))).toHaveLength(recorder.frames);
	expect(faults).toHaveLength(1);
});

test("tells that a full disk is over, once all that waited is written", () => {
	const recovered: Fault[] = [];
	const { store, clock, faults, makeRoom } = createTightStore(30, (fault) => recovered.push(fault));
	const recorder = startRecorder(store);
	fill(recorder, clock, faults);
	clock.pass(2000);
	expect(recovered).toEqual([]);
	makeRoom();
	clock.pass(4000);
	expect(recovered).toEqual(faults);
	expect(recovered[0]).toBe(faults[0]);
	unwrap(recorder.close());
});

test("a clock that is set back puts off no try", () => {
	const { store, clock, faults, makeRoom } = createTightStore(30);
	const recorder = startRecorder(store);
	fill(recorder, clock, faults);
	clock.set(-3_600_000);
	makeRoom();
	clock.pass(4000);
	expect(unwrap(store.session(recorder.sessionId)).summary.frameCount).toBe(recorder.frames);
	unwrap(recorder.close());
});

test("a recording that was ended on a full disk is closed once there is room again", () => {
	const { store, clock, faults, makeRoom } = createTightStore(30);
	const recorder = startRecorder(store);
	fill(recorder, clock, faults);
	expect(recorder.close().ok).toBe(false);
	makeRoom();
	clock.pass(2000);
	expect(unwrap(store.session(recorder.sessionId)).summary).toMatchObject({
		frameCount: recorder.frames,
		closedCleanly: true,
	});
	expect(clock.running).toBe(0);
});

test("when even memory is used up frames are refused and counted as lost", () => {
	const { store, clock, faults, makeRoom } = createTightStore(30);
	const recorder = startRecorder(store);
	fill(recorder, clock, faults);
	let refused = 0;
	while (refused < 5) {
		if (recorder.appendFrame(createFrame(recorder.frames), 0, 0, 1) < 0) refused++;
	}
	const taken = recorder.frames;
	makeRoom();
	clock.pass(2000);
	expect(recorder.appendFrame(createFrame(taken), 0, 1, 1)).toBe(taken);
	unwrap(recorder.close());
	const frames = unwrap(store.readFrames(recorder.sessionId, taken - 1, 10));
	expect(frames.map((frame) => [frame.ordinal, frame.lostBefore])).toEqual([
		[taken - 1, 0],
		[taken, 6],
	]);
	expect(unwrap(store.session(recorder.sessionId)).summary).toMatchObject({
		frameCount: taken + 1,
		lostCount: 5,
	});
});

test("a file system without room: the fault is told, records and integrity stay", (context) => {
	const folder = createFolder();
	const mounted = spawnSync("mount", ["-t", "tmpfs", "-o", "size=1m", "tautline-test", folder]);
	// Needs the right to mount: root on Linux. The tests above provoke the same fault inside SQLite.
	if (mounted.status !== 0) return context.skip();
	after(() => spawnSync("umount", [folder]));
	const path = join(folder, "records.sqlite");
	const { store, clock, faults } = createOpenStore(path);
	const recorder = startRecorder(store);
	const kept = fill(recorder, clock, faults);
	expect(kept).toBeGreaterThan(100);
	expect(faults).toEqual([{ kind: "disk-full", path }]);
	expect(unwrap(store.readFrames(recorder.sessionId, 0, 10_000))).toHaveLength(kept);
	store.dispose();

	// A new file on the full disk is told as well.
	const filler = join(folder, "filler");
	expect(() => writeFileSync(filler, new Uint8Array(1 << 20))).toThrow(/ENOSPC/);
	const second = openStore(optionsFor(join(folder, "second.sqlite"), clock));
	expect(faultOf(second)).toEqual({ kind: "disk-full", path: join(folder, "second.sqlite") });

	spawnSync("mount", ["-o", "remount,size=8m", folder]);
	const again = createOpenStore(path);
	expect(unwrap(again.store.readFrames(recorder.sessionId, 0, 10_000)).map((frame) => frame.values)).toEqual(
		Array.from({ length: kept }, (_, i) => readingsOf(i)),
	);
	expect(unwrap(again.store.session(recorder.sessionId)).summary.closedCleanly).toBe(false);
	again.store.dispose();
});

function errorWith(code: string): Error {
	return Object.assign(new Error(code), { code });
}

// Codes: sqlite.org/rescode.html and errno(3).
test.each([
	["SQLITE_FULL", "disk-full"],
	["ENOSPC", "disk-full"],
	["EDQUOT", "disk-full"],
	["SQLITE_READONLY", "store-read-only"],
	["SQLITE_READONLY_DIRECTORY", "store-read-only"],
	["EROFS", "store-read-only"],
	["EACCES", "store-read-only"],
	["SQLITE_CORRUPT", "store-corrupt"],
	["SQLITE_CORRUPT_INDEX", "store-corrupt"],
	["SQLITE_NOTADB", "store-corrupt"],
	["SQLITE_BUSY", "store-busy"],
	["SQLITE_BUSY_SNAPSHOT", "store-busy"],
	["SQLITE_LOCKED", "store-busy"],
	["ENOENT", "store-missing"],
	["SQLITE_IOERR_WRITE", "store-failed"],
	["SQLITE_CANTOPEN", "store-failed"],
	["EIO", "store-failed"],
])("%s is told as %s", (code, kind) => {
	expect(storeFaultOf(errorWith(code), join(createFolder(), "x"))?.kind).toBe(kind);
});

test.each(["SQLITE_CONSTRAINT_FOREIGNKEY", "SQLITE_ERROR", "SQLITE_MISUSE", "ERR_INVALID_ARG_TYPE"])(
	"%s is our own mistake and not hidden",
	(code) => {
		expect(storeFaultOf(errorWith(code), "/x")).toBeNull();
	},
);
