import type { Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { openStore, type Store } from "../store/store.ts";
import { appVersion } from "../version.ts";

/** Opens a record file to look things up; a file that is missing or damaged is left as it is. */
export function openRecords(path: string): Result<Store, Fault> {
	return openStore({
		path,
		mode: "read",
		whenCorrupt: "refuse",
		appVersion,
		now: Date.now,
		timers: { setInterval: () => null, clearInterval: () => undefined },
		onFault: () => undefined,
	});
}
