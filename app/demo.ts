/**
 * `npm run demo`: opens the app on a clinic of invented people, in a folder of its own. The first time it is made, which
 * takes half a minute; later starts go on with it. `--fresh` makes it anew.
 */
import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { faultSentence } from "./command/fault-sentence.ts";
import { defaultDataFolder } from "./session/data-folder.ts";
import { makeDemoFile } from "./session/demo/demo-file.ts";
import { DEMO_FOLDER } from "./session/switching-backend.ts";
import { readWish, usage } from "./start-wish.ts";

const argv = process.argv.slice(2);
const isFresh = argv.includes("--fresh");
const passed = argv.filter((word) => word !== "--fresh");
const wish = readWish(passed);

/** The app itself, as `npm start` runs it. @returns its exit code */
function runApp(folder: string): Promise<number> {
	const start = join(import.meta.dirname, "start.ts");
	const child = spawn(process.execPath, [start, ...passed, "--data", folder], { stdio: "inherit" });
	const pass = (signal: NodeJS.Signals): void => void child.kill(signal);
	process.on("SIGINT", pass).on("SIGTERM", pass);
	return new Promise((resolve) => {
		child.once("error", () => resolve(1));
		child.once("exit", (code) => resolve(code ?? 0));
	});
}

function show(share: number, what: string): void {
	const line = `Making the demo clinic: ${Math.round(100 * share)} %  ${what}`;
	if (process.stdout.isTTY) process.stdout.write(`\r${line.padEnd(79)}`);
	else if (share === 1 || share * 20 === Math.round(share * 20)) process.stdout.write(`${line}\n`);
}

async function run(folder: string): Promise<number> {
	const path = join(folder, "tautline.sqlite");
	if (isFresh || !existsSync(path)) {
		const made = await makeDemoFile(path, Date.now(), show);
		if (process.stdout.isTTY) process.stdout.write("\n");
		if (!made.ok) {
			process.stderr.write(`${faultSentence(made.error)}\n`);
			return 1;
		}
	}
	process.stdout.write(`Everybody in ${folder} is invented. npm run demo -- --fresh makes them anew.\n`);
	return runApp(folder);
}

if (typeof wish === "string") {
	process.stderr.write(`${wish}\n${usage}\n  --fresh    make the demo clinic anew\n`);
	process.exitCode = 2;
} else {
	const isOwnFolder = passed.some((word) => word === "--data" || word.startsWith("--data="));
	process.exitCode = await run(isOwnFolder ? wish.dataFolder : join(defaultDataFolder(), DEMO_FOLDER));
}
