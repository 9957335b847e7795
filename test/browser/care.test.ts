/** Three users over one record, from an empty database: the physiotherapist sets up a person, a plan and a reference and
 *  runs a session; the person does the plan at home; the physiotherapist reads the progress and prints the report. The
 *  simulated person does what the coach asks, so that repetitions are really counted. */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { beforeAll, expect, test } from "vitest";
import { acknowledgeCautions, artefacts, screenshot, useApp } from "./app-under-test.ts";
import { addPerson, connectFollower, planQuadSets } from "./care-steps.ts";
import { letterMinutes, listenForNotes, notesOf } from "./page-probes.ts";
import { pagesOf, textOf } from "./pdf-pages.ts";

const PIN = "1357";
const HOLDS = 2;
/** Preferred height of letters, minutes of arc: ISO 9241-303 (2011), 20 to 22 (from memory). */
const READABLE_MINUTES = 20;

const scene = useApp();
let page: Page;
let complaints: string[];

beforeAll(async () => {
	({ page, complaints } = await scene.open({ hasTouch: true }));
	await acknowledgeCautions(page);
});

function button(name: string) {
	return page.getByRole("button", { name, exact: true });
}

/** What must be read from three metres, as if the window were a whole screen of 24 inches. */
async function expectReadableFromFar(...selectors: readonly string[]): Promise<void> {
	await page.setViewportSize({ width: 1920, height: 1080 });
	for (const selector of selectors) {
		expect(await letterMinutes(page, selector), selector).toBeGreaterThanOrEqual(READABLE_MINUTES);
	}
	await page.setViewportSize({ width: 1280, height: 800 });
}

const cue = (text: string | RegExp) => page.locator(".coach-cue", { hasText: text });

async function answerQuestions(): Promise<void> {
	await page.getByRole("heading", { name: "How much did it hurt?" }).waitFor();
	await page.getByRole("button", { name: /^2/ }).first().click();
	await page.getByRole("heading", { name: "How hard was it?" }).waitFor();
	await page.getByRole("button", { name: /^3/ }).first().click();
}

test("the physiotherapist sets up a person who works when asked, and their plan", async () => {
	await connectFollower(page);
	await addPerson(page, "T-061");
	await planQuadSets(page, {
		Sets: "1",
		Holds: String(HOLDS),
		Hold: "3",
		"Pause between": "1",
		// Once here, once at home.
		"Times a day": "2",
	});
	await page.getByText("1 set of 2, each held 3 s").waitFor();
	expect(complaints).toEqual([]);
});

test("takes a reference contraction of which engagement becomes a share, once the first one was given up", async () => {
	await page.getByRole("link", { name: "Take a reference" }).click();
	await page.getByRole("radio", { name: "1", exact: true }).check();
	await page.getByRole("radio", { name: "10 s" }).check();
	await button("Start").click();
	await page.getByText("Keep still and relax").waitFor();
	await screenshot(page, "reference-rest");
	await page.keyboard.press("Escape");
	await page.getByRole("heading", { name: "Stopped" }).waitFor();
	await button("Take it again").click();
	await page.getByRole("radio", { name: "1", exact: true }).check();
	await button("Start").click();
	await page.locator(".guided-contract").waitFor();
	await screenshot(page, "reference-effort");
	await page.getByRole("heading", { name: "Reference taken" }).waitFor();
	const row = page.getByRole("row", { name: /^Vastus medialis/ });
	expect(await row.textContent()).toMatch(/mS\/m/);
	await screenshot(page, "care-reference");
	// One of the hamstrings is offered next.
	await button("Now the back of the thigh").click();
	await page.getByRole("radio", { name: "Back of the thigh", checked: true }).waitFor();
	await page.goBack();
	await page.getByRole("heading", { name: "Left thigh, quadriceps" }).waitFor();
	expect(complaints).toEqual([]);
});

test("runs a session of the plan at the clinic: a target is shown, and tones lead, by touch and over a reload", async () => {
	await listenForNotes(page);
	await page.reload();
	await page.getByRole("link", { name: "Start exercises" }).tap();
	await button("The band is on").tap();
	await page.getByRole("button", { name: /^1/ }).first().tap();
	await button("Start").tap();
	await cue("Keep still").waitFor();
	await page.getByText("Aim here").waitFor();
	// Nothing sounds before somebody wants it.
	await page.getByRole("button", { name: "Tones off" }).tap();
	expect(await notesOf(page)).toEqual([]);
	await page.getByText("Good", { exact: true }).waitFor();
	await expectReadableFromFar(
		".coach-cue",
		".ring-number",
		".coach-count-number",
		".coach-next",
		".coach-gauge-words",
	);
	const tube = (await page.locator(".gauge-back").boundingBox())!;
	const target = (await page.locator(".gauge-target").boundingBox())!;
	expect(target.width).toBeGreaterThan(1.2 * tube.width);
	expect(target.height).toBeGreaterThan(0.2 * tube.height);
	await screenshot(page, "coach-go");
	await screenshot(page, "care-session");
	await cue("Let go").waitFor();
	const notes = await notesOf(page);
	// Start, then two notes for the hold that was reached; see `coach-tones.ts`.
	const hertz = notes.map((note) => Math.round(note.hertz));
	expect(hertz).toContain(660);
	expect(hertz.slice(-2)).toEqual([523, 392]);
	expect(notes.every((note) => note.wasPressed && note.isRunning)).toBe(true);

	// The set would be over before a slow page is there again.
	await page.getByRole("button", { name: "Pause" }).tap();
	await cue("Paused").waitFor();
	await page.reload();
	await cue("Paused").waitFor();
	expect(await page.getByText("Holds: 1 of 2").count()).toBe(1);
	// A page that nobody has touched stays silent rather than sound everything at the first touch.
	expect(await notesOf(page)).toEqual([]);
	await page.getByRole("button", { name: "Go on" }).tap();
	await answerQuestions();
	await page.getByRole("heading", { name: "Well done" }).waitFor();
	await screenshot(page, "care-session-end");
	const later = await notesOf(page);
	expect(later.every((note) => note.isRunning)).toBe(true);
	// The set's end, then the exercise's: rising by two, and by three.
	expect(later.slice(-5).map((note) => Math.round(note.hertz))).toEqual([523, 659, 523, 659, 784]);
	await button("Done").tap();
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
	await page.getByRole("button", { name: /^1/ }).first().click();
	// It would start by itself after a while.
	await button("Start now").click();
	await cue(/^(Go|Hold)$/).waitFor();
	await screenshot(page, "care-home");
	await answerQuestions();
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
