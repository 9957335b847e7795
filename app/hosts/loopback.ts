/** Serves the app to a browser on this machine: the renderer's files over HTTP, the page's pipe over a WebSocket.
 *  Listens on 127.0.0.1 only; see `loopback-guard.ts` for who is let in. */
import { randomBytes } from "node:crypto";
import { createServer, type IncomingMessage } from "node:http";
import type { AddressInfo } from "node:net";
import type { Duplex } from "node:stream";
import { type RawData, type WebSocket, WebSocketServer } from "ws";
import { failure, type Result, success } from "../../core/result.ts";
import { LARGEST_PERSON_FILE_BYTES } from "../contract.ts";
import type { Backend } from "../session/backend.ts";
import {
	type Door,
	type Refusal,
	refuseRequest,
	refuseStranger,
	refuseUpgrade,
	secretsMatch,
	securityHeaders,
} from "./loopback-guard.ts";
import { createPage, type Page } from "./page.ts";
import { listStaticFiles } from "./static-files.ts";

export interface LoopbackOptions {
	readonly backend: Backend;
	/** Where `index.html` of the built renderer lies. */
	readonly rendererFolder: string;
	/** 0 lets the system choose. */
	readonly port: number;
}

export interface LoopbackHost {
	readonly port: number;
	/** The address with the token, for people: good until the host stops. */
	readonly entryUrl: string;
	/** An address that works once, for a browser that we start ourselves: its command line can be read by others. */
	createOneTimeUrl(): string;
	/** Closes every page and the port. Safe twice. */
	dispose(): Promise<void>;
}

export type LoopbackFault = { readonly kind: "port-taken" | "listen-failed"; readonly detail: string };

/** Import of a person's record with room for JSON's escapes. */
const LARGEST_MESSAGE_BYTES = 1.25 * LARGEST_PERSON_FILE_BYTES;
/** A page that reads nothing while this much waits for it, besides files that it asked for, is gone. */
const LARGEST_BACKLOG_BYTES = 32 * 1024 * 1024;
/** Larger replies are such files. */
const FILE_CHARACTERS = 1024 * 1024;
/** A page draws at most at the display's rate (240 Hz at the most) and asks a few things besides. */
const MESSAGES_PER_SECOND = 500;
const PIPE_PATH = "/pipe";

const STALE_TOKEN =
	"That address has been used or is from an earlier start. Start Tautline again and open the address it prints.";

interface Answer {
	readonly status: number;
	readonly headers: Readonly<Record<string, string>>;
	readonly body: string | Buffer;
}

const refusalTexts: Record<Refusal, readonly [status: number, text: string]> = {
	"wrong-host": [421, "Tautline answers only at the address that it printed when it started."],
	"wrong-origin": [403, "Tautline does not answer other sites."],
	"cross-site": [403, "Tautline does not answer other sites."],
	"no-cookie": [401, "Open Tautline with the whole address that it printed when it started."],
};

