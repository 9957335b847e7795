/** `npm run bench [-- PART …]`: prints one JSON object on stdout. Ratios are the figures to compare; times depend on
 *  the machine and on what else it does. A figure with a limit says whether it passes; one that does not makes the exit
 *  code 1. */
import { benchCoreUse } from "./core-use.ts";
import { benchFrame } from "./frame.ts";
import { benchHistory } from "./history.ts";
import { benchLatency } from "./latency.ts";
import { benchLost } from "./lost.ts";
import { benchParser } from "./parser.ts";
import { benchSetup } from "./setup.ts";
import { benchStore } from "./store.ts";
import { benchVolume } from "./volume.ts";

const parts: Record<string, () => unknown> = {
	setup: benchSetup,
	frame: benchFrame,
	lost: benchLost,
	volume: benchVolume,
	parser: benchParser,
	store: benchStore,
	history: benchHistory,
	"core-use": benchCoreUse,
	latency: benchLatency,
};

const wanted = process.argv.slice(2);
const unknown = wanted.filter((name) => !(name in parts));
if (unknown.length > 0) {
	process.stderr.write(`bench: no part ${unknown.join(", ")}; there are ${Object.keys(parts).join(", ")}\n`);
	process.exitCode = 2;
} else {
	const results: Record<string, unknown> = {};
	for (const [name, run] of Object.entries(parts)) {
		if (wanted.length > 0 && !wanted.includes(name)) continue;
		process.stderr.write(`${name} …\n`);
		results[name] = await run();
	}
	process.stdout.write(`${JSON.stringify(results, null, 2)}\n`);
	const failed = failures(results);
	for (const path of failed) process.stderr.write(`over its limit: ${path}\n`);
	if (failed.length > 0) process.exitCode = 1;
}

/** Paths of figures that do not pass. */
function failures(part: unknown, path = ""): string[] {
	if (typeof part !== "object" || part === null) return [];
	if ("passes" in part && part.passes === false) return [path];
	return Object.entries(part).flatMap(([name, one]) =>
		failures(one, path === "" ? name : `${path}, ${name}`),
	);
}
