/** Opens the file named first in the mode named second and prints how it went: the frames of session 1, or the fault. */
import { openStore } from "../../app/store/store.ts";

const [path, mode] = process.argv.slice(2);
const opened = openStore({
	path: path!,
	mode: mode as "create" | "write" | "read",
	whenCorrupt: "set-aside",
	appVersion: "0.0.0-test",
	now: Date.now,
	timers: { setInterval: () => null, clearInterval: () => undefined },
	onFault: () => undefined,
});
const outcome = opened.ok ? opened.value.readFrames(1, 0, 1000) : opened;
process.stdout.write(JSON.stringify(outcome.ok ? { ok: true, value: outcome.value.length } : outcome));
if (opened.ok) opened.value.dispose();
