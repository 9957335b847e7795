import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, readFileSync, rmSync, watch, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { openRecords } from "../../app/command/open-records.ts";
import { record } from "../../app/command/record.ts";
import type { FrameTruth } from "../../app/link/simulated/truth.ts";
import type { Store } from "../../app/store/store.ts";
import { createTrendLookup } from "../../app/store/trend-lookup.ts";
import { unwrap } from "../store/create-records.ts";
import { createTerminalOf, createTerminalPair, hasTerminals, type Terminal } from "./pseudo-terminal.ts";
import { commandMain, runCommand } from "./run-command.ts";

let folder: string;
let db: string;
let port: string;
const terminals: Terminal[] = [];
const programs: ChildProcess[] = [];

beforeEach(() => {
	folder = mkdtempSync(join(tmpdir(), "tautline-record-"));
	db = join(folder, "records.sqlite");
	port = join(folder, "host");
});

afterEach(async () => {
	for (const program of programs.splice(0)) program.kill();
	for (const terminal of terminals.splice(0)) await terminal.unplug();
	rmSync(folder, { recursive: true, force: true });
});

/** The simulate verb at the other end. Resolves when it answers. */
async function simulate(...args: string[]): Promise<{ terminal: Terminal; ended: Promise<unknown> }> {
	const board = join(folder, "board");
	const terminal = await createTerminalPair(board, port);
	terminals.push(terminal);
	const program = spawn(process.execPath, [commandMain, "simulate", "--port", board, ...args], {
		stdio: ["ignore", "ignore", "pipe"],
	});
	programs.push(program);
	let said = "";
	program.stderr.setEncoding("utf8");
	for await (const text of program.stderr.iterator({ destroyOnReturn: false })) {
		said += text as string;
		if (said.includes("answers on")) break;
	}
	return { terminal, ended: once(program, "exit") };
}

function correlation(a: readonly number[], b: readonly number[]): number {
	const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
	const [ma, mb] = [mean(a), mean(b)];
	let [ab, aa, bb] = [0, 0, 0];
	for (let i = 0; i < a.length; i++) {
		ab += (a[i]! - ma) * (b[i]! - mb);
		aa += (a[i]! - ma) ** 2;
		bb += (b[i]! - mb) ** 2;
	}
	return ab / Math.sqrt(aa * bb);
}

function withStore<T>(read: (store: Store) => T): T {
	const store = unwrap(openRecords(db));
	try {
		return read(store);
	} finally {
		store.dispose();
	}
}

function isAnyFrameStored(): boolean {
	const opened = existsSync(db) ? openRecords(db) : null;
	if (opened === null || !opened.ok) return false;
	const frames = opened.value.readFrames(1, 0, 1);
	opened.value.dispose();
	return frames.ok && frames.value.length > 0;
}

