/** `npm test`: format and lint, types, then unit, integration and browser tests; stops at the first stage that
 *  fails, because what follows would only repeat it. */
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { prepareMachine } from "./prepare.ts";

const root = join(import.meta.dirname, "..");
const artefacts = join(root, "test", "artefacts");
const results = join(artefacts, "results.json");

function stage(name: string, command: string, args: readonly string[]): boolean {
	const began = performance.now();
	process.stdout.write(`\n— ${name}\n`);
	const run = spawnSync(command, [...args], {
		cwd: root,
		stdio: "inherit",
		shell: process.platform === "win32",
	});
	const seconds = ((performance.now() - began) / 1000).toFixed(1);
	process.stdout.write(`— ${name}: ${run.status === 0 ? "passed" : "FAILED"} in ${seconds} s\n`);
	return run.status === 0;
}

interface Counts {
	numPassedTests: number;
	numFailedTests: number;
	numPendingTests: number;
	numTodoTests: number;
}

function printCounts(): void {
	if (!existsSync(results)) {
		process.stdout.write("\nno test ran\n");
		return;
	}
	const counts = JSON.parse(readFileSync(results, "utf8")) as Counts;
	const skipped = counts.numPendingTests + counts.numTodoTests;
	process.stdout.write(
		`\nTests: ${counts.numPassedTests} passed, ${counts.numFailedTests} failed, ${skipped} skipped\n`,
	);
}

mkdirSync(artefacts, { recursive: true });
rmSync(results, { force: true });
const passed =
	stage("format and lint", "biome", ["check", "."]) &&
	stage("types", "node", ["test/typecheck.ts"]) &&
	prepareMachine() &&
	stage("build", "node", ["app/build.ts"]) &&
	stage("tests", "vitest", [
		"run",
		"--project=unit",
		"--project=browser",
		"--reporter=default",
		"--reporter=json",
		`--outputFile.json=${results}`,
	]);
printCounts();
process.exitCode = passed ? 0 : 1;
