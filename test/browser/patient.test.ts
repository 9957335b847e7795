/** A person's day at home, by keyboard and by touch: today's plan, the band, one set, the end; and what stays locked. */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import {
	acknowledgeCautions,
	openPage,
	type RunningApp,
	removeDataFolder,
	screenshot,
	startApp,
	startBrowser,
} from "./app-under-test.ts";
import { addPerson, openPlan } from "./care-steps.ts";

const PIN = "2468";
let app: RunningApp;
let browser: Browser;
let page: Page;
let complaints: string[];

beforeAll(async () => {
	[app, browser] = await Promise.all([startApp(), startBrowser()]);
	({ page, complaints } = await openPage(browser, app, { hasTouch: true }));
	await acknowledgeCautions(page);
	await addPerson(page, "T-042");
	await openPlan(page);
	await page.getByRole("button", { name: "Add Quad set" }).click();
	await page.getByRole("button", { name: "Save the plan" }).click();
	await page.getByText("Version 1 is saved.").waitFor();
	await page.getByRole("link", { name: "Back to the person" }).click();
});

afterAll(async () => {
	await browser?.close();
	await app?.stop();
	removeDataFolder(app.dataFolder);
});

test("home mode shows the plan alone and keeps the rest locked", async () => {
	await page.getByRole("button", { name: "Home mode" }).click();
	await page.getByLabel("PIN").fill(PIN);
	await page.getByRole("button", { name: "Start home mode" }).click();
	await page.getByRole("heading", { name: "Here is your plan for today." }).waitFor();
	expect(await page.getByRole("navigation").count()).toBe(0);
	expect(await page.getByText("Simulated", { exact: true }).count()).toBe(1);
	await screenshot(page, "home-today");
	for (const address of ["#/people", "#/set-up", "#/sessions"]) {
		await page.evaluate((hash) => {
			location.hash = hash;
		}, address);
		await page.getByRole("heading", { name: "Here is your plan for today." }).waitFor();
	}
	expect(complaints).toEqual([]);
});

test("a set is done from start to finish in five choices, by keyboard alone", async () => {
	let choices = 0;
	const press = async (key: string): Promise<void> => {
		await page.keyboard.press(key);
		choices++;
	};
	await page.getByRole("button", { name: "Start", exact: true }).waitFor();
	await press("Enter");
	await page.getByRole("heading", { name: "Put the band on your left leg" }).waitFor();
	await page.getByText("All pads touch your skin.").waitFor();
	await screenshot(page, "home-band");
	await press("Enter");
	await page.getByRole("heading", { name: "How much does your leg hurt now?" }).waitFor();
	// A second Enter that came too late answers nothing.
	await page.keyboard.press("Enter");
	await page.keyboard.press("Tab");
	await screenshot(page, "home-pain");
	await press("Enter");
	await page.getByRole("heading", { name: "Quad set" }).waitFor();
	await screenshot(page, "home-exercise");
	// It starts by itself; whoever is ready earlier need not wait.
	await page.keyboard.press("Enter");
	await page.getByText("Keep still", { exact: true }).waitFor();
	await page.getByText(/^(Go|Hold)$/).waitFor();
	await screenshot(page, "coach-go");
	await page.keyboard.press(" ");
	await page.getByText("Paused", { exact: true }).waitFor();
	await page.keyboard.press(" ");
	await page.getByText("Paused", { exact: true }).waitFor({ state: "hidden" });
	await page.keyboard.press("Escape");
	await page.getByRole("heading", { name: "How much did it hurt?" }).waitFor();
	await screenshot(page, "coach-pain");
	await page.keyboard.press("Tab");
	await page.keyboard.press("ArrowRight");
	await press("Enter");
	await page.getByRole("heading", { name: "How hard was it?" }).waitFor();
	await page.keyboard.press("Tab");
	await page.keyboard.press("ArrowRight");
	await screenshot(page, "coach-effort");
	await press("Enter");
	await page.getByRole("heading", { name: "You stopped." }).waitFor();
	expect(choices).toBe(5);
	await page.keyboard.press("Enter");
	await page.getByRole("heading", { name: "Well done" }).waitFor();
	await page.keyboard.press("Enter");
	await page.getByRole("heading", { name: "All done for today" }).waitFor();
	await screenshot(page, "home-done");
	expect(complaints).toEqual([]);
});

test("home mode lasts over a reload and ends with the right PIN only", async () => {
	await page.reload();
	await page.getByRole("heading", { name: "All done for today" }).waitFor();
	await page.getByRole("button", { name: "For the therapist" }).tap();
	await page.getByLabel("PIN").fill("1111");
	await page.getByRole("button", { name: "Leave home mode" }).tap();
	await page.getByText("That is not the right PIN.").waitFor();
	await page.getByLabel("PIN").fill(PIN);
	await page.getByRole("button", { name: "Leave home mode" }).tap();
	await page.getByRole("heading", { name: "T-042 (invented)" }).waitFor();
	await page.getByText("1 session", { exact: true }).waitFor();
	expect(complaints).toEqual([]);
});

test("at the clinic an answer that calls for help ends it at once, by touch", async () => {
	await page.getByRole("link", { name: "Start exercises" }).tap();
	await page.getByRole("button", { name: "The band is on" }).tap();
	await page.getByRole("button", { name: /^0/ }).tap();
	await page.getByRole("button", { name: "Start", exact: true }).tap();
	await page.getByRole("button", { name: "Stop" }).tap();
	await page.getByRole("button", { name: "Something else is wrong" }).tap();
	await page.getByRole("checkbox", { name: "Pain in your chest" }).check();
	await screenshot(page, "coach-symptoms");
	await page.getByRole("button", { name: "Report it" }).tap();
	await page.getByRole("heading", { name: "Stop and call for help now" }).waitFor();
	await screenshot(page, "coach-help");
	await page.getByRole("button", { name: "Done" }).tap();
	await page.getByText("2 sessions", { exact: true }).waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("a reference contraction is guided step by step and can be given up", async () => {
	const opened = await openPage(browser, app);
	await opened.page.getByRole("link", { name: "People" }).click();
	await opened.page.getByRole("link", { name: "T-042" }).click();
	await opened.page.getByRole("link", { name: "Take a reference" }).click();
	await opened.page.getByRole("button", { name: "Start", exact: true }).click();
	await opened.page.getByText("Keep still and relax").waitFor();
	await screenshot(opened.page, "reference-rest");
	await opened.page.keyboard.press("Escape");
	await opened.page.getByRole("heading", { name: "Stopped" }).waitFor();
	await opened.page.getByRole("button", { name: "Done" }).click();
	await opened.page.getByText("No reference yet").waitFor();
	expect(opened.complaints).toEqual([]);
	await opened.page.context().close();
});
