/** A researcher asks what a band can see, what fat does, and tries another strength of the picture. */
import type { Page } from "playwright-core";
import { beforeAll, expect, test } from "vitest";
import {
	acknowledgeCautions,
	goTo,
	screenshot,
	useApp,
	waitForColour,
	waitForPictures,
} from "./app-under-test.ts";

const scene = useApp();
let page: Page;
let complaints: string[];

beforeAll(async () => {
	({ page, complaints } = await scene.open());
	await acknowledgeCautions(page);
});

/** Once on a small bright screen, once on a large dark one. */
async function looks(name: string): Promise<void> {
	await screenshot(page, `${name}-1280-light`);
	await page.setViewportSize({ width: 1920, height: 1080 });
	await page.emulateMedia({ colorScheme: "dark" });
	await screenshot(page, `${name}-1920-dark`);
	await page.setViewportSize({ width: 1280, height: 800 });
	await page.emulateMedia({ colorScheme: "light" });
}

test("the set-up tells what its band can see, and again for other fat", async () => {
	await goTo(page, "Set-up");
	await page.getByRole("radio", { name: "Skinfold" }).check({ force: true });
	expect(await page.getByLabel("Skinfold, over the front").inputValue()).toBe("16");
	await page.getByLabel("Skinfold, over the front").fill("12");
	const sight = page.getByRole("region", { name: "What can this band see?" });
	await sight.scrollIntoViewIfNeeded();
	await sight.getByText("Seen well:").waitFor();
	expect(await sight.getByRole("img", { name: "Amplitude response along the radius" }).count()).toBe(1);
	expect(await sight.getByText("Adler et al.").count()).toBe(1);
	const map = sight.getByRole("img", { name: "Map of the sensitivity" });
	await map.waitFor();
	const fat = sight.getByText(/If the fat is 3 mm thicker, \D* reads \d+\s% lower/);
	await fat.waitFor();
	const thin = Number(/(\d+)\u00a0?%/.exec((await fat.textContent()) ?? "")![1]);
	await map.scrollIntoViewIfNeeded();
	await looks("sight");

	// The same 3 mm are less of a thicker layer.
	await page.getByLabel("Skinfold, over the front").fill("30");
	await sight.getByText("Suppose that 15.0").waitFor();
	await page.waitForFunction(() => document.querySelector(".sight-stale") === null);
	const thick = Number(/(\d+)\u00a0?%/.exec((await fat.textContent()) ?? "")![1]);
	expect(thick).toBeLessThan(thin);
	expect(complaints).toEqual([]);
});

test("another strength is tried beside the one in use, used, recorded, and put back", async () => {
	await goTo(page, "Live");
	await waitForPictures(page, 5);
	await waitForColour(page);
	await page.goto(`${new URL(page.url()).origin}/#/picture`);
	const slider = page.getByLabel("Try a strength");
	await slider.waitFor();
	await slider.fill("-0.5");
	await page.getByText("λ = 0.316").first().waitFor();
	await page.getByRole("img", { name: "at the strength tried" }).waitFor();
	await page.getByRole("button", { name: "Hold this moment" }).click();
	await looks("picture-settings");
	await page.getByRole("radio", { name: "L-curve" }).check({ force: true });
	await screenshot(page, "picture-settings-l-curve");

	await page.getByRole("button", { name: "Use the tried strength" }).click();
	await page.getByText("set by hand").waitFor();
	const making = page.getByRole("region", { name: "How the picture is made" });
	await making.getByRole("radio", { name: "Yes" }).check({ force: true });
	// Once the picture by both is there, both can be taken back.
	const putBack = page.getByRole("button", { name: "Back to the rule’s choice" });
	await putBack.click({ trial: true });

	await goTo(page, "Live");
	await page.getByRole("button", { name: "Record" }).click();
	await waitForPictures(page, 20);
	await page.getByRole("button", { name: "Stop" }).click();
	await goTo(page, "Sessions");
	await page.locator(".session-link").first().click();
	await page.getByRole("link", { name: "Review" }).first().click();
	const facts = page.getByText(/λ = 0.316 set by hand/);
	await facts.waitFor();
	expect(await facts.textContent()).toContain("movement of the skin allowed for");

	await page.goto(`${new URL(page.url()).origin}/#/picture`);
	await putBack.click();
	await page.getByText("chosen by noise figure").waitFor();
	expect(complaints).toEqual([]);
});
