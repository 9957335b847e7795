import { spawn, spawnSync } from "node:child_process";
import {
	existsSync,
	lstatSync,
	mkdirSync,
	mkdtempSync,
	readdirSync,
	readFileSync,
	rmSync,
	symlinkSync,
	truncateSync,
	writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import SqliteDatabase from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { exportSession } from "../../app/command/export.ts";
import { sessions } from "../../app/command/sessions.ts";
import { openStore } from "../../app/store/store.ts";
import { createConfiguration, createFrame, newSession, unwrap } from "../store/create-records.ts";
import { parseCsv } from "../store/parse-csv.ts";
import { runCommand } from "./run-command.ts";

let folder: string;
let db: string;

/** A file with one session of 40 frames. */
function createRecords(path: string): void {
	const store = unwrap(
		openStore({
			path,
			mode: "create",
			whenCorrupt: "refuse",
			appVersion: "0.0.0-test",
			now: Date.now,
			timers: { setInterval: () => null, clearInterval: () => undefined },
			onFault: () => undefined,
		}),
	);
	const recorder = unwrap(store.startSession(newSession));
	recorder.addConfiguration(createConfiguration());
	for (let i = 0; i < 40; i++) recorder.appendFrame(createFrame(i), Date.now(), 0, 1);
	unwrap(recorder.close());
	store.dispose();
}

beforeAll(() => {
	folder = mkdtempSync(join(tmpdir(), "tautline-command-"));
	db = join(folder, "records.sqlite");
	createRecords(db);
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe.concurrent("sessions", () => {
	test("lists what a file holds as JSON, and leaves the file as it is", async () => {
		const before = readFileSync(db);
		const { exitCode, stdout, stderr } = await runCommand("sessions", "--db", db);
		expect([exitCode, stderr]).toEqual([0, ""]);
		expect(JSON.parse(stdout)).toEqual([
			{
				id: 1,
				personId: null,
				personCode: null,
				title: "Quad sets",
				notes: "",
				startedAt: "2026-03-01T10:00:00.000+01:00",
				durationSeconds: 1.299987,
				frameCount: 40,
				lostCount: 0,
				badCount: 0,
				simulated: true,
				origin: "live",
				side: null,
				closedCleanly: true,
			},
		]);
		expect(readFileSync(db).equals(before)).toBe(true);
	});

	test("makes no file where there is none", async () => {
		const path = join(folder, "missing.sqlite");
		expect(await runCommand("sessions", "--db", path)).toEqual({
			exitCode: 1,
			stdout: "",
			stderr: `tautline sessions: There is no file ${path}: check the path.\n`,
		});
		expect(existsSync(path)).toBe(false);
	});

	test("is a wrong call with an option that is not there", async () => {
		const { exitCode, stdout, stderr } = await runCommand("sessions", "--bd", db);
		expect([exitCode, stdout]).toEqual([2, ""]);
		expect(stderr).toMatch(/^tautline sessions: .+\nusage: tautline sessions --db FILE\n$/s);
	});

	test("is a wrong call without --db and with a word too many", async () => {
		expect(await sessions.run({}, [])).toEqual({ exitCode: 2, message: "--db FILE is missing." });
		expect(await sessions.run({ db }, ["y"])).toMatchObject({ exitCode: 2 });
	});
});

describe.concurrent("a file that cannot be used gets one sentence and stays as it is", () => {
	const spoilers: [string, (path: string) => void, RegExp][] = [
		["no database", (path) => writeFileSync(path, "a shopping list"), /not a file of Tautline's records/],
		["damaged", (path) => truncateSync(path, 20_000), /is damaged and was left as it is/],
		[
			"newer",
			(path) => {
				const other = new SqliteDatabase(path);
				other.pragma("user_version = 4000");
				other.close();
			},
			/written by a newer Tautline \(format 4000, this one reads up to \d+\)/,
		],
	];
	test.each(spoilers)("%s", async (name, spoil, sentence) => {
		const path = join(folder, `${name.replace(" ", "-")}.sqlite`);
		createRecords(path);
		spoil(path);
		const before = readFileSync(path);
		const never = { session: "1", format: "csv", out: join(folder, "never.csv") };
		for (const outcome of [
			await sessions.run({ db: path }, []),
			await exportSession.run({ db: path, ...never }, []),
		]) {
			expect(outcome).toEqual({ exitCode: 1, message: expect.stringMatching(sentence) });
		}
		expect(readFileSync(path).equals(before)).toBe(true);
		expect(existsSync(join(folder, "never.csv"))).toBe(false);
	});
});

describe.concurrent("export", () => {
	test("writes a table and says where, and nothing else is left in the folder", async () => {
		const out = join(folder, "tables", "means.csv");
		mkdirSync(join(folder, "tables"));
		const outcome = await runCommand("export", "--db", db, "--session", "1", "--format", "csv", "--out", out);
		expect([outcome.exitCode, outcome.stderr]).toEqual([0, ""]);
		const text = readFileSync(out, "utf8");
		expect(JSON.parse(outcome.stdout)).toEqual({ file: out, bytes: Buffer.byteLength(text) });
		expect(parseCsv(text)).toHaveLength(41);
		expect(readdirSync(join(folder, "tables"))).toEqual(["means.csv"]);
	});

	test("writes the document to standard output", async () => {
		const call = ["--db", db, "--session", "1", "--format", "json", "--out", "-"];
		const { exitCode, stdout } = await runCommand("export", ...call);
		expect(exitCode).toBe(0);
		expect(JSON.parse(stdout)).toMatchObject({ simulated: true, session: { id: 1, frameCount: 40 } });
	});

	test("follows a link and leaves it a link", async () => {
		const target = join(folder, "linked.csv");
		const link = join(folder, "link.csv");
		writeFileSync(target, "old");
		symlinkSync(target, link);
		const call = { session: "1", format: "csv", out: link };
		expect(await exportSession.run({ db, ...call }, [])).toEqual({ exitCode: 0 });
		expect(lstatSync(link).isSymbolicLink()).toBe(true);
		expect(parseCsv(readFileSync(target, "utf8"))).toHaveLength(41);
	});

	// A file put in the place of a pipe or a device would destroy it.
	test.runIf(existsSync("/usr/bin/mkfifo"))("writes into a pipe and leaves it a pipe", async () => {
		const pipe = join(folder, "pipe");
		spawnSync("/usr/bin/mkfifo", [pipe]);
		const reader = spawn("cat", [pipe], { stdio: ["ignore", "pipe", "ignore"] });
		const read = reader.stdout.setEncoding("utf8").reduce((text, piece) => text + piece, "");
		const call = { session: "1", format: "csv", out: pipe };
		expect(await exportSession.run({ db, ...call }, [])).toEqual({ exitCode: 0 });
		expect(parseCsv(await read)).toHaveLength(41);
		expect(lstatSync(pipe).isFIFO()).toBe(true);
	});

	test("writes raw readings with --frames", async () => {
		const call = ["--db", db, "--session", "1", "--format", "csv", "--frames", "--out", "-"];
		const { stdout } = await runCommand("export", ...call);
		const rows = parseCsv(stdout);
		expect([rows.length, rows[0]!.at(-1)]).toEqual([41, "reading 208"]);
	});

	const out = () => join(folder, "out.csv");
	const wrong: [string, 1 | 2, RegExp, () => Record<string, string>][] = [
		["no such session", 1, /There is no session 2/, () => ({ session: "2", format: "csv", out: out() })],
		["no folder", 1, /no folder/, () => ({ session: "1", format: "csv", out: join(folder, "x/y.csv") })],
		[
			"no folder, before a volume is computed",
			1,
			/no folder/,
			() => ({ session: "1", format: "csv", volume: "", out: join(folder, "x/y.csv") }),
		],
		["a folder", 1, /is a folder/, () => ({ session: "1", format: "csv", out: folder })],
		["a number that is none", 2, /--session/, () => ({ session: "1e0", format: "csv", out: out() })],
		["a form that is not there", 2, /--format/, () => ({ session: "1", format: "xls", out: out() })],
		["nowhere to write", 2, /--out/, () => ({ session: "1", format: "csv" })],
		["over the records", 2, /must not be the record file/, () => ({ session: "1", format: "csv", out: db })],
		[
			"volumes of no limb",
			1,
			/has no volume: it is of no limb/,
			() => ({ session: "1", format: "csv", volume: "", out: out() }),
		],
		[
			"two files in one",
			2,
			/two different files/,
			() => ({ session: "1", format: "csv", frames: "", volume: "", out: "-" }),
		],
		["--frames in a document", 2, /--frames/, () => ({ session: "1", format: "json", frames: "", out: "-" })],
	];
	test.each(wrong)("is told: %s", async (_, exitCode, message, values) => {
		expect(await exportSession.run({ db, ...values() }, [])).toEqual({
			exitCode,
			message: expect.stringMatching(message),
		});
		expect(existsSync(out())).toBe(false);
	});
});

test("on a full disk an export leaves an older file as it was, and no half one", async (context) => {
	const small = join(folder, "small");
	mkdirSync(small);
	// Needs the right to mount: root on Linux.
	if (spawnSync("mount", ["-t", "tmpfs", "-o", "size=16k", "tautline-test", small]).status !== 0)
		context.skip();
	try {
		const out = join(small, "whole.json");
		writeFileSync(out, "older");
		const call = ["--db", db, "--session", "1", "--format", "json", "--out", out];
		const { exitCode, stderr } = await runCommand("export", ...call);
		expect(exitCode).toBe(1);
		expect(stderr).toBe(
			`tautline export: The disk of ${out} is full and nothing was written: free some space and try again.\n`,
		);
		expect(readdirSync(small)).toEqual(["whole.json"]);
		expect(readFileSync(out, "utf8")).toBe("older");
	} finally {
		spawnSync("umount", [small]);
	}
});
