import { renameSync, rmSync } from "node:fs";
import type { Result } from "../../../core/result.ts";
import type { Fault } from "../../contract.ts";
import { openStore } from "../../store/store.ts";
import { APP_VERSION } from "../app-version.ts";
import { type DemoClinicOptions, fillDemoClinic } from "./demo-clinic.ts";

export interface DemoFileOptions extends Pick<DemoClinicOptions, "people" | "days"> {
	readonly migrationsFolder?: string;
}

/** Makes the demo clinic's records under another name and moves them to `path` once they are whole, so that one that was
 *  broken off is never taken for one. @param today ms since the epoch */
export async function makeDemoFile(
	path: string,
	today: number,
	onProgress: DemoClinicOptions["onProgress"],
	{ migrationsFolder, ...size }: DemoFileOptions = {},
): Promise<Result<null, Fault>> {
	const unfinished = unfinishedDemo(path);
	removeDatabase(unfinished);
	let now = today;
	const opened = openStore({
		path: unfinished,
		mode: "create",
		whenCorrupt: "refuse",
		appVersion: APP_VERSION,
		now: () => now,
		// Batches are written where the clock is turned.
		timers: { setInterval: () => null, clearInterval: () => undefined },
		onFault: () => undefined,
		...(migrationsFolder === undefined ? {} : { migrationsFolder }),
	});
	if (!opened.ok) return opened;
	const setNow = (milliseconds: number): void => {
		now = milliseconds;
	};
	const filled = await fillDemoClinic({ store: opened.value, today, setNow, onProgress, ...size });
	opened.value.dispose();
	if (filled.ok) replaceDatabase(unfinished, path);
	else removeDatabase(unfinished);
	return filled;
}

/** What it is called until it is whole. */
export function unfinishedDemo(path: string): string {
	return `${path}.part`;
}

/** Nobody has either of them open. */
export function replaceDatabase(from: string, to: string): void {
	// A log that an unclean end left beside the old file must not be applied to the new one.
	removeDatabase(to);
	renameSync(from, to);
}

export function removeDatabase(path: string): void {
	for (const end of ["", "-wal", "-shm", "-journal"]) rmSync(path + end, { force: true });
}
