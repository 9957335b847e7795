/** `npm test`: format and lint, types, then unit and integration tests beside walks in a browser; stops at the first
 *  stage that fails, because what follows would only repeat it. */
import { spawn } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { setPriority } from "node:os";
import { join } from "node:path";
import { prepareMachine } from "./prepare.ts";

const root = join(import.meta.dirname, "..");
const artefacts = join(root, "test", "artefacts");
const projects = ["unit", "browser"] as const;
const resultsOf = (project: string): string => join(artefacts, `results-${project}.json`);

interface Stage {
	readonly name: string;
	readonly command: string;
	readonly args: readonly string[];
	/** Its output is shown once it is over, so that it does not mix with that of a stage beside it. */
	readonly isBeside?: boolean;
	/** Takes what the stage beside it leaves of the cores. */
	readonly yields?: boolean;
}

/** A quarter of a core that both want, on Linux: with less, what waits there for real time would starve. */
const SMALLER_SHARE = 5;

async function pass({ name, command, args, isBeside = false, yields = false }: Stage): Promise<boolean> {
	const began = performance.now();
	if (!isBeside) process.stdout.write(`\n— ${name}\n`);
	const run = spawn(command, [...args], {
		cwd: root,
		stdio: ["ignore", isBeside ? "pipe" : "inherit", isBeside ? "pipe" : "inherit"],
		shell: process.platform === "win32",
	});
	if (yields && run.pid !== undefined) setPriority(run.pid, SMALLER_SHARE);
	const said: Buffer[] = [];
	run.stdout?.on("data", (part: Buffer) => said.push(part));
	run.stderr?.on("data", (part: Buffer) => said.push(part));
	const passed = await new Promise<boolean>((resolve) => {
		run.once("error", (error) => {
			said.push(Buffer.from(`${command}: ${error.message}\n`));
			resolve(false);
		});
		run.once("close", (status) => resolve(status === 0));
	});
	const seconds = ((performance.now() - began) / 1000).toFixed(1);
	if (said.length > 0) process.stdout.write(`\n— ${name}\n${Buffer.concat(said).toString()}`);
	process.stdout.write(`— ${name}: ${passed ? "passed" : "FAILED"} in ${seconds} s\n`);
	return passed;
}

/** Walks wait for holds and rests most of their time, but then something real has to happen in time; unit tests are never
 *  in a hurry, and leave no core idle. */
async function passTests(): Promise<boolean> {
	const passed = await Promise.all(
		projects.map((project) =>
			pass({
				name: project === "unit" ? "unit and integration tests" : "walks in a browser",
				command: "vitest",
				args: [
					"run",
					`--project=${project}`,
					"--reporter=default",
					"--reporter=json",
					`--outputFile.json=${resultsOf(project)}`,
				],
				isBeside: project === "browser",
				yields: project === "unit",
			}),
		),
	);
	return passed.every(Boolean);
}

interface Counts {
	numPassedTests: number;
	numFailedTests: number;
	numPendingTests: number;
	numTodoTests: number;
}

function printCounts(): void {
	const counts = projects
		.map(resultsOf)
		.filter((file) => existsSync(file))
		.map((file) => JSON.parse(readFileSync(file, "utf8")) as Counts);
	if (counts.length === 0) {
		process.stdout.write("\nno test ran\n");
		return;
	}
	const sum = (of: (one: Counts) => number): number => counts.reduce((all, one) => all + of(one), 0);
	const skipped = sum((one) => one.numPendingTests + one.numTodoTests);
	process.stdout.write(
		`\nTests: ${sum((one) => one.numPassedTests)} passed, ${sum((one) => one.numFailedTests)} failed, ${skipped} skipped\n`,
	);
}

mkdirSync(artefacts, { recursive: true });
for (const project of projects) rmSync(resultsOf(project), { force: true });
const passed =
	(await pass({ name: "format and lint", command: "biome", args: ["check", "."] })) &&
	(await pass({ name: "types", command: "node", args: ["test/typecheck.ts"] })) &&
	prepareMachine() &&
	(await pass({ name: "build", command: "node", args: ["app/build.ts"] })) &&
	(await passTests());
printCounts();
process.exitCode = passed ? 0 : 1;
