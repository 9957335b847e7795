/**
 * How the page and the app are joined: messages as objects one way and the other, picture packets as binary. Two hosts,
 * one shape; tests use a third one in memory. See the end of `app/contract.ts` for what each host promises.
 */
import type { ToApp, ToRenderer } from "../app/contract.ts";

export interface Pipe {
	send(message: ToApp): void;
	/** Safe twice; no event follows. */
	close(): void;
}

export interface PipeEvents {
	onMessage(message: ToRenderer): void;
	onBinary(packet: ArrayBuffer): void;
	/** The other side is gone. Called at most once, and not after `close`. */
	onClose(): void;
}

/** Resolves once messages can be sent; rejects with `NoPipe`. */
export type OpenPipe = (events: PipeEvents) => Promise<Pipe>;

/** `absent`: nothing answers. `refused`: an app answers that was started after this page was opened. */
export class NoPipe extends Error {
	readonly kind: "absent" | "refused";

	constructor(kind: NoPipe["kind"]) {
		super(`no pipe: ${kind}`);
		this.kind = kind;
	}
}

declare global {
	interface Window {
		/** Put there by the desktop window's preload script; missing in a browser. */
		readonly tautline?: {
			openPipe(): void;
			/** The page as it prints: a PDF's bytes, or null where none could be made. */
			makePdf(): Promise<unknown>;
		};
	}
}

export function openHostPipe(events: PipeEvents): Promise<Pipe> {
	return window.tautline === undefined ? openSocket(events) : openPort(window.tautline, events);
}

function openSocket(events: PipeEvents): Promise<Pipe> {
	return new Promise((resolve, reject) => {
		const scheme = location.protocol === "https:" ? "wss:" : "ws:";
		const socket = new WebSocket(`${scheme}//${location.host}/pipe`);
		socket.binaryType = "arraybuffer";
		let opened = false;
		let closed = false;
		socket.onopen = () => {
			opened = true;
			resolve({
				send(message) {
					socket.send(JSON.stringify(message));
				},
				close() {
					closed = true;
					socket.close();
				},
			});
		};
		socket.onmessage = (event: MessageEvent<string | ArrayBuffer>) => {
			if (closed) return;
			if (typeof event.data === "string") events.onMessage(JSON.parse(event.data) as ToRenderer);
			else events.onBinary(event.data);
		};
		socket.onclose = () => {
			if (!opened) void whyNoSocket().then((kind) => reject(new NoPipe(kind)));
			else if (!closed) events.onClose();
			closed = true;
		};
	});
}

/** A socket does not tell why it was not opened; a plain request does. */
async function whyNoSocket(): Promise<NoPipe["kind"]> {
	try {
		const { status } = await fetch("/", { method: "HEAD", cache: "no-store" });
		return status === 401 ? "refused" : "absent";
	} catch {
		return "absent";
	}
}

function openPort(host: NonNullable<Window["tautline"]>, events: PipeEvents): Promise<Pipe> {
	return new Promise((resolve) => {
		function take(event: MessageEvent): void {
			const port = event.ports[0];
			if (event.source !== window || event.data !== "tautline-port" || port === undefined) return;
			window.removeEventListener("message", take);
			let closed = false;
			port.onmessage = (message: MessageEvent<ToRenderer | ArrayBuffer>) => {
				if (closed) return;
				if (message.data instanceof ArrayBuffer) events.onBinary(message.data);
				else events.onMessage(message.data);
			};
			port.addEventListener("close", () => {
				if (!closed) events.onClose();
				closed = true;
			});
			port.start();
			resolve({
				send(message) {
					port.postMessage(message);
				},
				close() {
					closed = true;
					port.close();
				},
			});
		}
		window.addEventListener("message", take);
		host.openPipe();
	});
}
