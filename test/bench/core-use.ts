/** How much of a processor core the app takes: two bands of 16 at 30 frames a second each, over a pseudo-terminal, recorded,
 *  pictured in cross-sections and as a volume, sent to two pages. The board and the readers are other processes. */
import { type ChildProcess, fork, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { WebSocket } from "ws";
import { pictureSequence } from "../../core/wire/picture-packet.ts";
import type { CoreUse } from "./core-use-app.ts";
import { atMost, rounded } from "./measure.ts";
import { benchRenderer } from "./renderer-use.ts";

const root = join(import.meta.dirname, "..", "..");
const framesPerSecond = 30;
const spans = 3;
const spanSeconds = 10;
const limit = 1;

export async function benchCoreUse(): Promise<Record<string, unknown>> {
	return {
		"208 readings within each band": await benchBoard([], () => Promise.resolve({})),
		"464 readings of each band, across both": await benchBoard(["--across"], async (entryUrl) => ({
			"in a browser without a window": await benchRenderer(entryUrl),
		})),
	};
}

/** @param more is measured on the app at the end */
async function benchBoard(
	options: readonly string[],
	more: (entryUrl: string) => Promise<Record<string, unknown>>,
): Promise<Record<string, unknown>> {
	const folder = mkdtempSync(join(tmpdir(), "tautline-core-use-"));
	const port = join(folder, "band");
	const wish = ["--cable", port, "--bands", "2", "--fps", String(framesPerSecond), "--scenario", "quad-sets"];
	const board = spawn(process.execPath, ["app/command/main.ts", "simulate", ...wish, ...options], {
		cwd: root,
		stdio: ["ignore", "ignore", "pipe"],
	});
	const app = fork(join(import.meta.dirname, "core-use-app.ts"), [join(folder, "data"), port]);
	const pages: Page[] = [];
	try {
		for await (const line of createInterface({ input: board.stderr })) if (line.includes("answers on")) break;
		board.stderr.resume();
		const { entryUrl } = await tell<{ entryUrl: string }>(app, { do: "prepare" });
		pages.push(await openPage(entryUrl, "sections"), await openPage(entryUrl, "volume"));
		const found: CoreUse[] = [];
		const packets = (): number[] => pages.map((page) => page.packets);
		const before = packets();
		for (let i = 0; i < spans; i++)
			found.push(await tell<CoreUse>(app, { do: "measure", seconds: spanSeconds }));
		const seconds = found.reduce((sum, span) => sum + span.seconds, 0);
		const perSecond = packets().map((count, i) => Math.round((count - before[i]!) / seconds));
		const use = (span: CoreUse): number => span.processor / span.seconds;
		const least = found.reduce((a, b) => (use(b) < use(a) ? b : a));
		for (const page of pages.splice(0)) page.close();
		return {
			"frames recorded a second": Math.round(
				found.reduce((sum, span) => sum + span.framesRecorded, 0) / seconds,
			),
			"pictures and volumes received a second": perSecond,
			"cores in all, least of three spans": atMost(limit, rounded(use(least))),
			"cores, each span": found.map((span) => rounded(use(span))),
			"of these the main thread": rounded(least.mainBusy / least.seconds),
			"main thread collecting garbage": rounded(least.collecting / least.seconds, 2),
			"main thread late ms, 99 of 100": rounded(least.lateMost),
			"main thread late ms, longest": found.map((span) => rounded(span.lateLongest)),
			...(await more(entryUrl)),
		};
	} finally {
		for (const page of pages) page.close();
		for (const child of [app, board]) await end(child);
		rmSync(folder, { recursive: true, force: true });
	}
}

interface Page {
	readonly packets: number;
	close(): void;
}

/** A page that draws nothing, and says at once that it has. */
async function openPage(entryUrl: string, what: "sections" | "volume"): Promise<Page> {
	const { origin, host } = new URL(entryUrl);
	const welcome = await fetch(entryUrl, { redirect: "manual" });
	const cookie = welcome.headers.get("set-cookie")!.split(";")[0]!;
	const socket = new WebSocket(`ws://${host}/pipe`, { headers: { Cookie: cookie, Origin: origin } });
	let packets = 0;
	socket.on("message", (data: Buffer, isBinary) => {
		if (!isBinary) return;
		packets++;
		const sequence = pictureSequence(new DataView(data.buffer, data.byteOffset, data.byteLength));
		socket.send(JSON.stringify({ type: "drawn", sequence }));
	});
	await once(socket, "open");
	socket.send(JSON.stringify({ type: "watch", what }));
	return {
		get packets() {
			return packets;
		},
		close: () => socket.close(),
	};
}

async function tell<T>(app: ChildProcess, message: Record<string, unknown>): Promise<T> {
	app.send(message);
	const [reply] = await Promise.race([
		once(app, "message"),
		once(app, "exit").then(() => {
			throw new Error("core-use: the app ended by itself");
		}),
	]);
	return reply as T;
}

async function end(child: ChildProcess): Promise<void> {
	if (child.exitCode !== null || child.signalCode !== null) return;
	const exited = once(child, "exit");
	if (child.connected) child.disconnect();
	else child.kill();
	await exited;
}
