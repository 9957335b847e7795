/** The cable at whose one end a simulated board sits: somebody else's, or one of its own, which it can pull and lock. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { failure, type Result } from "../../../core/result.ts";
import type { Fault } from "../../contract.ts";
import type { LinkClock } from "../link-clock.ts";
import { createSerialTransport } from "../serial-transport.ts";
import type { Connection } from "../transport.ts";

export interface BoardCable {
	/** Where the board is. */
	readonly boardPath: string;
	/** Where the host connects; null where that is not known. */
	readonly hostPath: string | null;
	/** Opens the board's end; `isAgain`: waits until there is one. */
	plug(isAgain: boolean): Promise<Result<Connection, Fault>>;
	/** Lets go of it: with a cable of one's own, the host's end is gone too. */
	pull(connection: Connection): Promise<void>;
	dispose(): Promise<void>;
}

const againEveryMs = 100;

/** A device that is there already. Where its other end goes when this one is let go, only its maker can bring it back. */
export function existingCable(path: string, baudRate: number, clock: LinkClock): BoardCable {
	let isOver = false;
	return {
		boardPath: path,
		hostPath: null,
		async plug(isAgain) {
			for (;;) {
				const opened = await createSerialTransport(path, baudRate).open();
				if (opened.ok || !isAgain || isOver) return opened;
				await new Promise<void>((over) => void clock.after(againEveryMs, over));
			}
		},
		pull: (connection) => connection.close(),
		async dispose() {
			isOver = true;
		},
	};
}

/** A pair of pseudo-terminals made by socat: the host's end is at `hostPath` while the cable is in. */
export async function ownCable(hostPath: string, baudRate: number): Promise<BoardCable> {
	const folder = await mkdtemp(join(tmpdir(), "tautline-cable-"));
	const boardPath = join(folder, "board");
	let socat: ChildProcess | null = null;

	async function plugIn(): Promise<string | null> {
		const end = (path: string) => `pty,raw,echo=0,link=${path}`;
		const child = spawn("socat", ["-d", "-d", end(boardPath), end(hostPath)], {
			stdio: ["ignore", "ignore", "pipe"],
		});
		// A program that ends in mid-fault leaves no cable behind.
		const endCable = () => void child.kill();
		process.once("exit", endCable);
		child.once("exit", () => process.off("exit", endCable));
		const failed = once(child, "error").then(
			([error]) =>
				`socat does not start (${(error as Error).message}): install it, or name a device with --port`,
		);
		const said: string[] = [];
		const ready = (async () => {
			for await (const line of createInterface({ input: child.stderr })) {
				said.push(line);
				if (line.includes("starting data transfer loop")) return null;
			}
			return `socat made no cable: ${said.at(-1) ?? "it said nothing"}`;
		})();
		const why = await Promise.race([failed, ready]);
		if (why !== null) return why;
		child.stderr.resume();
		socat = child;
		return null;
	}

	async function pullOut(): Promise<void> {
		const child = socat;
		socat = null;
		if (child === null || child.exitCode !== null || child.signalCode !== null) return;
		const ended = once(child, "exit");
		child.kill();
		await ended;
	}

	return {
		boardPath,
		hostPath,
		async plug() {
			const why = socat === null ? await plugIn() : null;
			if (why !== null) return failure({ kind: "port-failed", path: hostPath, detail: why });
			return createSerialTransport(boardPath, baudRate).open();
		},
		async pull(connection) {
			await pullOut();
			await connection.close();
		},
		async dispose() {
			await pullOut();
			await rm(folder, { recursive: true, force: true });
		},
	};
}
