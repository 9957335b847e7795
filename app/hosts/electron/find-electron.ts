/** Is the desktop window's program here, and if not, can it be fetched? Never waits long, never asks twice a day. */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";

const ONE_DAY_MS = 24 * 60 * 60 * 1000;
/** Long enough on a good line, short enough for somebody who looks at an empty screen. */
const PATIENCE_MS = 20_000;

/** @returns the program's path; null when the package is missing or its program was never fetched. */
export function findElectron(): string | null {
	const folder = packageFolder();
	if (folder === null) return null;
	const pathFile = join(folder, "path.txt");
	if (!existsSync(pathFile)) return null;
	const program = join(folder, "dist", readFileSync(pathFile, "utf8").trim());
	return existsSync(program) ? program : null;
}

export interface FetchOptions {
	/** Where a failed try is remembered. */
	readonly cacheFolder: string;
	readonly now: number;
	readonly say: (line: string) => void;
	/** The package's own installer when left out. */
	readonly installer?: string;
	readonly patienceMs?: number;
}

/** What came of it: `ready`, `failed` (remembered for a day), `slow` (goes on while the app runs, for the next start)
 *  or `not-tried` (no package, or it failed less than a day ago). */
export type FetchOutcome =
	| { readonly kind: "ready" | "failed" | "not-tried" }
	| { readonly kind: "slow"; readonly stop: () => void };

export async function fetchElectron(options: FetchOptions): Promise<FetchOutcome> {
	const memory = join(options.cacheFolder, "desktop-window-not-fetched");
	const folder = packageFolder();
	const installer = options.installer ?? (folder === null ? null : join(folder, "install.js"));
	if (installer === null || failedLately(memory, options.now)) return { kind: "not-tried" };
	options.say("Fetching the desktop window's program (once, about 110 MB) …");
	const child = spawn(process.execPath, [installer], { stdio: "ignore" });
	const outcome = await settle(child, options.patienceMs ?? PATIENCE_MS);
	if (outcome === "slow") return { kind: "slow", stop: () => child.kill() };
	if (outcome === "ready") {
		rmSync(memory, { force: true });
	} else {
		mkdirSync(options.cacheFolder, { recursive: true });
		writeFileSync(memory, `${options.now}\n`);
	}
	return { kind: outcome };
}

function settle(child: ChildProcess, patienceMs: number): Promise<"ready" | "failed" | "slow"> {
	return new Promise((resolve) => {
		const timer = setTimeout(() => resolve("slow"), patienceMs);
		const done = (outcome: "ready" | "failed"): void => {
			clearTimeout(timer);
			resolve(outcome);
		};
		child.once("error", () => done("failed"));
		child.once("exit", (code) => done(code === 0 ? "ready" : "failed"));
	});
}

function failedLately(memory: string, now: number): boolean {
	if (!existsSync(memory)) return false;
	const age = now - Number(readFileSync(memory, "utf8"));
	return age >= 0 && age < ONE_DAY_MS;
}

function packageFolder(): string | null {
	try {
		return dirname(createRequire(import.meta.url).resolve("electron/package.json"));
	} catch {
		return null; // Installed without development packages: the browser shows the app.
	}
}
