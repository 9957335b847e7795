import type { ToApp, ToRenderer } from "../../app/contract.ts";
import { NoPipe, type OpenPipe, type PipeEvents } from "../../renderer/pipe.ts";

/** Both ends of a pipe without sockets: a test plays the app, and opens, refuses and cuts connections. */
export interface MemoryApp {
	readonly openPipe: OpenPipe;
	/** What the page has sent over the pipe now open. */
	readonly received: ToApp[];
	readonly openCount: number;
	/** While not null, opening fails. */
	isGone: NoPipe["kind"] | null;
	send(message: ToRenderer): void;
	sendBinary(packet: ArrayBuffer): void;
	/** Cuts the connection from the app's side. */
	cut(): void;
}

export function createMemoryApp(): MemoryApp {
	let events: PipeEvents | null = null;
	let openCount = 0;
	const received: ToApp[] = [];
	return {
		received,
		isGone: null,
		get openCount() {
			return openCount;
		},
		openPipe(next) {
			if (this.isGone !== null) return Promise.reject(new NoPipe(this.isGone));
			events = next;
			openCount++;
			received.length = 0;
			return Promise.resolve({
				send: (message) => received.push(message),
				close: () => {
					events = null;
				},
			});
		},
		send: (message) => events?.onMessage(message),
		sendBinary: (packet) => events?.onBinary(packet),
		cut() {
			const open = events;
			events = null;
			open?.onClose();
		},
	};
}