export function startLoopbackHost(options: LoopbackOptions): Promise<Result<LoopbackHost, LoopbackFault>> {
	const { backend } = options;
	const files = listStaticFiles(options.rendererFolder);
	const token = secret();
	const oneTimeTokens = new Set<string>();
	const cookieValue = secret();
	const pages = new Set<Page>();
	const sockets = new WebSocketServer({
		noServer: true,
		maxPayload: LARGEST_MESSAGE_BYTES,
		perMessageDeflate: false,
		clientTracking: true,
	});
	let door: Door | null = null;

	function knowsToken(given: string): boolean {
		for (const oneTime of oneTimeTokens) {
			if (!secretsMatch(given, oneTime)) continue;
			oneTimeTokens.delete(oneTime);
			return true;
		}
		return secretsMatch(given, token);
	}

	function answer(request: IncomingMessage, door: Door): Answer {
		const stranger = refuseStranger(request.headers, door);
		if (stranger !== null) return refusal(...refusalTexts[stranger]);
		if (request.method !== "GET" && request.method !== "HEAD") {
			return refusal(405, "Only GET is answered here.", { Allow: "GET, HEAD" });
		}
		const url = URL.parse(request.url ?? "/", door.origin);
		if (url === null || url.origin !== door.origin) {
			return refusal(400, "That is not an address of Tautline.");
		}
		const given = url.searchParams.get("token");
		if (url.pathname === "/" && given !== null) {
			return knowsToken(given) ? welcome(door) : refusal(401, STALE_TOKEN);
		}
		const refused = refuseRequest(request.headers, door);
		if (refused !== null) return refusal(...refusalTexts[refused]);
		const file = files.get(url.pathname);
		if (file === undefined) return refusal(404, "There is nothing at this address.");
		return { status: 200, headers: { "Content-Type": file.contentType }, body: file.bytes };
	}

	function upgrade(request: IncomingMessage, socket: Duplex, head: Buffer, door: Door): void {
		const refused = refuseUpgrade(request.headers, door);
		const status = refused !== null ? refusalTexts[refused][0] : request.url === PIPE_PATH ? 101 : 404;
		if (status === 101) {
			sockets.handleUpgrade(request, socket, head, (webSocket) => openPage(backend, webSocket, pages));
		} else {
			socket.end(`HTTP/1.1 ${status} Refused\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`);
		}
	}

	const server = createServer({ maxHeaderSize: 16 * 1024 }, (request, response) => {
		if (door === null) {
			response.destroy();
			return;
		}
		const { status, headers, body } = answer(request, door);
		response.writeHead(status, {
			...securityHeaders(door),
			...headers,
			"Content-Length": Buffer.byteLength(body),
		});
		response.end(request.method === "HEAD" ? undefined : body);
	});
	server.on("upgrade", (request, socket, head) => {
		if (door === null) socket.destroy();
		else upgrade(request, socket, head, door);
	});

	async function dispose(): Promise<void> {
		for (const page of pages) page.dispose();
		for (const socket of sockets.clients) socket.close(1001, "Tautline has stopped");
		const closed = new Promise<void>((resolve) => server.close(() => resolve()));
		server.closeAllConnections();
		// Upgraded connections are no longer the server's: a page that does not answer the close is cut off.
		for (const socket of sockets.clients) socket.terminate();
		await closed;
	}

	return new Promise((resolve) => {
		server.once("error", (error: NodeJS.ErrnoException) => {
			const kind = error.code === "EADDRINUSE" || error.code === "EACCES" ? "port-taken" : "listen-failed";
			resolve(failure({ kind, detail: error.message }));
		});
		server.listen({ host: "127.0.0.1", port: options.port, exclusive: true }, () => {
			const { port } = server.address() as AddressInfo;
			const host = `127.0.0.1:${port}`;
			// Cookies do not know ports: the port in the name keeps two running apps apart.
			door = { origin: `http://${host}`, host, cookieName: `tautline-${port}`, cookieValue };
			const urlWith = (value: string): string => `http://${host}/?token=${value}`;
			resolve(
				success({
					port,
					entryUrl: urlWith(token),
					createOneTimeUrl() {
						const oneTime = secret();
						oneTimeTokens.add(oneTime);
						return urlWith(oneTime);
					},
					dispose,
				}),
			);
		});
	});
}

function openPage(backend: Backend, socket: WebSocket, pages: Set<Page>): void {
	let unsentFiles = 0;
	const page = createPage(backend, {
		post(message) {
			if (socket.bufferedAmount - unsentFiles > LARGEST_BACKLOG_BYTES) {
				socket.terminate();
				return;
			}
			const text = JSON.stringify(message);
			if (text.length < FILE_CHARACTERS) {
				socket.send(text);
				return;
			}
			const bytes = Buffer.from(text);
			unsentFiles += bytes.byteLength;
			socket.send(bytes, { binary: false }, () => {
				unsentFiles -= bytes.byteLength;
			});
		},
		postPicture(bytes, sent) {
			socket.send(bytes, { binary: true }, sent);
		},
	});
	pages.add(page);
	const mayGoOn = createRateLimit(MESSAGES_PER_SECOND);
	const shut = (reason: string): void => {
		page.dispose();
		socket.close(1008, reason);
	};
	socket.on("message", (data: RawData, isBinary: boolean) => {
		if (!mayGoOn()) {
			shut("too many messages");
			return;
		}
		const message = isBinary ? undefined : parseJson(data.toString());
		if (message === undefined || !page.receive(message)) shut("not a message of Tautline");
	});
	// Too large a message or a broken frame: `ws` closes the socket itself after telling.
	socket.on("error", () => page.dispose());
	socket.on("close", () => {
		page.dispose();
		pages.delete(page);
	});
}

/** Lets through `perSecond` messages on average and as many in one burst. */
function createRateLimit(perSecond: number): () => boolean {
	let allowance = perSecond;
	let last = performance.now();
	return () => {
		const now = performance.now();
		allowance = Math.min(perSecond, allowance + ((now - last) / 1000) * perSecond);
		last = now;
		allowance -= 1;
		return allowance >= 0;
	};
}

/** @returns undefined for anything that is not JSON. */
function parseJson(text: string): unknown {
	try {
		return JSON.parse(text);
	} catch {
		return undefined;
	}
}

function refusal(status: number, text: string, headers: Readonly<Record<string, string>> = {}): Answer {
	return { status, headers: { ...headers, "Content-Type": "text/plain; charset=utf-8" }, body: `${text}\n` };
}

/** Moves the secret out of the address into a cookie that no script can read and no other site can send. */
function welcome(door: Door): Answer {
	const cookie = `${door.cookieName}=${door.cookieValue}; HttpOnly; SameSite=Strict; Path=/`;
	return { status: 303, headers: { "Set-Cookie": cookie, Location: "/" }, body: "" };
}

function secret(): string {
	return randomBytes(32).toString("base64url");
}
