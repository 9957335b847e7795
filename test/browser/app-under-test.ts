/** Starts the app as a newcomer would (its own process, the loopback host, an empty data folder) and a real browser
 *  on it. Screenshots are kept in test/artefacts so that somebody can look at them. */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll } from "vitest";
import { findBrowser } from "../../app/hosts/find-browser.ts";

const root = join(import.meta.dirname, "..", "..");
export const artefacts = join(root, "test", "artefacts");

export interface RunningApp {
	/** With the token that lets one browser in. */
	readonly entryUrl: string;
	readonly dataFolder: string;
	/** Ends the process and waits for it; `SIGKILL` gives it no chance to tidy up. */
	stop(signal?: "SIGTERM" | "SIGKILL"): Promise<void>;
}

/** @param dataFolder of an earlier run, to find its records again */
export async function startApp(
	args: readonly string[] = [],
	dataFolder = createDataFolder(),
): Promise<RunningApp> {
	const child = spawn(
		process.execPath,
		["app/start.ts", "--host", "loopback", "--no-open", "--data", dataFolder, ...args],
		{ cwd: root, stdio: ["ignore", "pipe", "inherit"] },
	);
	const exited = new Promise<void>((resolve) => child.once("exit", () => resolve()));
	const entryUrl = await readAddress(child);
	return {
		entryUrl,
		dataFolder,
		async stop(signal = "SIGTERM") {
			child.kill(signal);
			await exited;
		},
	};
}

export interface AppUnderTest {
	readonly app: RunningApp;
	readonly browser: Browser;
	readonly dataFolder: string;
	open(options?: BrowserContextOptions): Promise<OpenPage>;
	/** In the same data folder. What a page complains of while its app is gone is its own business. */
	restart(signal: "SIGTERM" | "SIGKILL", between?: () => unknown): Promise<void>;
}

/** One app and one browser for all tests of a file, in a data folder that goes with them.
 *  @param prepare what is in the folder before the app starts, and whatever else must be there; gives more arguments */
export function useApp(
	prepare: (dataFolder: string) => Promise<readonly string[]> | readonly string[] = () => [],
): AppUnderTest {
	const dataFolder = createDataFolder();
	let args: readonly string[] = [];
	let app: RunningApp | null = null;
	let browser: Browser | null = null;
	beforeAll(async () => {
		args = await prepare(dataFolder);
		[app, browser] = await Promise.all([startApp(args, dataFolder), startBrowser()]);
	});
	afterAll(async () => {
		await browser?.close();
		await app?.stop();
		removeDataFolder(dataFolder);
	});
	return {
		get app() {
			return app!;
		},
		get browser() {
			return browser!;
		},
		dataFolder,
		open: (options) => openPage(browser!, app!, options),
		async restart(signal, between = () => {}) {
			await app!.stop(signal);
			await between();
			app = await startApp(args, dataFolder);
		},
	};
}

export function createDataFolder(): string {
	return mkdtempSync(join(tmpdir(), "tautline-walk-"));
}

export function removeDataFolder(folder: string): void {
	rmSync(folder, { recursive: true, force: true });
}

async function readAddress(child: ChildProcess): Promise<string> {
	for await (const line of createInterface({ input: child.stdout! })) {
		const address = /http:\/\/127\.0\.0\.1:\d+\/\S*/.exec(line);
		if (address !== null) return address[0];
	}
	throw new Error("the app ended before it told its address");
}

export async function startBrowser(graphics: readonly string[] = ["--disable-gpu"]): Promise<Browser> {
	const executablePath = findBrowser();
	if (executablePath === null) throw new Error("no Chromium or Chrome found");
	const args = [
		...graphics,
		"--disable-background-networking",
		"--disable-component-update",
		"--disable-sync",
		"--no-first-run",
	];
	// Chromium refuses its sandbox to root.
	if (process.getuid?.() === 0) args.push("--no-sandbox");
	return chromium.launch({ executablePath, args });
}

/** A walk waits for what comes, however busy the machine is; only what never comes fails it. */
const PATIENCE_MILLISECONDS = 100_000;

export interface OpenPage {
	readonly page: Page;
	/** Errors and policy breaches that the page reported: a walk ends with none. */
	readonly complaints: string[];
}

export async function openPage(
	browser: Browser,
	app: RunningApp,
	options: BrowserContextOptions = {},
	/** Runs in the page before anything of ours. */
	prepare: (() => void) | null = null,
): Promise<OpenPage> {
	const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, ...options });
	context.setDefaultTimeout(PATIENCE_MILLISECONDS);
	const page = await context.newPage();
	if (prepare !== null) await page.addInitScript(prepare);
	const complaints: string[] = [];
	page.on("pageerror", (error) => complaints.push(error.message));
	page.on("console", (message) => {
		if (message.type() === "error") complaints.push(message.text());
	});
	await page.goto(app.entryUrl);
	return { page, complaints };
}

/** Does `act`, and resolves once `count` pictures have been drawn since it began. */
export async function waitForPictures(
	page: Page,
	count: number,
	act: () => Promise<unknown> = async () => {},
): Promise<void> {
	await page.waitForFunction(() => window.tautlineLatencies !== undefined);
	await page.evaluate(() => window.tautlineLatencies?.clear());
	await act();
	await page.waitForFunction((least) => (window.tautlineLatencies?.count ?? 0) >= least, count);
}

/** Resolves once at least one in a hundred of the picture's pixels has a clear colour: something changed and is shown. */
export async function waitForColour(page: Page): Promise<void> {
	await page.waitForFunction(() => {
		const canvas = document.querySelector<HTMLCanvasElement>(
			"section[aria-label^='Change in conductivity'] canvas",
		);
		if (canvas === null || canvas.width === 0) return false;
		const { data } = canvas.getContext("2d")!.getImageData(0, 0, canvas.width, canvas.height);
		let coloured = 0;
		for (let i = 0; i < data.length; i += 4) {
			const [r, g, b] = [data[i]!, data[i + 1]!, data[i + 2]!];
			if (data[i + 3]! > 0 && Math.max(r, g, b) - Math.min(r, g, b) > 40) coloured++;
		}
		return coloured > data.length / 400;
	});
}

export async function acknowledgeCautions(page: Page): Promise<void> {
	await page.getByRole("button", { name: "I have read and understood these cautions" }).click();
}

/** Looks around with the simulated band, as the dialog allows. */
export async function postponeCautions(page: Page): Promise<void> {
	await page.getByRole("button", { name: "Not now" }).click();
}

export async function goTo(page: Page, screen: string): Promise<void> {
	await page.getByRole("navigation", { name: "Screens" }).getByRole("link", { name: screen }).click();
}

export async function screenshot(page: Page, name: string): Promise<void> {
	mkdirSync(artefacts, { recursive: true });
	await page.screenshot({ path: join(artefacts, `${name}.png`) });
}

declare global {
	interface Window {
		/** `renderer/draw/latency.ts` */
		tautlineLatencies?: { readonly count: number; recent(): Float64Array; clear(): void };
	}
}
