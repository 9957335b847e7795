import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, watch } from "node:fs";
import { dirname } from "node:path";
import { findOnPath } from "../../app/hosts/find-browser.ts";

export interface Terminal {
	/** The cable is pulled. */
	unplug(): Promise<void>;
}

/** Resolves once there is something at `path`. */
async function appearance(path: string): Promise<void> {
	const watcher = watch(dirname(path));
	try {
		while (!existsSync(path)) await once(watcher, "change");
	} finally {
		watcher.close();
	}
}

async function start(paths: string[], addresses: string[]): Promise<Terminal> {
	const child: ChildProcess = spawn("socat", addresses, { stdio: "ignore" });
	const ended = once(child, "exit");
	await Promise.race([Promise.all(paths.map(appearance)), ended]);
	if (child.exitCode !== null) throw new Error(`socat ${addresses.join(" ")} ended with ${child.exitCode}`);
	return {
		async unplug() {
			child.kill();
			await ended;
		},
	};
}

/** Pseudo-terminals need socat: where it is missing these tests are skipped. */
export const hasTerminals = findOnPath("socat") !== null;

/** Two ends of one cable. */
export function createTerminalPair(one: string, other: string): Promise<Terminal> {
	return start([one, other], [`PTY,link=${one},raw,echo=0`, `PTY,link=${other},raw,echo=0`]);
}

/** A serial device whose other end is a program's input and output. */
export function createTerminalOf(path: string, command: string): Promise<Terminal> {
	return start([path], [`PTY,link=${path},raw,echo=0`, `EXEC:${command}`]);
}
