/** Finds a browser of the Chromium family on this machine: it can show the app in a window of its own, and the browser
 *  tests drive it. */
import { accessSync, constants, statSync } from "node:fs";
import { homedir } from "node:os";
import { delimiter, join } from "node:path";

export interface Machine {
	readonly platform: NodeJS.Platform;
	readonly env: Readonly<Record<string, string | undefined>>;
	readonly home: string;
	isExecutable(path: string): boolean;
}

/** @returns the program's path; null when there is none. `TAUTLINE_BROWSER` overrides the search. */
export function findBrowser(machine: Machine = thisMachine): string | null {
	const chosen = machine.env.TAUTLINE_BROWSER;
	const candidates = chosen === undefined || chosen === "" ? usualPlaces(machine) : [chosen];
	return candidates.find((path) => machine.isExecutable(path)) ?? null;
}

const commands = [
	"chromium",
	"chromium-browser",
	"google-chrome-stable",
	"google-chrome",
	"chrome",
	"microsoft-edge-stable",
	"microsoft-edge",
	"msedge",
];

/** @returns the path of a command that the shell would find; null when there is none. */
export function findOnPath(command: string, machine: Machine = thisMachine): string | null {
	return pathsOf(command, machine).find((path) => machine.isExecutable(path)) ?? null;
}

function usualPlaces(machine: Machine): string[] {
	return [...commands.flatMap((command) => pathsOf(command, machine)), ...fixedPlaces(machine)];
}

function pathsOf(command: string, { platform, env }: Machine): string[] {
	const folders = (env.PATH ?? env.Path ?? "").split(delimiter).filter((folder) => folder !== "");
	return folders.map((folder) => join(folder, platform === "win32" ? `${command}.exe` : command));
}

function fixedPlaces({ platform, env, home }: Machine): string[] {
	switch (platform) {
		case "darwin":
			return ["/Applications", join(home, "Applications")].flatMap((folder) =>
				["Google Chrome", "Chromium", "Microsoft Edge"].map((name) =>
					join(folder, `${name}.app`, "Contents", "MacOS", name),
				),
			);
		case "win32":
			return [env.PROGRAMFILES, env["PROGRAMFILES(X86)"], env.LOCALAPPDATA]
				.filter((folder) => folder !== undefined)
				.flatMap((folder) => [
					join(folder, "Google", "Chrome", "Application", "chrome.exe"),
					join(folder, "Chromium", "Application", "chrome.exe"),
					join(folder, "Microsoft", "Edge", "Application", "msedge.exe"),
				]);
		default:
			return [
				"/usr/bin/chromium",
				"/usr/bin/google-chrome",
				"/opt/google/chrome/chrome",
				"/snap/bin/chromium",
			];
	}
}

const thisMachine: Machine = {
	platform: process.platform,
	env: process.env,
	home: homedir(),
	isExecutable(path) {
		try {
			accessSync(path, constants.X_OK);
			return statSync(path).isFile();
		} catch {
			return false; // Not there, or not ours to run: the next place is tried.
		}
	},
};
