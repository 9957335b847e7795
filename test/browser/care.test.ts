/** Three users over one record, from an empty database: the physiotherapist sets up a person, a plan and a reference and
 *  runs a session; the person does the plan at home; the physiotherapist reads the progress and prints the report. The
 *  simulated person does what the coach asks, so that repetitions are really counted. */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import {
	acknowledgeCautions,
	artefacts,
	goTo,
	openPage,
	type RunningApp,
	removeDataFolder,
	screenshot,
	startApp,
	startBrowser,
} from "./app-under-test.ts";
import { addPerson, openPlan } from "./care-steps.ts";
import { pagesOf, textOf } from "./pdf-pages.ts";

const PIN = "1357";
const HOLDS = 2;
let app: RunningApp;
let browser: Browser;
let page: Page;
let complaints: string[];

beforeAll(async () => {
	[app, browser] = await Promise.all([startApp(), startBrowser()]);
	({ page, complaints } = await openPage(browser, app));
	await acknowledgeCautions(page);
});

afterAll(async () => {
	await browser?.close();
	await app?.stop();
	removeDataFolder(app.dataFolder);
});

function button(name: string) {
	return page.getByRole("button", { name, exact: true });
}

/** From the question about pain to the end of the only exercise, a keyboard away from it. */
async function doExercise(shot: string, isAlone: boolean): Promise<void> {
	await page.getByRole("button", { name: /^1/ }).first().click();
	// At home it would start by itself after a while.
	await button(isAlone ? "Start now" : "Start").click();
	await page.getByText("Keep still", { exact: true }).waitFor();
	await page.getByText(/^(Go|Hold)$/).waitFor();
	await screenshot(page, shot);
	await page.getByRole("heading", { name: "How much did it hurt?" }).waitFor();
	await page.getByRole("button", { name: /^2/ }).first().click();
	await page.getByRole("heading", { name: "How hard was it?" }).waitFor();
	await page.getByRole("button", { name: /^3/ }).first().click();
}

test("the physiotherapist sets up a person who works when asked, and their plan", async () => {
	await goTo(page, "Connect");
	await page.getByLabel("What the person does").selectOption({ label: "Does what the coach asks" });
	await button("Start the simulated band").click();
	await addPerson(page, "T-061");
	await openPlan(page);
	await button("Add Quad set").click();
	for (const [label, value] of [
		["Sets", "1"],
		["Holds", String(HOLDS)],
		["Hold", "2"],
		["Pause between", "2"],
		["Rest after a set", "5"],
		// Once here, once at home.
		["Times a day", "2"],
	] as const) {
		await page.getByLabel(label, { exact: true }).fill(value);
	}
	await button("Save the plan").click();
	await page.getByText("Version 1 is saved.").waitFor();
	await page.getByRole("link", { name: "Back to the person" }).click();
	await page.getByText("1 set of 2, each held 2 s").waitFor();
	expect(complaints).toEqual([]);
});

test("takes a reference contraction of which engagement becomes a share", async () => {
	await page.getByRole("link", { name: "Take a reference" }).click();
	await page
		.getByRole("group", { name: "Efforts" })
		.getByRole("radio", { name: "1", exact: true })
		.check({ force: true });
	await page
		.getByRole("group", { name: "Rest between" })
		.getByRole("radio", { name: "10 s" })
		.check({ force: true });
	await button("Start").click();
	await page.getByText(/Keep still and relax/).waitFor();
	await page.getByRole("heading", { name: "Reference taken" }).waitFor();
	const row = page.getByRole("row", { name: /^Vastus medialis/ });
	expect(await row.textContent()).toMatch(/mS\/m/);
	await screenshot(page, "care-reference");
	expect(complaints).toEqual([]);
});