describe.skipIf(!hasTerminals)("over a pseudo-terminal", { timeout: 60_000 }, () => {
	test("every good frame is stored, bad lines are counted, and region means follow the truth", async () => {
		const truthFile = join(folder, "truth.jsonl");
		const scenario = ["--seed", "7", "--scenario", "quad-sets", "--corrupt", "0.03", "--truth", truthFile];
		const { terminal, ended } = await simulate(...scenario);
		const { exitCode, stdout, stderr } = await runCommand(
			...["record", "--port", port, "--db", db, "--seconds", "7", "--baseline-seconds", "1.5"],
		);
		expect([exitCode, stderr]).toEqual([0, ""]);
		expect(stdout.trimEnd()).not.toContain("\n");
		const summary = JSON.parse(stdout);
		await terminal.unplug();
		await ended;

		const truths = readFileSync(truthFile, "utf8")
			.split("\n")
			.filter((line) => line !== "")
			.map((line) => JSON.parse(line) as FrameTruth);
		const sent = truths.filter((truth) => truth.line === "sent");
		withStore((store) => {
			const frames = unwrap(store.readFrames(summary.session, 0, 10_000));
			// The last ones may be under way to a busy machine when the time is over.
			const arrived = sent.slice(0, frames.length);
			expect(frames.map((frame) => frame.sequence)).toEqual(arrived.map((truth) => truth.sequence));
			expect(frames.length).toBeGreaterThan(sent.length / 2);
			const before = truths.slice(0, truths.indexOf(arrived.at(-1)!));
			const corrupted = before.filter((truth) => truth.line === "corrupted").length;
			expect(corrupted).toBeGreaterThan(0);
			expect(summary).toMatchObject({
				simulated: true,
				frames: frames.length,
				baselines: [{ seconds: 1.5, automatic: false }],
			});
			// Other lines than frames are damaged too, and a line can be cut in two.
			expect(summary.bad).toBeGreaterThanOrEqual(corrupted);
			// They show as gaps in the sequence numbers.
			expect(summary.lost).toBeGreaterThanOrEqual(corrupted);

			// The picture may be prepared anew while it records, which begins another series.
			const all = unwrap(store.readTrends(summary.session, 0));
			const trends = createTrendLookup(frames.length, all);
			const followed = frames.filter((frame) => trends.seriesOf(frame.ordinal) !== null);
			// All from the baseline on but those that passed while the picture was being prepared, which a busy machine makes more.
			expect(followed.length).toBeGreaterThan(frames.length / 4);
			const truthOf = new Map(sent.map((truth) => [truth.sequence, truth]));
			const regions = all[0]!.series.regions.map((region) => region.id);
			expect(summary.regions).toEqual(regions);
			// The muscles that a quad set drives; 0.9 is what the project promises.
			for (const muscle of ["rectus-femoris", "vastus-lateralis", "vastus-medialis"] as const) {
				const means = followed.map((frame) => trends.mean(frame.ordinal, regions.indexOf(muscle)));
				const truth = followed.map((frame) => truthOf.get(frame.sequence)!.change[muscle]);
				expect(correlation(means, truth)).toBeGreaterThan(0.9);
			}
		});
	});

	test("a port that vanishes is told, and what had arrived is kept", async () => {
		const { terminal } = await simulate("--scenario", "rest");
		const recording = runCommand("record", "--port", port, "--db", db, "--seconds", "3");
		// Pulled once frames are on the disk; each batch changes a file in the folder.
		const watcher = watch(folder);
		while (!isAnyFrameStored()) await once(watcher, "change");
		watcher.close();
		await terminal.unplug();
		const { exitCode, stdout, stderr } = await recording;
		expect(exitCode).toBe(1);
		expect(stderr).toMatch(/tautline record: .+/);
		expect(JSON.parse(stdout).frames).toBeGreaterThan(0);
		withStore((store) => {
			const { frameCount, closedCleanly } = unwrap(store.session(1)).summary;
			expect([frameCount, closedCleanly]).toEqual([JSON.parse(stdout).frames, true]);
		});
	});

	test("a board above the current limit is refused before a frame is recorded", async () => {
		const board = join(import.meta.dirname, "over-limit-board.ts");
		terminals.push(await createTerminalOf(port, `${process.execPath} ${board}`));
		const { exitCode, stdout, stderr } = await runCommand(
			"record",
			"--port",
			port,
			"--db",
			db,
			"--seconds",
			"5",
		);
		expect([exitCode, stdout]).toEqual([1, ""]);
		expect(stderr).toMatch(/reports 2 mA at 50000 Hz and the limit is 1 mA: take the band off/);
		withStore((store) => {
			expect(unwrap(store.listSessions({ personId: null, offset: 0, limit: 1 })).total).toBe(0);
		});
	});

	test("a device that sends something else is told", async () => {
		terminals.push(await createTerminalOf(port, "yes $GPGGA*47"));
		const outcome = await record.run({ port, db, seconds: "5" }, []);
		expect(outcome).toEqual({ exitCode: 1, message: expect.stringMatching(/does not speak our protocol/) });
	});
});

test("a port that is not there is told", async () => {
	const outcome = await record.run({ port, db, seconds: "5" }, []);
	expect(outcome).toEqual({
		exitCode: 1,
		message: `There is no port ${port}: check the cable or the pairing, and the name.`,
	});
});

test("a file that is not ours is left as it is, and the port is not touched", async () => {
	writeFileSync(db, "dear diary");
	const outcome = await record.run({ port, db, seconds: "5" }, []);
	expect(outcome).toEqual({
		exitCode: 1,
		message: expect.stringMatching(/not a file of Tautline's records/),
	});
	expect(readFileSync(db, "utf8")).toBe("dear diary");
});

test.each([
	[{ db: "x", seconds: "5" }, /--port/],
	[{ port: "x", seconds: "5" }, /--db/],
	[{ port: "x", db: "y" }, /--seconds takes a number from 1 to 86400, got ''/],
	[{ port: "x", db: "y", seconds: "-5" }, /--seconds/],
	[{ port: "x", db: "y", seconds: "5", baud: "fast" }, /--baud/],
	[{ port: "x", db: "y", seconds: "5", baud: "115200.5" }, /--baud/],
	[{ port: "x", db: "y", seconds: "5", "baseline-seconds": "0" }, /--baseline-seconds/],
	[{ port: "x", db: "y", seconds: "5", title: "t".repeat(121) }, /--title/],
])("a wrong call is told: %j", async (values, message) => {
	expect(await record.run(values, [])).toEqual({ exitCode: 2, message: expect.stringMatching(message) });
});
