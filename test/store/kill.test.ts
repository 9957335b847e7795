import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import SqliteDatabase from "better-sqlite3";
import { expect, test } from "vitest";
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

const ROUNDS = 6;

/** Kills the program after it has told `commits` commits. @returns the frames of the last commit that it told. */
async function killAfter(child: ChildProcess, commits: number): Promise<number> {
	let text = "";
	child.stdout!.setEncoding("utf8");
	for await (const chunk of child.stdout!) {
		text += chunk as string;
		if (text.split("\n").length > commits && child.exitCode === null) child.kill("SIGKILL");
	}
	const told = text.split("\n").slice(0, -1);
	return Number(told.at(-1));
}

test("killing it at any moment loses no committed frame and damages nothing", {
	timeout: 60_000,
}, async () => {
	const path = join(createFolder(), "records.sqlite");
	// Fixed, so that a failure can be had again; where exactly in a transaction the signal lands is up to the machine.
	const commits = [1, 7, 23, 2, 60, 13].slice(0, ROUNDS);
	for (const [round, count] of commits.entries()) {
		const child = spawn(process.execPath, [join(import.meta.dirname, "recording-child.ts"), path], {
			stdio: ["ignore", "pipe", "inherit"],
		});
		const ended = once(child, "exit");
		const committed = await killAfter(child, count);
		expect((await ended)[1]).toBe("SIGKILL");

		const db = new SqliteDatabase(path, { readonly: true });
		expect(db.pragma("integrity_check", { simple: true })).toBe("ok");
		expect(db.pragma("foreign_key_check")).toEqual([]);
		db.close();

		const store = unwrap(openStore(optionsFor(path, new TurnedClock())));
		const { sessions, total } = unwrap(store.listSessions({ personId: null, offset: 0, limit: 1 }));
		expect(total).toBe(round + 1);
		const session = sessions[0]!;
		expect(session.closedCleanly).toBe(false);
		expect(session.frameCount).toBeGreaterThanOrEqual(committed);
		const frames = unwrap(store.readFrames(session.id, 0, 100_000));
		expect(frames).toHaveLength(session.frameCount);
		expect(frames.every((frame, i) => frame.ordinal === i)).toBe(true);
		expect(frames.at(-1)?.values).toEqual(readingsOf(session.frameCount - 1));
		const [trends] = unwrap(store.readTrends(session.id, 0));
		expect(trends?.ordinals.length).toBe(session.frameCount);
		store.dispose();
	}
});

test("a session left open by a kill is found at the next start; one under way is left alone", () => {
	const { store, path, clock } = createOpenStore();
	const recorder = startRecorder(store);
	appendFrames(recorder, 5);
	clock.pass(400);
	const isClean = (other: typeof store) => unwrap(other.session(recorder.sessionId)).summary.closedCleanly;

	// This process lives and has just written.
	const beside = unwrap(openStore(optionsFor(path, clock)));
	after(() => beside.dispose());
	expect([isClean(store), isClean(beside)]).toEqual([true, true]);

	// As if the process had gone: nobody has that number.
	const db = new SqliteDatabase(path);
	after(() => db.close());
	db.prepare("UPDATE sessions SET writer_pid = 4194305").run();
	expect(isClean(beside)).toBe(false);
	unwrap(openStore(optionsFor(path, clock))).dispose();
	expect(db.prepare("SELECT closed_cleanly FROM sessions").pluck().get()).toBe(0);
	expect(unwrap(beside.readFrames(recorder.sessionId, 0, 100))).toHaveLength(5);
});

test("a session that has been silent is left open, even if its number now belongs to another program", () => {
	const { store, path, clock } = createOpenStore();
	const { sessionId } = startRecorder(store);
	const later = new TurnedClock();
	later.time = clock.time + 60_000;
	const beside = unwrap(openStore(optionsFor(path, later)));
	after(() => beside.dispose());
	expect(unwrap(beside.session(sessionId)).summary.closedCleanly).toBe(false);
});

test("a quiet recording says that it is alive, and one that was doubted is clean once it is closed", () => {
	const { store, path, clock } = createOpenStore();
	const recorder = startRecorder(store);
	clock.pass(60_000);
	const beside = unwrap(openStore(optionsFor(path, clock)));
	after(() => beside.dispose());
	expect(unwrap(beside.session(recorder.sessionId)).summary.closedCleanly).toBe(true);

	// The machine slept for an hour, another program looked, then the recording went on.
	const later = new TurnedClock();
	later.time = clock.time + 3_600_000;
	unwrap(openStore(optionsFor(path, later))).dispose();
	expect(unwrap(beside.session(recorder.sessionId)).summary.closedCleanly).toBe(false);
	unwrap(recorder.close());
	expect(unwrap(beside.session(recorder.sessionId)).summary.closedCleanly).toBe(true);
});
