import { renameSync, rmSync } from "node:fs";
import type { Result } from "../../../core/result.ts";
import type { Fault } from "../../contract.ts";
import { openStore } from "../../store/store.ts";
import { APP_VERSION } from "../app-version.ts";
import { type DemoClinicOptions, fillDemoClinic } from "./demo-clinic.ts";

/** Makes the demo clinic's records under another name and moves them to `path` once they are whole, so that one that was
 *  broken off is never taken for one. @param today ms since the epoch */
export async function makeDemoFile(
	path: string,
	today: number,
	onProgress: DemoClinicOptions["onProgress"],
	size: Pick<DemoClinicOptions, "people" | "days"> = {},
): Promise<Result<null, Fault>> {
	const unfinished = `${path}.part`;
	const remove = (): void => {
		for (const end of ["", "-wal", "-shm"]) rmSync(unfinished + end, { force: true });
	};
	remove();
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
	});
	if (!opened.ok) return opened;
	const setNow = (milliseconds: number): void => {
		now = milliseconds;
	};
	const filled = await fillDemoClinic({ store: opened.value, today, setNow, onProgress, ...size });
	opened.value.dispose();
	if (filled.ok) renameSync(unfinished, path);
	else remove();
	return filled;
}
