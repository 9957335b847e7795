/** The verb as a process of its own, at one end of a real serial cable. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { simulate } from "../../app/command/simulate.ts";
import { createSerialSource } from "../../app/link/serial-source.ts";
import { simulatedFaults } from "../../app/link/simulated/faults.ts";
import type { FrameTruth } from "../../app/link/simulated/truth.ts";
import { LinkLog } from "../link/link-log.ts";
import { hasSocat, PtyPair } from "../link/pty-pair.ts";
import { runCommand } from "./run-command.ts";

const main = fileURLToPath(new URL("../../app/command/main.ts", import.meta.url));

function start(...args: string[]) {
	const child = spawn(process.execPath, [main, "simulate", ...args], { stdio: ["ignore", "pipe", "pipe"] });
	const said = { out: "", error: "" };
	child.stdout.on("data", (chunk: Buffer) => {
		said.out += chunk.toString();
	});
	child.stderr.on("data", (chunk: Buffer) => {
		said.error += chunk.toString();
	});
	const ended = once(child, "close").then(([code]) => code as number | null);
	return { child, said, ended };
}

describe.skipIf(!hasSocat)("simulate", () => {
	test("streams to whoever greets it, writes the truth, and sums up when it is ended", async () => {
		await using pair = await PtyPair.create();
		const folder = mkdtempSync(join(tmpdir(), "tautline-truth-"));
		const truthFile = join(folder, "truth.jsonl");
		const process = start(
			...["--port", pair.board, "--seed", "5", "--fps", "60", "--scenario", "rest", "--electrodes", "8"],
			...["--corrupt", "0.1", "--truth", truthFile],
		);
		const log = new LinkLog();
		const source = createSerialSource({ path: pair.host, baudRate: 460_800 }, log);
		await source.open();
		await log.until(() => log.frames.length >= 30);
		await source.dispose();
		process.child.kill("SIGTERM");
		expect(await process.ended).toBe(0);
		const truths = readFileSync(truthFile, "utf8")
			.trimEnd()
			.split("\n")
			.map((line) => JSON.parse(line) as FrameTruth);
		const sent = truths.filter((truth) => truth.line === "sent").map((truth) => truth.sequence);
		expect(log.frames.map((frame) => frame.sequence)).toEqual(sent.slice(0, log.frames.length));
		const summary = JSON.parse(process.said.out) as Record<string, number>;
		expect(summary).toMatchObject({ simulated: true, frames: truths.length, sent: sent.length, dropped: 0 });
		expect(summary.corrupted).toBe(truths.length - sent.length);
		rmSync(folder, { recursive: true });
	});

	test("ends with a sentence when its port vanishes", async () => {
		await using pair = await PtyPair.create();
		const process = start("--port", pair.board, "--electrodes", "8", "--autostart");
		const log = new LinkLog();
		const source = createSerialSource({ path: pair.host, baudRate: 460_800 }, log);
		await source.open();
		await log.until(() => log.frames.length > 0);
		await pair.pull();
		expect(await process.ended).toBe(1);
		expect(process.said.error).toContain(`There is no port ${pair.board}`);
		await source.dispose();
	});
});

describe("a wrong call of simulate", () => {
	test.each([
		[{}, 2, "--port PATH is missing."],
		[{ port: "/dev/x", fps: "0" }, 2, "--fps takes a number from 1 to 60, got '0'."],
		[{ port: "/dev/x", bands: "5" }, 2, "--bands takes a whole number from 1 to 4, got '5'."],
		[{ port: "/dev/x", electrodes: "8.5" }, 2, "--electrodes takes a whole number from 8 to 64, got '8.5'."],
		[{ port: "/dev/x", corrupt: "lots" }, 2, "--corrupt takes a number from 0 to 0.5, got 'lots'."],
		[{ port: "/dev/x", across: "true" }, 2, "--across takes --bands 2 to 4"],
		[{ port: "/dev/x", across: "true", bands: "2", electrodes: "32" }, 2, "at most 24 electrodes"],
		[{ port: "/dev/x", across: "true", bands: "2", scenario: "slippage" }, 2, "leave one of them out"],
		[{ port: "/dev/x", slide: "5", bands: "2" }, 2, "only bands with --across see"],
		[{ port: "/dev/x", scenario: "dance" }, 2, "--scenario takes one of tour, rest"],
		[{ port: "/dev/x", fault: "flood" }, 2, "--fault takes list or one of unplug, sleep, battery-dying"],
		[{ port: "/dev/x", fault: "reset", "fault-at": "soon" }, 2, "--fault-at takes a number from 0"],
		[{ port: "/dev/x", fault: "port-stolen" }, 2, "give it with --cable PATH."],
		[{ port: "/dev/x", cable: "/dev/y" }, 2, "give one of them."],
		[{ port: "/dev/tautline-nothing-here" }, 1, "There is no port /dev/tautline-nothing-here"],
	])("%j", async (values, exitCode, sentence) => {
		const outcome = await simulate.run(values, []);
		expect(outcome.exitCode).toBe(exitCode);
		expect("message" in outcome && outcome.message).toContain(sentence);
	});

	test.skipIf(!hasSocat)("a cable that cannot be made is told", async () => {
		const outcome = await simulate.run({ cable: "/nowhere/at/all" }, []);
		expect(outcome.exitCode).toBe(1);
		expect("message" in outcome && outcome.message).toContain("socat made no cable");
	});

	test("words beyond the options are refused", async () => {
		expect(await simulate.run({ port: "/dev/x" }, ["tour"])).toEqual({
			exitCode: 2,
			message: "'tour' is not expected here.",
		});
	});
});

test("a verb tells its usage when it is asked for help, without a failure", async () => {
	const { exitCode, stdout, stderr } = await runCommand("simulate", "--port", "/dev/x", "--help");
	expect({ exitCode, stdout }).toEqual({ exitCode: 0, stdout: "" });
	expect(stderr).toMatch(/^usage: tautline simulate --port PATH /);
	expect((await runCommand("predict", "--", "--help")).exitCode).toBe(1);
});

test("the faults that it can show are listed, each with what the host should say", async () => {
	const { exitCode, stdout } = await runCommand("simulate", "--fault", "list");
	expect(exitCode).toBe(0);
	const lines = stdout.trimEnd().split("\n");
	expect(lines.length).toBe(Object.keys(simulatedFaults).length);
	for (const line of lines) expect(line).toMatch(/^[a-z-]+ +\S.* The host .*\.$/);
});
