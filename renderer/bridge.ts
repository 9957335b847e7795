/**
 * The page's one way to the app: requests that always settle, the app's state, and picture packets; the pipe beneath is
 * opened again whenever it closes.
 */
import type { AppState, Fault, Replies, RequestArgument, RequestName, ToRenderer } from "../app/contract.ts";
import { failure, type Result } from "../core/result.ts";
import { NoPipe, type OpenPipe, type Pipe } from "./pipe.ts";

/** What a request can come back with: the app's faults, and the one that only the page can see. */
export type RequestFault = Fault | { readonly kind: "connection-lost" };
export type Outcome<K extends RequestName> = Result<Replies[K], RequestFault>;

/** `lost`: it is tried again and may come back soon. `closed`: the app has ended, or another start of it answers that does
 *  not know this page; trying goes on, for its new address may be opened in another tab of the same browser. */
export type Connection = "opening" | "open" | "lost" | "closed";

export interface BridgeEvents {
	onState(state: AppState): void;
	onPicture(packet: ArrayBuffer): void;
	onConnection(connection: Connection): void;
}

export interface Bridge {
	/** Never rejects. Aborting settles it with `cancelled` at once and tells the app. */
	request<K extends RequestName>(
		name: K,
		argument: RequestArgument<K>,
		signal?: AbortSignal,
	): Promise<Outcome<K>>;
	/** Tells the app that this picture, and all before it, need no more waiting for. */
	drawn(sequence: number): void;
	/** Which pictures the page shows from now on, over this pipe: a new one begins with sections. */
	watch(what: "sections" | "volume"): void;
	/** Settles what is under way and closes the pipe. Safe twice. */
	dispose(): void;
}

/** Runs `task` after `milliseconds`. @returns a way to call it off. */
export type Delay = (task: () => void, milliseconds: number) => () => void;

const FIRST_RETRY_MILLISECONDS = 250;
const LONGEST_RETRY_MILLISECONDS = 4000;
/** About 8 s: an app that is only busy answers sooner. */
const TRIES_BEFORE_CLOSED = 5;

export function createBridge(openPipe: OpenPipe, events: BridgeEvents, delay: Delay): Bridge {
	const underWay = new Map<number, (outcome: Result<unknown, RequestFault>) => void>();
	let pipe: Pipe | null = null;
	let nextId = 1;
	/** Of the newest state: what is asked is about these. */
	let records: number | undefined;
	let retry = FIRST_RETRY_MILLISECONDS;
	let failedTries = 0;
	let callOffRetry = (): void => {};
	let disposed = false;

	function settleAll(fault: RequestFault): void {
		const settlers = [...underWay.values()];
		underWay.clear();
		for (const settle of settlers) settle(failure(fault));
	}

	function lose(isClosed: boolean): void {
		pipe = null;
		if (disposed) return;
		events.onConnection(isClosed ? "closed" : "lost");
		settleAll({ kind: "connection-lost" });
		callOffRetry = delay(open, retry);
		retry = Math.min(2 * retry, LONGEST_RETRY_MILLISECONDS);
	}

	function open(): void {
		openPipe({ onMessage: take, onBinary: events.onPicture, onClose: () => lose(false) }).then(
			(opened) => {
				if (disposed) {
					opened.close();
					return;
				}
				pipe = opened;
				retry = FIRST_RETRY_MILLISECONDS;
				failedTries = 0;
				events.onConnection("open");
			},
			(reason: unknown) => {
				failedTries++;
				const isRefused = reason instanceof NoPipe && reason.kind === "refused";
				lose(isRefused || failedTries >= TRIES_BEFORE_CLOSED);
			},
		);
	}

	function take(message: ToRenderer): void {
		switch (message.type) {
			case "state":
				records = message.state.records.number;
				events.onState(message.state);
				return;
			case "reply": {
				// An aborted request's reply may still arrive: nobody waits for it.
				const settle = underWay.get(message.id);
				underWay.delete(message.id);
				settle?.(message.reply);
				return;
			}
		}
	}

	events.onConnection("opening");
	open();

	return {
		request<K extends RequestName>(name: K, argument: RequestArgument<K>, signal?: AbortSignal) {
			return new Promise<Outcome<K>>((resolve) => {
				if (signal?.aborted === true) return resolve(failure({ kind: "cancelled" }));
				if (pipe === null) return resolve(failure({ kind: "connection-lost" }));
				const id = nextId++;
				const abort = (): void => {
					underWay.delete(id);
					pipe?.send({ type: "abort", id });
					resolve(failure({ kind: "cancelled" }));
				};
				signal?.addEventListener("abort", abort, { once: true });
				underWay.set(id, (outcome) => {
					signal?.removeEventListener("abort", abort);
					// The contract's table ties a reply's type to the request's name.
					resolve(outcome as Outcome<K>);
				});
				pipe.send({ type: "request", id, name, argument, records });
			});
		},
		drawn(sequence) {
			pipe?.send({ type: "drawn", sequence });
		},
		watch(what) {
			pipe?.send({ type: "watch", what });
		},
		dispose() {
			if (disposed) return;
			disposed = true;
			callOffRetry();
			pipe?.close();
			pipe = null;
			settleAll({ kind: "cancelled" });
		},
	};
}