test("and one of the hamstrings, without which they are not compared with the quadriceps", async () => {
	await button("Now the back of the thigh").click();
	await page.getByRole("radio", { name: "Back of the thigh" }).waitFor();
	await page
		.getByRole("group", { name: "Efforts" })
		.getByRole("radio", { name: "1", exact: true })
		.check({ force: true });
	await button("Start").click();
	await page.getByText(/Keep still and relax/).waitFor();
	await page.getByText("Press your heel down and back", { exact: true }).waitFor();
	await screenshot(page, "care-hamstring-effort");
	await page.getByRole("heading", { name: "Reference taken" }).waitFor();
	const own = page.getByRole("row", { name: /^Hamstrings/ });
	expect(await own.textContent()).toMatch(/mS\/m/);
	expect(await page.getByRole("row", { name: /^Vastus medialis/ }).textContent()).toContain("not aimed at");
	await screenshot(page, "care-hamstring-reference");
	await button("Done").click();
	await page.getByRole("heading", { name: "Left thigh, hamstrings" }).waitFor();
	await page.getByRole("heading", { name: "Left thigh, quadriceps" }).waitFor();
	expect(complaints).toEqual([]);
});

test("runs a session of the plan at the clinic", async () => {
	await page.getByRole("link", { name: "Start exercises" }).click();
	await button("The band is on").click();
	await doExercise("care-session", false);
	await page.getByRole("heading", { name: "Well done" }).waitFor();
	await screenshot(page, "care-session-end");
	await button("Done").click();
	// The references are two, too.
	await page.getByText("3 sessions", { exact: true }).waitFor();
	expect(complaints).toEqual([]);
});

test("the person does the plan at home, once more that day", async () => {
	await button("Home mode").click();
	await page.getByLabel("PIN").fill(PIN);
	await button("Start home mode").click();
	await page.getByRole("heading", { name: "You have done it once today. Here it is again." }).waitFor();
	await button("Start").click();
	await page.getByText("All pads touch your skin.").waitFor();
	await button("The band is on").click();
	await doExercise("care-home", true);
	await page.getByRole("heading", { name: "Well done" }).waitFor();
	await screenshot(page, "care-home-end");
	await button("Done").click();
	await page.getByRole("heading", { name: "All done for today" }).waitFor();
	await button("For the therapist").click();
	await page.getByLabel("PIN").fill(PIN);
	await button("Leave home mode").click();
	await page.getByText("4 sessions", { exact: true }).waitFor();
	expect(complaints).toEqual([]);
});

test("the physiotherapist reads what both came to", async () => {
	await page.getByRole("link", { name: "Progress" }).click();
	await page.getByText("2 sessions over 1 week").waitFor();
	const repetitions = page.getByRole("region", { name: "Repetitions per set" });
	expect(await repetitions.textContent()).toMatch(/2\.0/);
	// Two sessions are too few to tell noise from progress, and it says so.
	expect(await repetitions.textContent()).toContain("too few neighbouring sessions");
	expect(await page.getByRole("region", { name: "Peak engagement", exact: true }).textContent()).toContain(
		"% of the reference",
	);
	const kept = page.getByRole("region", { name: "Plan kept, by week" });
	expect(await kept.getByRole("row", { name: /^Overall/ }).textContent()).toContain("2 of 2");
	await screenshot(page, "care-progress");
	expect(complaints).toEqual([]);
});

test("and prints the report of the newest", async () => {
	await page.getByRole("link", { name: "T-061" }).click();
	await page.getByRole("region", { name: "Sessions" }).getByRole("link", { name: "Report" }).first().click();
	await page.locator("button:enabled", { hasText: "Print or save as PDF" }).waitFor();
	const sheet = page.locator(".report > .report-page");
	expect(await sheet.first().textContent()).toContain("Measured the same way");
	const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true });
	writeFileSync(join(artefacts, "care-report.pdf"), pdf);
	const { count } = pagesOf(pdf);
	expect(count).toBe(1);
	const text = textOf(pdf, count);
	if (text !== null) {
		for (const part of ["T-061", "Quad set, left", `${HOLDS} of ${HOLDS}`, "Not a diagnosis"]) {
			expect(text).toContain(part);
		}
	}
	await screenshot(page, "care-report");
	expect(complaints).toEqual([]);
});
