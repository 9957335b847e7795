/** Type-checks each folder under its own rules (core sees no Node and no DOM). */
import { spawnSync } from "node:child_process";

let failed = false;
for (const folder of ["core", "app", "renderer", "test"]) {
	const run = spawnSync("tsc", ["-p", folder], { stdio: "inherit", shell: process.platform === "win32" });
	if (run.status !== 0) {
		process.stderr.write(`types: ${folder} failed\n`);
		failed = true;
	}
}
process.exitCode = failed ? 1 : 0;
