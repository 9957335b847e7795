/** Shows an address in a browser of this machine: in a window of its own where the browser can, else as the system
 *  opens web addresses. */
import { spawn } from "node:child_process";
import { findBrowser } from "./find-browser.ts";

/** False where nobody would see a window. */
export function hasDisplay(
	platform: NodeJS.Platform = process.platform,
	env: NodeJS.ProcessEnv = process.env,
): boolean {
	return platform !== "linux" || Boolean(env.DISPLAY) || Boolean(env.WAYLAND_DISPLAY);
}

/** @returns true once a program has taken the address; false when none could be started. */
export async function openWindow(url: string): Promise<boolean> {
	const browser = findBrowser();
	if (browser !== null && (await launch(browser, [`--app=${url}`]))) return true;
	switch (process.platform) {
		case "darwin":
			return launch("open", [url]);
		case "win32":
			return launch("rundll32", ["url.dll,FileProtocolHandler", url]);
		default:
			return launch("xdg-open", [url]);
	}
}

/** A browser that cannot start (as root, without its libraries) ends at once; one that hands over to a running one
 *  ends with 0. */
const STARTED_AFTER_MS = 1500;

function launch(program: string, args: readonly string[]): Promise<boolean> {
	return new Promise((resolve) => {
		const child = spawn(program, args, { detached: true, stdio: "ignore" });
		const timer = setTimeout(() => resolve(true), STARTED_AFTER_MS);
		const settle = (started: boolean): void => {
			clearTimeout(timer);
			resolve(started);
		};
		child.once("error", () => settle(false));
		child.once("exit", (code) => settle(code === 0));
		child.unref();
	});
}
