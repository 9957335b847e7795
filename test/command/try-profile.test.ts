import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { readingsOnDisc } from "../../core/wire/profile/disc-signs.ts";
import { plain } from "../wire/profile/create-profile.ts";
import { runCommand } from "./run-command.ts";

const folder = mkdtempSync(join(tmpdir(), "tautline-profile-"));
afterAll(() => rmSync(folder, { recursive: true }));

function createFile(name: string, text: string): string {
	const path = join(folder, name);
	writeFileSync(path, text);
	return path;
}

const profile = createFile("profile.json", JSON.stringify(plain));

test("reads a log by a profile and prints what came of it", async () => {
	const disc = readingsOnDisc(createPattern(8, "adjacent").terminals, 8);
	const line = Array.from(disc, (value) => (2 * value + 1).toFixed(4)).join(",");
	const log = createFile("log.txt", `${line}\n${line}\n${line},\n1,2\n`);
	const run = await runCommand("try-profile", profile, log);
	expect(run).toMatchObject({ exitCode: 0, stderr: "" });
	const output = JSON.parse(run.stdout) as { agreementWithDisc: number };
	expect(output).toMatchObject({
		lines: 4,
		frames: 3,
		refused: [{ cause: "wrong-count", count: 1 }],
		firstRefused: { number: 4, text: "1,2", fieldCount: 2 },
		unit: "mV",
	});
	expect(output.agreementWithDisc).toBeCloseTo(1, 6);
});

test("says in one sentence what is wrong", async () => {
	const log = createFile("other.txt", "hello\nworld\n");
	const [none, wrong, few] = await Promise.all([
		runCommand("try-profile", profile, log),
		runCommand("try-profile", createFile("wrong.json", JSON.stringify({ ...plain, electrodeCount: 3 })), log),
		runCommand("try-profile", profile),
	]);
	expect(none.exitCode).toBe(1);
	expect(none.stderr).toMatch(/other\.txt: no frame is found/);
	expect(wrong).toMatchObject({ exitCode: 1, stdout: "" });
	expect(wrong.stderr).toMatch(/wrong\.json: electrodeCount: expected 8 to 64 electrodes, got 3/);
	expect(few.exitCode).toBe(2);
});
