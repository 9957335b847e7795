import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { type IncomingHttpHeaders, request } from "node:http";
import { connect, createServer } from "node:net";
import { networkInterfaces, tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { WebSocket } from "ws";
import { type LoopbackHost, startLoopbackHost } from "../../app/hosts/loopback.ts";
import { readPicturePacket } from "../../core/wire/picture-packet.ts";
import { createPacket, createPlainBackend, type PlainBackend, plainState } from "./plain-backend.ts";

let folder: string;
let backend: PlainBackend;
let host: LoopbackHost;

beforeEach(async () => {
	folder = mkdtempSync(join(tmpdir(), "tautline-loopback-"));
	writeFileSync(join(folder, "index.html"), "<!doctype html><title>t</title>");
	writeFileSync(join(folder, "main.js"), "export {};");
	writeFileSync(join(folder, "main.js.map"), "{}");
	backend = createPlainBackend();
	const started = await startLoopbackHost({ backend, rendererFolder: folder, port: 0 });
	if (!started.ok) throw new Error(started.error.detail);
	host = started.value;
});

afterEach(async () => {
	await host.dispose();
	rmSync(folder, { recursive: true });
});

interface Answer {
	readonly status: number;
	readonly headers: IncomingHttpHeaders;
	readonly body: string;
}

function ask(path: string, headers: Record<string, string> = {}, method = "GET"): Promise<Answer> {
	return new Promise((resolve, reject) => {
		const asked = request({ host: "127.0.0.1", port: host.port, path, method, headers }, (response) => {
			let body = "";
			response.setEncoding("utf8");
			response.on("data", (chunk: string) => {
				body += chunk;
			});
			response.on("end", () =>
				resolve({ status: response.statusCode ?? 0, headers: response.headers, body }),
			);
		});
		asked.on("error", reject);
		asked.end();
	});
}

function pathOf(url: string): string {
	return url.slice(url.indexOf("/", "http://".length));
}

/** Exchanges the token, as a browser does. */
async function enter(): Promise<string> {
	const { headers } = await ask(pathOf(host.entryUrl));
	return (headers["set-cookie"]?.[0] ?? "").split(";")[0] ?? "";
}

const origin = (): string => `http://127.0.0.1:${host.port}`;

function openSocket(headers: Record<string, string>, path = "/pipe"): WebSocket {
	return new WebSocket(`ws://127.0.0.1:${host.port}${path}`, { headers });
}

async function refusedStatus(socket: WebSocket): Promise<number> {
	socket.on("error", () => undefined);
	const [, response] = (await once(socket, "unexpected-response")) as [unknown, { statusCode: number }];
	return response.statusCode;
}

async function openPipe(): Promise<WebSocket> {
	const socket = openSocket({ cookie: await enter(), origin: origin() });
	await once(socket, "open");
	return socket;
}

describe("the way in", () => {
	test("exchanges the token for a cookie and takes it out of the address", async () => {
		const answer = await ask(pathOf(host.entryUrl));
		expect(answer.status).toBe(303);
		expect(answer.headers.location).toBe("/");
		const cookie = answer.headers["set-cookie"]?.[0] ?? "";
		expect(cookie).toMatch(
			new RegExp(`^tautline-${host.port}=[\\w-]{43}; HttpOnly; SameSite=Strict; Path=/$`),
		);
		expect(host.entryUrl).not.toContain(cookie.split(/[=;]/)[1]);
		const page = await ask("/", { cookie: await enter() });
		expect(page.status).toBe(200);
		expect(page.headers["content-type"]).toBe("text/html; charset=utf-8");
	});

	test("lets a one-time address in once", async () => {
		const path = pathOf(host.createOneTimeUrl());
		expect((await ask(path)).status).toBe(303);
		expect((await ask(path)).status).toBe(401);
	});

	test("has another token at every start", async () => {
		const other = await startLoopbackHost({ backend, rendererFolder: folder, port: 0 });
		if (!other.ok) throw new Error(other.error.detail);
		expect(new URL(other.value.entryUrl).search).not.toBe(new URL(host.entryUrl).search);
		await other.value.dispose();
	});
});

describe("a request is refused", () => {
	test.each(["/", "/main.js", "/index.html"])("without the cookie: %s", async (path) => {
		expect((await ask(path)).status).toBe(401);
	});

	test("with a wrong token", async () => {
		const answer = await ask(`/?token=${"A".repeat(43)}`);
		expect(answer.status).toBe(401);
		expect(answer.headers["set-cookie"]).toBeUndefined();
	});

	test("with a wrong cookie", async () => {
		expect((await ask("/", { cookie: `tautline-${host.port}=${"A".repeat(43)}` })).status).toBe(401);
	});

	test("under another name for this machine", async () => {
		for (const name of [
			`localhost:${host.port}`,
			`evil.example:${host.port}`,
			"127.0.0.1",
			`127.0.0.1:${host.port}.evil.example`,
		]) {
			expect((await ask(pathOf(host.entryUrl), { host: name })).status).toBe(421);
		}
	});

	test("from another origin, even with cookie and token", async () => {
		const cookie = await enter();
		for (const other of [
			"http://evil.example",
			"null",
			`https://127.0.0.1:${host.port}`,
			`${origin()}.evil`,
		]) {
			expect((await ask("/", { cookie, origin: other })).status).toBe(403);
			expect((await ask(pathOf(host.entryUrl), { origin: other })).status).toBe(403);
		}
	});

	test("when the browser says that another site asked", async () => {
		expect((await ask("/", { cookie: await enter(), "sec-fetch-site": "cross-site" })).status).toBe(403);
	});

	test("for anything that is not on the list of files", async () => {
		const cookie = await enter();
		for (const path of [
			"/../package.json",
			"/..%2fpackage.json",
			"/%2e%2e/package.json",
			"/main.js.map",
			"/etc/passwd",
			"//evil.example/",
			"/main.js/",
			"/__proto__",
		]) {
			expect([path, (await ask(path, { cookie })).status]).toEqual([path, path.startsWith("//") ? 400 : 404]);
		}
	});

	test.each(["POST", "PUT", "DELETE", "OPTIONS"])("with %s", async (method) => {
		const answer = await ask("/", { cookie: await enter() }, method);
		expect(answer.status).toBe(405);
		expect(answer.headers["access-control-allow-origin"]).toBeUndefined();
	});

	test("on any address but the loopback one", async () => {
		const outer = Object.values(networkInterfaces())
			.flat()
			.find((address) => address?.family === "IPv4" && !address.internal);
		// 127.0.0.2 is this machine too, but not what we listen on.
		for (const address of [outer?.address, process.platform === "linux" ? "127.0.0.2" : undefined]) {
			if (address === undefined) continue;
			const socket = connect({ host: address, port: host.port });
			const [error] = (await once(socket, "error")) as [NodeJS.ErrnoException];
			expect(error.code).toBe("ECONNREFUSED");
		}
	});
});

test("every answer carries the strict policy", async () => {
	const cookie = await enter();
	for (const answer of [await ask("/", { cookie }), await ask("/"), await ask("/nothing", { cookie })]) {
		const policy = answer.headers["content-security-policy"] ?? "";
		expect(policy).toContain("default-src 'none'");
		expect(policy).toContain("script-src 'self';");
		expect(policy).toContain("style-src 'self';");
		expect(policy).toContain(`connect-src 'self' ws://127.0.0.1:${host.port};`);
		expect(policy).toContain("frame-ancestors 'none'");
		expect(policy).not.toMatch(/unsafe|\*|data:|https?:/);
		expect(answer.headers["x-content-type-options"]).toBe("nosniff");
		expect(answer.headers["referrer-policy"]).toBe("no-referrer");
		expect(answer.headers["cross-origin-resource-policy"]).toBe("same-origin");
		expect(answer.headers["cache-control"]).toBe("no-store");
		expect(answer.headers["access-control-allow-origin"]).toBeUndefined();
	}
});

describe("a socket", () => {
	test("is refused without its own origin, without the cookie, and elsewhere than the pipe", async () => {
		const cookie = await enter();
		expect(await refusedStatus(openSocket({ cookie }))).toBe(403);
		expect(await refusedStatus(openSocket({ cookie, origin: "http://evil.example" }))).toBe(403);
		expect(await refusedStatus(openSocket({ cookie, origin: "null" }))).toBe(403);
		expect(await refusedStatus(openSocket({ origin: origin() }))).toBe(401);
		expect(await refusedStatus(openSocket({ cookie, origin: origin(), host: "evil.example" }))).toBe(421);
		expect(await refusedStatus(openSocket({ cookie, origin: origin() }, "/other"))).toBe(404);
		expect(backend.listenerCount).toBe(0);
	});

	test("carries state and replies as text, pictures as binary", async () => {
		const socket = openSocket({ cookie: await enter(), origin: origin() });
		const [first] = (await once(socket, "message")) as [Buffer];
		expect(JSON.parse(first.toString())).toEqual({ type: "state", state: plainState });
		socket.send(JSON.stringify({ type: "request", id: 4, name: "getState", argument: null }));
		const [reply] = (await once(socket, "message")) as [Buffer];
		expect(JSON.parse(reply.toString())).toEqual({ type: "reply", id: 4, reply: { ok: true, value: null } });
		backend.pushPicture(createPacket(9));
		const [data, isBinary] = (await once(socket, "message")) as [Buffer, boolean];
		expect(isBinary).toBe(true);
		expect(readPicturePacket(Uint8Array.from(data).buffer)?.sequence).toBe(9);
		socket.close();
	});

	test.each([
		["text that is no JSON", "{"],
		["a message that is none of ours", '{"type":"eval"}'],
		["binary", Buffer.from([1, 2, 3])],
	])("is closed after %s", async (_, message) => {
		const socket = await openPipe();
		socket.send(message);
		const [code] = (await once(socket, "close")) as [number];
		expect(code).toBe(1008);
		expect(backend.listenerCount).toBe(0);
	});

	test("is closed after a message beyond the cap", async () => {
		const socket = await openPipe();
		socket.on("error", () => undefined);
		// Only the header of a frame of 321 MiB: the length alone decides. RFC 6455, 5.2: final, text, masked, 64-bit length.
		const header = Buffer.from([0x81, 0xff, 0, 0, 0, 0, 0x14, 0x10, 0, 0, 1, 2, 3, 4]);
		(socket as unknown as { _socket: { write(bytes: Buffer): void } })._socket.write(header);
		const [code] = (await once(socket, "close")) as [number];
		expect(code).toBe(1009);
	});

	test("is closed when it floods", async () => {
		const socket = await openPipe();
		for (let i = 0; i < 600; i++) socket.send('{"type":"drawn","sequence":1}');
		const [code] = (await once(socket, "close")) as [number];
		expect(code).toBe(1008);
	});

	test("is closed when the host stops, and the port is free again", async () => {
		const socket = await openPipe();
		const closed = once(socket, "close");
		await host.dispose();
		await closed;
		expect(backend.listenerCount).toBe(0);
		const next = createServer().listen(host.port, "127.0.0.1");
		await once(next, "listening");
		next.close();
	});
});

test("a port that is taken is told, not thrown", async () => {
	const second = await startLoopbackHost({ backend, rendererFolder: folder, port: host.port });
	expect(second).toMatchObject({ ok: false, error: { kind: "port-taken" } });
});
