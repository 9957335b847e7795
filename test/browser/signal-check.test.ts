/** Whoever starts the app for the first time: from nothing to a good rest baseline in few clicks,
 *  and back to the check when the band is on another leg. */
import { expect, test } from "vitest";
import { goTo, screenshot, useApp } from "./app-under-test.ts";

const scene = useApp();

test("a cold start becomes a good rest baseline within 6 clicks", async () => {
	const { page, complaints } = await scene.open();
	let clicks = 0;
	const press = async (role: "button" | "link", name: string): Promise<void> => {
		await page.getByRole(role, { name }).click();
		clicks++;
	};
	await press("button", "I have read and understood these cautions");
	await press("link", "Check the signal");
	const steps = page.getByRole("listitem").filter({ has: page.getByRole("heading", { level: 2 }) });
	await page.getByText("Taken over").waitFor();
	expect(await steps.allTextContents()).toHaveLength(6);
	for (const text of await steps.allTextContents()) expect(text).toMatch(/Good|Usable/);
	expect(await page.getByText("Simulated", { exact: true }).count()).toBeGreaterThan(0);
	await screenshot(page, "signal-check-1280-light");
	await page.setViewportSize({ width: 1920, height: 1080 });
	await page.emulateMedia({ colorScheme: "dark" });
	await screenshot(page, "signal-check-1920-dark");
	await page.setViewportSize({ width: 1280, height: 800 });
	const overflow = await page.evaluate(
		() => document.documentElement.scrollWidth - document.documentElement.clientWidth,
	);
	expect(overflow).toBeLessThanOrEqual(0);
	await press("link", "To the live picture");
	// By hand: the automatic one would say so.
	await page.getByText(/^Rest baseline (just now|\d+\ss ago)$/).waitFor();
	expect(clicks).toBeLessThanOrEqual(6);

	// All there is to know of the signal is behind its one word.
	await page.getByText(/^Signal (good|fair|poor)$/).click();
	for (const fact of [
		"Frames late",
		"Reciprocity error, median",
		"Contact",
		"Current and gain",
		"Board’s clock",
	]) {
		await page.getByText(fact, { exact: true }).waitFor();
	}
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("a lowered limit holds for the board that is connected, and for what connects next", async () => {
	const { page, complaints } = await scene.open();
	await goTo(page, "Connect");
	await page.getByText("Current limit: 1.00").click();
	await page.getByLabel("Largest current allowed").fill("1.5");
	await page.getByText("Enter a number from 0.05 to 1.").waitFor();
	await page.getByLabel("Largest current allowed").fill("0.5");
	await page.getByRole("button", { name: "Set the limit" }).click();
	await page.getByText(/Current limit: 0\.50/).waitFor();
	await page.getByText(/Limit 0\.50/).waitFor();
	await page
		.getByText(/^0\.50\smA/)
		.first()
		.waitFor();
	await page.getByRole("button", { name: "Start the simulated band" }).click();
	await page
		.getByText(/^Streaming from/)
		.first()
		.waitFor();
	await page.getByText(/Limit 0\.50/).waitFor();
	await page
		.getByText(/^0\.50\smA/)
		.first()
		.waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});
