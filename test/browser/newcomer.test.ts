/** Whoever starts the app for the first time: a picture at once, the cautions before anything that could hurt, and
 *  every screen legible in both themes and at both sizes. */
import { expect, test } from "vitest";
import {
	acknowledgeCautions,
	goTo,
	screenshot,
	useApp,
	waitForColour,
	waitForPictures,
} from "./app-under-test.ts";

const scene = useApp();

test("shows a live picture of the simulated band without a click", async () => {
	const { page, complaints } = await scene.open();
	await page.waitForFunction(() => (window.tautlineLatencies?.count ?? 0) >= 1);
	await acknowledgeCautions(page);
	expect(await page.getByText("Simulated", { exact: true }).count()).toBeGreaterThan(0);
	await waitForColour(page);
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("a second page is let in by the token once only, and not without it", async () => {
	const stranger = await scene.browser.newContext();
	const page = await stranger.newPage();
	const response = await page.goto(new URL("/", scene.app.entryUrl).href);
	expect(response?.status()).toBe(401);
	await stranger.close();
});

const views = [
	{ colorScheme: "light", width: 1280, height: 800 },
	{ colorScheme: "dark", width: 1280, height: 800 },
	{ colorScheme: "light", width: 1920, height: 1080 },
	{ colorScheme: "dark", width: 1920, height: 1080 },
] as const;

test.each(views)("every screen fits $width×$height, $colorScheme", async ({ colorScheme, width, height }) => {
	const { page, complaints } = await scene.open({ viewport: { width, height }, colorScheme });
	await waitForPictures(page, 30);
	for (const screen of ["Live", "People", "Sessions", "Set-up", "Connect", "About"]) {
		await goTo(page, screen);
		await page.getByRole("heading", { level: 1 }).waitFor({ state: "attached" });
		if (screen === "Live") await waitForPictures(page, 30);
		const overflow = await page.evaluate(
			() => document.documentElement.scrollWidth - document.documentElement.clientWidth,
		);
		expect(overflow, `${screen} scrolls sideways`).toBeLessThanOrEqual(0);
		expect(
			await page.getByText("Simulated", { exact: true }).count(),
			`${screen} says simulated`,
		).toBeGreaterThan(0);
		await screenshot(page, `${screen.toLowerCase()}-${width}-${colorScheme}`);
	}
	expect(complaints).toEqual([]);
	await page.context().close();
});
