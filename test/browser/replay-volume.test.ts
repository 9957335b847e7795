/** A researcher with a recording of two bands: its volume at a moment, cut where one clicks, and its region means as a
 *  file. */
import { readFile } from "node:fs/promises";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { acknowledgeCautions, goTo, screenshot, useApp, waitForPictures } from "./app-under-test.ts";
import { lowContrastTexts, overflow } from "./page-probes.ts";

const scene = useApp();

const working = /(Vastus|Rectus) \w+ changes most: \+\d\d/;

/** Some seconds of two bands, with a contraction among them. @returns s of the recording at which it was */
async function record(page: Page): Promise<number> {
	await goTo(page, "Connect");
	await page.getByLabel("Bands", { exact: true }).fill("2");
	await page.getByLabel("What the person does").selectOption("quad-sets");
	await page.getByRole("button", { name: "Start the simulated band" }).click();
	await goTo(page, "Live");
	await waitForPictures(page, 30);
	await page.getByRole("button", { name: "Record", exact: true }).click();
	const began = Date.now();
	await page
		.locator(".readouts td", { hasText: /\+1\d\.\d/ })
		.first()
		.waitFor();
	await waitForPictures(page, 30);
	const seconds = (Date.now() - began) / 1000;
	await page.getByRole("button", { name: "Stop recording" }).click();
	return seconds;
}

test("a recording's volume is shown at any moment, cut by a click, and written out", async () => {
	const { page, complaints } = await scene.open({ acceptDownloads: true });
	await acknowledgeCautions(page);
	const contraction = await record(page);
	await goTo(page, "Sessions");
	await page.locator(".session-link").first().click();
	await page.getByRole("radio", { name: "Volume" }).check();
	await page.locator(".volume-summary", { hasText: /changes/ }).waitFor();
	await page.getByRole("slider", { name: "Position in the recording" }).fill(String(contraction - 0.5));
	await page.locator(".volume-summary", { hasText: working }).waitFor();

	const section = page.locator(".section-picture .picture-host");
	const box = (await section.boundingBox())!;
	await section.click({ position: { x: box.width / 2 + 20, y: box.height / 2 - 15 } });
	await page.locator(".volume-value", { hasText: "to the front" }).waitFor();
	await screenshot(page, "replay-volume");
	expect(await lowContrastTexts(page)).toEqual([]);
	expect((await overflow(page)).x).toBe(0);

	const coming = page.waitForEvent("download");
	await page.getByRole("button", { name: "Volume CSV" }).click();
	const file = await coming;
	expect(file.suggestedFilename()).toMatch(/^tautline-session-\d+-[\d-]+-volume\.csv$/);
	const rows = (await readFile(await file.path(), "utf8")).trimEnd().split("\r\n");
	expect(rows[0]).toContain("Vastus lateralis [S/m]");
	expect(rows.length).toBeGreaterThan(60);

	// straight to the live volume: it is the board's own
	await goTo(page, "Volume");
	await page.getByRole("heading", { name: "20.0 cm above the knee cap" }).waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});
