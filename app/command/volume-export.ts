/** Region means of a session's volumes for the command line, where no app is running: a picture worker of its own, and the
 *  app's kept models where there are some. */
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import type { Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { createSharedStream } from "../pipeline/shared-stream.ts";
import { createVolumeBuilder } from "../pipeline/volume-builder.ts";
import { systemClock } from "../session/clock.ts";
import { collectVolumeMeans } from "../session/volume-means.ts";
import type { VolumeMeans } from "../store/export-volume.ts";
import type { Store } from "../store/store.ts";

/** Tells on standard error how far it is, a line for each tenth. */
const STEP = 0.1;

/** @param db path of the records; the app keeps models beside them */
export async function readVolumeMeans(
	store: Store,
	db: string,
	sessionId: number,
): Promise<Result<VolumeMeans, Fault>> {
	const kept = join(dirname(resolve(db)), "models");
	const folder = existsSync(kept) ? kept : mkdtempSync(join(tmpdir(), "tautline-models-"));
	const builder = createVolumeBuilder(new URL("../pipeline/volume-worker.ts", import.meta.url), folder);
	const stream = createSharedStream(new URL("../pipeline/picture-worker.ts", import.meta.url));
	let told = 0;
	const onShare = (share: number): void => {
		if (share < told + STEP) return;
		told = share;
		process.stderr.write(`Computing volumes: ${Math.round(100 * share)} %\n`);
	};
	try {
		const parts = { store, clock: systemClock, builder, createStream: stream.open };
		return await collectVolumeMeans(parts, sessionId, onShare, new AbortController().signal);
	} finally {
		await builder.dispose();
		await stream.dispose();
		if (folder !== kept) rmSync(folder, { recursive: true, force: true });
	}
}
