/** A backend in a folder of its own, with a board that the test moves: the rest is the real thing. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { vi } from "vitest";
import type { AppState, Replies, RequestArgument, RequestName } from "../../app/contract.ts";
import { type Backend, type BackendOptions, createBackend } from "../../app/session/backend.ts";
import { type PicturePacket, readPicturePacket } from "../../core/wire/picture-packet.ts";
import { createMemorySource, type MemorySource } from "./memory-source.ts";

export interface OpenBackend {
	readonly backend: Backend;
	readonly source: MemorySource;
	readonly folder: string;
	/** Copies of the pictures so far. */
	readonly pictures: PicturePacket[];
	/** The answer's value; throws on a fault. */
	ask<K extends RequestName>(name: K, argument: RequestArgument<K>): Promise<Replies[K]>;
	until(isThere: (state: AppState) => boolean): Promise<AppState>;
	untilPicture(isThere: (picture: PicturePacket) => boolean): Promise<PicturePacket>;
	close(): Promise<void>;
}

export function openBackend(options: Partial<BackendOptions> = {}): OpenBackend {
	const folder = options.dataFolder ?? mkdtempSync(join(tmpdir(), "tautline-backend-"));
	const source = createMemorySource(Date.now);
	const backend = createBackend({ dataFolder: folder, source: source.factory, ...options });
	const pictures: PicturePacket[] = [];
	backend.onPicture((packet) => {
		const copy = readPicturePacket(packet.slice(0));
		if (copy === null) throw new Error("not a picture packet");
		pictures.push(copy);
	});
	return {
		backend,
		source,
		folder,
		pictures,
		async ask(name, argument) {
			const reply = await backend.request(name, argument);
			if (!reply.ok) throw new Error(`${name}: ${JSON.stringify(reply.error)}`);
			return reply.value as never;
		},
		until(isThere) {
			const state = backend.state();
			if (isThere(state)) return Promise.resolve(state);
			return new Promise((resolve) => {
				const stop = backend.onState((next) => {
					if (!isThere(next)) return;
					stop();
					resolve(next);
				});
			});
		},
		untilPicture(isThere) {
			return new Promise((resolve) => {
				const stop = backend.onPicture((packet) => {
					const picture = readPicturePacket(packet.slice(0));
					if (picture === null || !isThere(picture)) return;
					stop();
					resolve(picture);
				});
			});
		},
		async close() {
			await backend.dispose();
			if (options.dataFolder === undefined) rmSync(folder, { recursive: true });
		},
	};
}

/** Looks at the state until it is as wanted: where a test turns the clock no time passes by itself, so none is told. */
export async function untilState(
	{ backend }: Pick<OpenBackend, "backend">,
	isThere: (state: AppState) => boolean,
): Promise<void> {
	await vi.waitUntil(() => isThere(backend.state()), { interval: 2, timeout: 20_000 });
}
