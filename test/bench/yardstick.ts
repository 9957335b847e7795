/** Runs a yardstick script in Debian's or the system's Python, one thread; null where numpy or scipy is missing. */
import { spawnSync } from "node:child_process";
import { join } from "node:path";

const pythons = ["/usr/bin/python3", "python3"];

export function runYardstick(
	script: "matvec.py" | "setup.py",
	args: readonly string[],
): Record<string, number> | null {
	for (const python of pythons) {
		const path = join(import.meta.dirname, "yardstick", script);
		const run = spawnSync(python, [path, ...args], { encoding: "utf8" });
		if (run.status === 0) return JSON.parse(run.stdout) as Record<string, number>;
		if (run.stderr !== null && !run.stderr.includes("ModuleNotFoundError")) process.stderr.write(run.stderr);
	}
	return null;
}
