import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { request } from "node:http";
import { type AddressInfo, createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { afterEach, beforeEach, expect, test } from "vitest";
import { WebSocket } from "ws";
import type { AppState } from "../../app/contract.ts";
import { readWish } from "../../app/start-wish.ts";
import { PictureFlags, readPicturePacket } from "../../core/wire/picture-packet.ts";

const program = fileURLToPath(new URL("../../app/start.ts", import.meta.url));

let folder: string;
const children: ChildProcess[] = [];

beforeEach(() => {
	folder = mkdtempSync(join(tmpdir(), "tautline-start-"));
});

afterEach(async () => {
	for (const child of children.splice(0)) {
		if (child.exitCode !== null || child.signalCode !== null) continue;
		child.kill("SIGKILL");
		await once(child, "exit");
	}
	rmSync(folder, { recursive: true });
});

function start(...flags: string[]): ChildProcess {
	const child = spawn(
		process.execPath,
		[program, "--host", "loopback", "--no-open", "--data", folder, ...flags],
		{
			stdio: ["ignore", "pipe", "pipe"],
		},
	);
	children.push(child);
	return child;
}

/** The first line that holds an address. */
async function addressOf(child: ChildProcess): Promise<URL> {
	for await (const line of createInterface({ input: child.stdout! })) {
		const address = /^Tautline is open at (http:\S+)$/.exec(line)?.[1];
		if (address !== undefined) return new URL(address);
	}
	throw new Error("the program ended without an address");
}

/** Enters as a browser does. */
async function openPipe(address: URL): Promise<WebSocket> {
	const cookie = await new Promise<string>((resolve) => {
		request(address, ({ headers }) => resolve(headers["set-cookie"]?.[0]?.split(";")[0] ?? "")).end();
	});
	const socket = new WebSocket(`ws://${address.host}/pipe`, { headers: { cookie, origin: address.origin } });
	await once(socket, "open");
	return socket;
}

async function errorsOf(child: ChildProcess): Promise<string> {
	let text = "";
	child.stderr?.setEncoding("utf8").on("data", (chunk: string) => {
		text += chunk;
	});
	await once(child, "close");
	return text;
}

test("one command shows a live picture of the simulated band, and a signal ends it cleanly", async () => {
	const child = start();
	const address = await addressOf(child);
	expect(address.hostname).toBe("127.0.0.1");
	const socket = await openPipe(address);
	let state: AppState | null = null;
	const picture = await new Promise<ReturnType<typeof readPicturePacket>>((resolve) => {
		socket.on("message", (data: Buffer, isBinary: boolean) => {
			if (isBinary) resolve(readPicturePacket(Uint8Array.from(data).buffer));
			else state = (JSON.parse(data.toString()) as { state: AppState }).state;
		});
	});
	expect(picture!.flags & PictureFlags.simulated).toBe(PictureFlags.simulated);
	expect(state).toMatchObject({ board: { simulated: true }, storeFault: null, source: { scenario: "tour" } });
	const closed = once(socket, "close");
	child.kill("SIGTERM");
	await closed;
	const [code] = (await once(child, "exit")) as [number];
	expect(code).toBe(0);
});

test.each([
	[["--port", "70000"], "--port takes 0 to 65535, not 70000"],
	[["--port", "x"], "--port takes 0 to 65535, not x"],
	[["--host", "moon"], "--host takes loopback or electron, not moon"],
	[["--wings"], "--wings"],
])("a wrong call is told in one sentence: %j", (flags, sentence) => {
	expect(readWish(flags)).toContain(sentence);
});

test("a call is read as it was meant", () => {
	expect(readWish([])).toMatchObject({ host: null, port: 0, open: true, serialPaths: [] });
	expect(
		readWish(["--no-open", "--port", "4000", "--data", "d", "--serial", "/dev/a", "--serial", "/dev/b"]),
	).toEqual({
		host: null,
		port: 4000,
		dataFolder: "d",
		serialPaths: ["/dev/a", "/dev/b"],
		open: false,
	});
});

test("a port that is taken is named", async () => {
	const other = createServer().listen(0, "127.0.0.1");
	await once(other, "listening");
	const { port } = other.address() as AddressInfo;
	const child = start("--port", String(port));
	expect(await errorsOf(child)).toContain(`Port ${port} is taken`);
	expect(child.exitCode).toBe(1);
	other.close();
});
