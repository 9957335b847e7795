/** A physiotherapist with two bands: the volume is prepared, turned by mouse and keys, cut, found again after a restart;
 *  the graphics card goes and comes, or is missing. */
import type { Browser, Page } from "playwright-core";
import { chromium } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { findBrowser } from "../../app/hosts/find-browser.ts";
import {
	acknowledgeCautions,
	createDataFolder,
	goTo,
	openPage,
	type RunningApp,
	removeDataFolder,
	screenshot,
	startApp,
} from "./app-under-test.ts";
import { lowContrastTexts, overflow } from "./page-probes.ts";

let dataFolder: string;
let app: RunningApp;
let browser: Browser;

beforeAll(async () => {
	dataFolder = createDataFolder();
	[app, browser] = await Promise.all([startApp([], dataFolder), startSoftwareGraphics()]);
});

afterAll(async () => {
	await browser?.close();
	await app?.stop();
	removeDataFolder(dataFolder);
});

/** A headless browser has no graphics card: this one draws in software. */
async function startSoftwareGraphics(): Promise<Browser> {
	const executablePath = findBrowser();
	if (executablePath === null) throw new Error("no Chromium or Chrome found");
	const args = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--no-first-run"];
	if (process.getuid?.() === 0) args.push("--no-sandbox");
	return chromium.launch({ executablePath, args });
}

async function startTwoBands(page: Page): Promise<void> {
	await goTo(page, "Connect");
	await page.getByLabel("Bands", { exact: true }).fill("2");
	await page.getByLabel("What the person does").selectOption("quad-sets");
	await page.getByRole("button", { name: "Start the simulated band" }).click();
}

/** The volume is there, and tells by how much the quadriceps works: the simulated muscles change by 26 to 41 mS/m. */
async function waitForContraction(page: Page): Promise<void> {
	const working = /(Vastus|Rectus) \w+ changes most: \+(2|3|4)\d\./;
	await page.locator(".volume-summary", { hasText: working }).waitFor();
}

/** As a browser whose hardware acceleration is switched off. */
function withoutGraphics(): void {
	const original = HTMLCanvasElement.prototype.getContext;
	HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, ...args: unknown[]) {
		return String(args[0]).startsWith("webgl") ? null : original.apply(this, args as never);
	} as typeof original;
}

const canvas = (page: Page) => page.getByRole("img", { name: /^Thigh in three dimensions/ });

const seenFrom = (page: Page, words: string) => page.getByText(`Seen from the ${words}`, { exact: true });

test("is prepared while the live picture goes on, can be given up, and shows which muscle works", async () => {
	const { page, complaints } = await openPage(browser, app);
	await acknowledgeCautions(page);
	await startTwoBands(page);
	await goTo(page, "Volume");
	await page.getByRole("progressbar", { name: "Preparing the volume" }).waitFor();
	await page.getByRole("button", { name: "Cancel" }).click();
	await page.getByRole("heading", { name: "No volume is prepared" }).waitFor();

	await page.getByRole("button", { name: "Prepare the volume" }).click();
	await waitForContraction(page);
	await screenshot(page, "volume-1280-light");
	expect(await lowContrastTexts(page)).toEqual([]);
	expect(await overflow(page)).toEqual({ x: 0, y: 0 });

	await canvas(page).focus();
	const start = "front, 26° to the lateral side, 26° from above";
	await seenFrom(page, start).waitFor();
	await page.keyboard.press("ArrowDown");
	await seenFrom(page, "front, 26° to the lateral side, 18° from above").waitFor();
	await page.keyboard.press("4");
	await seenFrom(page, "lateral side").waitFor();
	await page.getByRole("button", { name: "Foot", exact: true }).click();
	await page.locator(".volume-seen", { hasText: "Seen from the foot" }).waitFor();
	await screenshot(page, "volume-foot-1280-light");
	await canvas(page).press("Home");
	await seenFrom(page, start).waitFor();

	await page.getByLabel("Height of the cross-section").fill("0.176");
	await page.getByRole("heading", { name: "17.6 cm above the knee cap" }).waitFor();
	await page.getByText("Cross-section between or beyond the bands").waitFor();
	await page.getByRole("button", { name: "Band 2" }).click();
	await page.getByText("Cross-section at band 2").waitFor();

	const box = (await canvas(page).boundingBox())!;
	await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
	await page.mouse.down();
	await page.mouse.move(box.x + box.width / 2 + 120, box.y + box.height / 2 - 30, { steps: 4 });
	await page.mouse.up();
	await expect(page.locator(".volume-seen").textContent()).resolves.toMatch(/lateral side|medial side/);
	await seenFrom(page, start).waitFor({ state: "detached" });
	await page.getByLabel("Surface of equal change", { exact: true }).check();
	for (const plane of ["Lengthwise, front to back", "Lengthwise, side to side"])
		await page.getByLabel(plane, { exact: true }).uncheck();
	await screenshot(page, "volume-surface-1280-light");
	await page.emulateMedia({ colorScheme: "dark", reducedMotion: "reduce" });
	await screenshot(page, "volume-surface-1280-dark");

	await goTo(page, "Live");
	await page.locator(".picture-panel").waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("says what to do where there are no such graphics, and shows the cross-section all the same", async () => {
	const { page, complaints } = await openPage(browser, app, {}, withoutGraphics);
	await goTo(page, "Volume");
	await page.getByRole("alert").filter({ hasText: "no three-dimensional graphics" }).waitFor();
	await page.locator(".volume-summary", { hasText: /changes/ }).waitFor();
	await page.getByRole("heading", { name: "20.0 cm above the knee cap" }).waitFor();
	await screenshot(page, "volume-without-graphics");
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("is found again after a restart, fits large and dark, and comes back when the graphics card was away", async () => {
	await app.stop();
	app = await startApp([], dataFolder);
	const { page, complaints } = await openPage(browser, app, {
		viewport: { width: 1920, height: 1080 },
		colorScheme: "dark",
		reducedMotion: "reduce",
	});
	await startTwoBands(page);
	await goTo(page, "Volume");
	await waitForContraction(page);
	expect(await overflow(page)).toEqual({ x: 0, y: 0 });
	await screenshot(page, "volume-1920-dark");

	await page.evaluate(() => {
		const context = document.querySelector<HTMLCanvasElement>(".volume-canvas")!.getContext("webgl2")!;
		const losing = context.getExtension("WEBGL_lose_context")!;
		losing.loseContext();
		setTimeout(() => losing.restoreContext(), 300);
	});
	await page.getByText("The graphics card was taken away").waitFor();
	await page.getByText("The graphics card was taken away").waitFor({ state: "detached" });
	await screenshot(page, "volume-restored-1920-dark");
	await page.emulateMedia({ colorScheme: "light" });
	expect(await lowContrastTexts(page)).toEqual([]);
	await screenshot(page, "volume-1920-light");
	expect(complaints).toEqual([]);
	await page.context().close();
});
