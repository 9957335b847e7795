import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";

export const hasSocat = spawnSync("socat", ["-V"], { stdio: "ignore" }).status === 0;
if (!hasSocat) {
	console.warn(
		"socat is not installed: tests over real serial devices are left out (apt-get install socat).",
	);
}

/** Two serial devices joined by a cable that can be pulled and plugged in again under the same names. */
export class PtyPair implements AsyncDisposable {
	readonly #folder = mkdtempSync(join(tmpdir(), "tautline-pty-"));
	readonly board = join(this.#folder, "board");
	readonly host = join(this.#folder, "host");
	#cable: ChildProcess | null = null;

	static async create(): Promise<PtyPair> {
		const pair = new PtyPair();
		// Other users may see the devices: whether they may open them is the devices' own matter.
		chmodSync(pair.#folder, 0o755);
		await pair.plug();
		return pair;
	}

	async plug(): Promise<void> {
		const end = (path: string) => `pty,raw,echo=0,link=${path}`;
		const cable = spawn("socat", ["-d", "-d", end(this.board), end(this.host)], {
			stdio: ["ignore", "ignore", "pipe"],
		});
		this.#cable = cable;
		// A test run that is cut short leaves no cable behind.
		const endCable = () => void cable.kill();
		process.once("exit", endCable);
		cable.once("exit", () => process.off("exit", endCable));
		// It says which devices it made, then that data may flow: only then both names are there.
		for await (const line of createInterface({ input: cable.stderr })) {
			if (line.includes("starting data transfer loop")) break;
		}
		cable.stderr.resume();
	}

	async pull(): Promise<void> {
		const cable = this.#cable;
		this.#cable = null;
		if (cable === null || cable.exitCode !== null || cable.signalCode !== null) return;
		const ended = once(cable, "exit");
		cable.kill();
		await ended;
	}

	async [Symbol.asyncDispose](): Promise<void> {
		await this.pull();
		rmSync(this.#folder, { recursive: true, force: true });
	}
}
