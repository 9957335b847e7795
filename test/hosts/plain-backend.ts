import type { AppState, Reply, RequestName } from "../../app/contract.ts";
import type { Backend, PictureListener } from "../../app/session/backend.ts";
import { failure, success } from "../../core/result.ts";
import { picturePacketBytes, writePictureHeader } from "../../core/wire/picture-packet.ts";

/** A backend at the far edge of a host: answers by script, keeps what it was asked. */
export interface PlainBackend extends Backend {
	readonly asked: { readonly name: RequestName; readonly argument: unknown }[];
	pushState(): void;
	pushPicture(packet: ArrayBuffer, isVolume?: boolean): void;
	/** How many pages show volume pictures. */
	readonly watching: number;
	readonly listenerCount: number;
}

const records = { number: 1, isDemo: false, hasOwnBehind: false };

export const plainState = { appVersion: "test", records } as AppState;

/** `listPorts` never settles by itself: for tests of aborts. */
export function createPlainBackend(): PlainBackend {
	const stateListeners = new Set<(state: AppState) => void>();
	const pictureListeners = new Set<PictureListener>();
	let watching = 0;
	const asked: { name: RequestName; argument: unknown }[] = [];
	return {
		asked,
		request<K extends RequestName>(name: K, argument: unknown, signal?: AbortSignal): Promise<Reply<K>> {
			asked.push({ name, argument });
			if (name !== "listPorts") return Promise.resolve(success(argument) as unknown as Reply<K>);
			return new Promise((resolve) => {
				signal?.addEventListener("abort", () => resolve(failure({ kind: "cancelled" })), { once: true });
			});
		},
		state: () => plainState,
		onState(listener) {
			stateListeners.add(listener);
			return () => stateListeners.delete(listener);
		},
		onPicture(listener) {
			pictureListeners.add(listener);
			return () => pictureListeners.delete(listener);
		},
		watchVolume() {
			watching++;
			return () => watching--;
		},
		get watching() {
			return watching;
		},
		pushState() {
			for (const listener of stateListeners) listener(plainState);
		},
		pushPicture(packet, isVolume = false) {
			for (const listener of pictureListeners) listener(packet, isVolume);
		},
		get listenerCount() {
			return stateListeners.size + pictureListeners.size;
		},
		dispose: () => Promise.resolve(),
	};
}

export function createPacket(sequence: number, flags = 0, nNodes = 4): ArrayBuffer {
	const packet = new ArrayBuffer(picturePacketBytes(2, nNodes));
	const header = { geometryId: 1, sequence, bandIndex: 0, flags, timeMicros: sequence * 1e5, receivedAt: 5 };
	writePictureHeader(packet, { ...header, nRegions: 2, nNodes });
	return packet;
}
