/** An electrode that lifts off and is pressed on again, as the person before the screen sees it, live and afterwards. */
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { acknowledgeCautions, goTo, screenshot, useApp } from "./app-under-test.ts";

const scene = useApp();

const views = [
	{ colorScheme: "light", width: 1280, height: 800 },
	{ colorScheme: "dark", width: 1280, height: 800 },
	{ colorScheme: "light", width: 1920, height: 1080 },
	{ colorScheme: "dark", width: 1920, height: 1080 },
] as const;

async function picturesOf(page: Page, name: string): Promise<void> {
	for (const { colorScheme, width, height } of views) {
		await page.setViewportSize({ width, height });
		await page.emulateMedia({ colorScheme });
		// a plot is drawn at most ten times a second
		await page.waitForFunction(() => new Promise((resolve) => setTimeout(() => resolve(true), 300)));
		await screenshot(page, `${name}-${width}-${colorScheme}`);
	}
	await page.setViewportSize({ width: 1280, height: 800 });
}

// The scenario's electrode lifts off 22 s after its start for 3 s, and again for 2 s at 34 s.
test("says which electrode is left out, marks the lines, takes it back, and shows it again in the replay", async () => {
	const { page, complaints } = await scene.open();
	await acknowledgeCautions(page);
	await goTo(page, "Connect");
	await page.getByLabel("What the person does").selectOption({ label: "Poor contact at some electrodes" });
	await page.getByRole("button", { name: "Start the simulated band" }).click();
	await goTo(page, "Live");
	await page.getByRole("button", { name: "Record" }).click();
	const told = page.getByText(
		/^Electrode \d+ is (off|failing): its readings are left out; press or wet it\.$/,
	);
	// at once, for it lasts a few seconds only
	await page.waitForFunction(() => {
		const text = document.body.textContent ?? "";
		return [
			/Electrode \d+ is (off|failing): its readings are left out/,
			/electrode \d+ is left out/,
			/values marked ≈ are estimates/,
		].every((wanted) => wanted.test(text));
	});
	await screenshot(page, "left-out-live");
	const text = (await told.textContent())!;
	await told.waitFor({ state: "detached" });
	await page.getByRole("button", { name: "Stop" }).click();
	await page.getByRole("link", { name: /open/i }).last().click();
	const number = /\d+/.exec(text)![0];
	const marks = page.getByRole("combobox", { name: "Marks" });
	const label = await marks
		.locator("option", { hasText: `Electrode ${number} is left out` })
		.first()
		.getAttribute("value");
	await marks.selectOption(label!);
	await page.getByText(`Electrode ${number} failed here: its readings are left out.`).waitFor();
	await page.getByText("values marked ≈ are estimates").waitFor();
	await picturesOf(page, "left-out-replay");
	expect(complaints).toEqual([]);
	await page.context().close();
});
