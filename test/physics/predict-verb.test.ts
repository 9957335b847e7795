import { spawnSync } from "node:child_process";
import { closeSync, existsSync, mkdtempSync, openSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, describe, expect, test } from "vitest";
import { predict as predictVerb } from "../../app/command/predict.ts";
import { relativeError } from "../outside/forward-cases.ts";

const main = fileURLToPath(new URL("../../app/command/main.ts", import.meta.url));
const reference = fileURLToPath(new URL("../outside/data/disc-concentric.json", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "tautline-predict-"));
afterAll(() => rmSync(folder, { recursive: true }));

function predict(...args: string[]) {
	const { status, stdout, stderr } = spawnSync(process.execPath, [main, "predict", ...args], {
		encoding: "utf8",
	});
	return { status, stdout, stderr };
}

function caseFile(name: string, text: string): string {
	const path = join(folder, name);
	writeFileSync(path, text);
	return path;
}

describe("tautline predict", () => {
	let printed = "";

	test("prints the voltages as JSON and nothing else", () => {
		const { status, stdout, stderr } = predict(reference);
		expect(stderr).toBe("");
		expect(status).toBe(0);
		printed = stdout;
		const { voltages } = JSON.parse(stdout) as { voltages: number[] };
		const expected = JSON.parse(readFileSync(reference, "utf8")) as { voltages: number[] };
		expect(relativeError(Float64Array.from(voltages), Float64Array.from(expected.voltages))).toBeLessThan(
			1e-4,
		);
	});

	test("reads past a byte order mark", () => {
		const marked = caseFile("marked.json", `\uFEFF${readFileSync(reference, "utf8")}`);
		expect(predict(marked).stdout).toBe(printed);
	});

	test.runIf(existsSync("/dev/full"))("says in one sentence that its output cannot be written", () => {
		const full = openSync("/dev/full", "w");
		const { status, stderr } = spawnSync(process.execPath, [main, "predict", reference], {
			encoding: "utf8",
			stdio: ["ignore", full, "pipe"],
		});
		closeSync(full);
		expect(status).toBe(1);
		expect(stderr).toBe("tautline: the output cannot be written (ENOSPC): send it to another place.\n");
	});

	// "constructor" is found in every object
	test.each(["constructor", "nothing"])("%s is no verb", (name) => {
		const { status, stderr } = spawnSync(process.execPath, [main, name], { encoding: "utf8" });
		expect(status).toBe(2);
		expect(stderr.split("\n")[0]).toBe(`tautline: there is no verb '${name}'`);
	});

	test.each([
		[
			"a truncated file",
			() => [caseFile("cut.json", readFileSync(reference, "utf8").slice(0, 300))],
			1,
			"cut.json: expected JSON, got",
		],
		[
			"an absurd file",
			() => [caseFile("absurd.json", '{"dimension":2,"outline":{"type":"circle","radius":1e9}}')],
			1,
			"absurd.json: outline.radius: expected a number of metres from 0.001 to 10, got 1000000000",
		],
		["a file that is not there", () => [join(folder, "none.json")], 1, "none.json cannot be read (ENOENT)"],
		["no file", () => [], 2, "expected one case file, got 0"],
		["two files", () => [reference, reference], 2, "expected one case file, got 2"],
	])("says in one sentence what is wrong with %s", async (_, args, exitCode, sentence) => {
		const outcome = await predictVerb.run({}, args());
		if (outcome.exitCode === 0) throw new Error("not refused");
		expect(outcome.exitCode).toBe(exitCode);
		expect(outcome.message).toContain(sentence);
		expect(outcome.message).not.toContain("\n");
	});

	test("tells it on the error stream alone, with how it is called where the call was wrong", () => {
		const wrong = predict();
		expect([wrong.status, wrong.stdout]).toEqual([2, ""]);
		expect(wrong.stderr).toMatch(/^tautline predict: expected one case file, got 0\nusage: .*\n$/);
		const missing = predict(join(folder, "none.json"));
		expect([missing.status, missing.stdout]).toEqual([1, ""]);
		expect(missing.stderr).toMatch(/^tautline predict: .*none\.json cannot be read \(ENOENT\).*\n$/);
	});
});
