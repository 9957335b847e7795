import type { Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { APP_VERSION } from "../session/app-version.ts";
import { openStore, type Store } from "../store/store.ts";

/** Opens a record file to look things up; a file that is missing or damaged is left as it is. */
export function openRecords(path: string): Result<Store, Fault> {
	return openStore({
		path,
		mode: "read",
		whenCorrupt: "refuse",
		appVersion: APP_VERSION,
		now: Date.now,
		timers: { setInterval: () => null, clearInterval: () => undefined },
		onFault: () => undefined,
	});
}
