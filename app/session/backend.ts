import type { AppState, Reply, RequestName } from "../contract.ts";

/** The whole app behind the contract, free of hosts: both hosts, the command line and tests drive this object. */
export interface Backend {
	/** Validates the argument, does the work and answers; never rejects. An abort settles with `cancelled`. */
	request<K extends RequestName>(name: K, argument: unknown, signal?: AbortSignal): Promise<Reply<K>>;
	/** A fresh value at each change, so that two can be compared by identity. */
	state(): AppState;
	/** Told on every change, at most ten times a second. @returns what ends it. */
	onState(listener: (state: AppState) => void): () => void;
	/** A picture packet (`core/wire/picture-packet.ts`), valid during the call only. @returns what ends it. */
	onPicture(listener: (packet: ArrayBuffer) => void): () => void;
	/** Stops recording and the board's link, writes what is unwritten, ends the worker. Safe twice. */
	dispose(): Promise<void>;
}
