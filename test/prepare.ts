/**
 * What the tests need from the machine besides npm's packages: a Chromium or Chrome for the browser tests, socat for
 * pseudo-terminals and a C compiler for the firmware header. On a Debian machine as root what is missing is installed from the distribution;
 * elsewhere one line says how to get it.
 */
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { findBrowser, findOnPath } from "../app/hosts/find-browser.ts";

/** @returns false when the tests cannot run; the reason is on stderr. */
export function prepareMachine(): boolean {
	const missing = [];
	if (findBrowser() === null) missing.push("chromium");
	if (findOnPath("socat") === null && process.platform === "linux") missing.push("socat");
	if (findOnPath("cc") === null && process.platform === "linux") missing.push("gcc", "libc6-dev");
	if (missing.length > 0 && canInstall()) {
		process.stdout.write(`installing ${missing.join(", ")} from the distribution\n`);
		apt(["update"]);
		apt(["install", "--yes", "--no-install-recommends", ...missing]);
	}
	if (findOnPath("socat") === null) {
		process.stderr.write(
			"socat is missing: tests over a real pseudo-terminal are skipped; install the package 'socat' to run them\n",
		);
	}
	if (findOnPath("cc") === null) {
		process.stderr.write(
			"no C compiler found: the tests of the firmware header are skipped; install one (Debian: apt-get install gcc libc6-dev)\n",
		);
	}
	if (findBrowser() === null) {
		process.stderr.write(
			"no Chromium or Chrome found: install one (Debian: apt-get install chromium) or set TAUTLINE_BROWSER to its path\n",
		);
		return false;
	}
	return true;
}

function canInstall(): boolean {
	return existsSync("/etc/debian_version") && process.getuid?.() === 0;
}

function apt(args: readonly string[]): void {
	const run = spawnSync("apt-get", [...args], {
		stdio: ["ignore", "ignore", "inherit"],
		env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" },
	});
	if (run.status !== 0) process.stderr.write(`apt-get ${args[0]} failed\n`);
}
