/**
 * `npm start`: opens the app in a desktop window where Electron's program is there (or can be fetched quickly), else in a
 * browser of this machine, else says at which address it is.
 */
import { spawn } from "node:child_process";
import { join } from "node:path";
import { buildElectron, buildRenderer, electronFolder, rendererFolder } from "./build.ts";
import { fetchElectron, findElectron } from "./hosts/electron/find-electron.ts";
import { saveOnDefect } from "./hosts/last-resort.ts";
import { startLoopbackHost } from "./hosts/loopback.ts";
import { hasDisplay, openWindow } from "./hosts/open-window.ts";
import { createSwitchingBackend } from "./session/switching-backend.ts";
import { readWish, usage, type Wish } from "./start-wish.ts";

function say(line: string): void {
	process.stdout.write(`${line}\n`);
}

/** Runs the desktop window until it is closed. @returns its exit code; null when it could not be started. */
async function runElectron(program: string, wish: Wish): Promise<number | null> {
	await buildElectron(say);
	const startedAt = Date.now();
	const serial = wish.serialPaths.flatMap((path) => ["--serial", path]);
	const child = spawn(program, [join(electronFolder, "main.js"), "--data", wish.dataFolder, ...serial], {
		stdio: "inherit",
	});
	const pass = (signal: NodeJS.Signals): void => void child.kill(signal);
	process.on("SIGINT", pass).on("SIGTERM", pass);
	const code = await new Promise<number | null>((resolve) => {
		child.once("error", () => resolve(null));
		child.once("exit", (exitCode) => resolve(exitCode ?? 0));
	});
	process.off("SIGINT", pass).off("SIGTERM", pass);
	// A window that is gone at once with a failure never was one: libraries are missing, or it may not run as root.
	return code !== null && code !== 0 && Date.now() - startedAt < 5000 ? null : code;
}

async function runLoopback(wish: Wish, stopFetching: () => void): Promise<number> {
	// Started before the page is built: the first picture needs a rest of some two seconds.
	const backend = createSwitchingBackend({ dataFolder: wish.dataFolder, serialPaths: wish.serialPaths });
	saveOnDefect(() => backend.dispose());
	await buildRenderer(say);
	const started = await startLoopbackHost({ backend, rendererFolder, port: wish.port });
	if (!started.ok) {
		await backend.dispose();
		process.stderr.write(
			started.error.kind === "port-taken"
				? `Port ${wish.port} is taken or not allowed. Choose another with --port, or leave it out.\n`
				: `The app could not be served on 127.0.0.1: ${started.error.detail}\n`,
		);
		return 1;
	}
	const host = started.value;
	say(`Tautline is open at ${host.entryUrl}`);
	say("Press Ctrl-C to stop.");
	if (wish.open && hasDisplay() && !(await openWindow(host.createOneTimeUrl()))) {
		say("No browser could be opened: open the address above yourself.");
	}
	await untilToldToStop();
	stopFetching();
	await host.dispose();
	await backend.dispose();
	return 0;
}

/** The second signal does not wait for anything. */
function untilToldToStop(): Promise<void> {
	return new Promise((resolve) => {
		let told = false;
		const stop = (): void => {
			if (told) process.exit(130);
			told = true;
			resolve();
		};
		process.on("SIGINT", stop).on("SIGTERM", stop);
	});
}

async function start(wish: Wish): Promise<number> {
	let stopFetching = (): void => undefined;
	const wantsWindow = wish.host === "electron" || (wish.host === null && wish.open && hasDisplay());
	if (wantsWindow) {
		let program = findElectron();
		if (program === null) {
			const outcome = await fetchElectron({ cacheFolder: wish.dataFolder, now: Date.now(), say });
			if (outcome.kind === "slow") {
				say("That takes long: Tautline opens in your browser, and the fetching goes on for the next start.");
				stopFetching = outcome.stop;
			}
			if (outcome.kind === "failed")
				say("It could not be fetched: Tautline opens in your browser. It is tried again tomorrow.");
			program = findElectron();
		}
		if (program !== null) {
			await buildRenderer(say);
			const code = await runElectron(program, wish);
			if (code !== null) return code;
			say("The desktop window could not be started.");
		}
		if (wish.host === "electron") {
			stopFetching();
			process.stderr.write("There is no desktop window here. Start without --host to use a browser.\n");
			return 1;
		}
	}
	return runLoopback(wish, stopFetching);
}

const wish = readWish(process.argv.slice(2));
if (typeof wish === "string") {
	process.stderr.write(`${wish}\n${usage}\n`);
	process.exitCode = 2;
} else {
	process.exitCode = await start(wish);
}
