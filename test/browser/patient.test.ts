/** A person's day at home and at the clinic, by keyboard and by touch: today's plan, the band, whole sets, the end; what
 *  stays locked, and what comes of pain, of a band that is lost and of a page that is reloaded. */
import type { Page } from "playwright-core";
import { beforeAll, expect, test } from "vitest";
import { acknowledgeCautions, screenshot, useApp } from "./app-under-test.ts";
import { addPerson, connectFollower, planQuadSets } from "./care-steps.ts";
import { lowContrastTexts, moved, overflow, smallTargets, watchLayout } from "./page-probes.ts";

const PIN = "2468";

const usual = { width: 1280, height: 800 };
const sizes = [{ width: 1024, height: 768 }, { width: 1920, height: 1080 }, usual] as const;

const scene = useApp();
let page: Page;
let complaints: string[];

beforeAll(async () => {
	({ page, complaints } = await scene.open({ hasTouch: true }));
	await acknowledgeCautions(page);
	await connectFollower(page);
	await addPerson(page, "T-042");
	await planQuadSets(page, { Sets: "1", Holds: "2", Hold: "3", "Pause between": "2" });
});

/** What a person with poor eyes or an unsteady hand needs, in both themes and every size of window. */
async function expectReadable(name: string): Promise<void> {
	for (const size of sizes) {
		await page.setViewportSize(size);
		const { x, y } = await overflow(page);
		expect([x, y], `${name} at ${size.width}`).toEqual([0, 0]);
		expect(await smallTargets(page), `${name} at ${size.width}`).toEqual([]);
	}
	for (const colorScheme of ["dark", "light"] as const) {
		// without transitions, which would be caught on their way
		await page.emulateMedia({ colorScheme, reducedMotion: "reduce" });
		await expect.poll(() => lowContrastTexts(page), { message: `${name}, ${colorScheme}` }).toEqual([]);
		await screenshot(page, colorScheme === "dark" ? `${name}-dark` : name);
	}
}

async function expectFocusShown(): Promise<void> {
	const outline = await page.evaluate(() => {
		const { outlineStyle, outlineWidth } = getComputedStyle(document.activeElement!);
		return outlineStyle === "none" ? 0 : Number.parseFloat(outlineWidth);
	});
	expect(outline).toBeGreaterThanOrEqual(2);
}

const cue = (text: string | RegExp) => page.locator(".coach-cue", { hasText: text });

test("home mode shows the plan alone and keeps the rest locked", async () => {
	await page.getByRole("button", { name: "Home mode" }).click();
	await page.getByLabel("PIN").fill(PIN);
	await page.getByRole("button", { name: "Start home mode" }).click();
	await page.getByRole("heading", { name: "Here is your plan for today." }).waitFor();
	expect(await page.getByRole("navigation").count()).toBe(0);
	expect(await page.getByText("Simulated", { exact: true }).count()).toBe(1);
	await expectReadable("home-today");
	for (const address of ["#/people", "#/set-up", "#/sessions"]) {
		await page.evaluate((hash) => {
			location.hash = hash;
		}, address);
		await page.getByRole("heading", { name: "Here is your plan for today." }).waitFor();
	}
	expect(complaints).toEqual([]);
});

test("much pain before the start begins nothing, and says what to do", async () => {
	await page.getByRole("button", { name: "Start", exact: true }).tap();
	await page.getByRole("button", { name: "The band is on" }).tap();
	await page.getByRole("button", { name: /^8/ }).tap();
	await page.getByRole("heading", { name: "No more exercise today" }).waitFor();
	await page.getByText("talk to your therapist before you go on").waitFor();
	await screenshot(page, "home-much-pain");
	await page.getByRole("button", { name: "Done" }).tap();
	await page.getByRole("heading", { name: "Here is your plan for today." }).waitFor();
	expect(complaints).toEqual([]);
});

test("a plan is done from start to finish in five choices, by keyboard alone", async () => {
	let choices = 0;
	const choose = async (): Promise<void> => {
		await expectFocusShown();
		await page.keyboard.press("Enter");
		choices++;
	};
	await page.getByRole("button", { name: "Start", exact: true }).waitFor();
	await choose();
	await page.getByRole("heading", { name: "Put the band on your left leg" }).waitFor();
	await page.getByText("All pads touch your skin.").waitFor();
	await expectReadable("home-band");
	await choose();
	await page.getByRole("heading", { name: "How much does your leg hurt now?" }).waitFor();
	// A second Enter that came too late answers nothing.
	await page.keyboard.press("Enter");
	await page.keyboard.press("Tab");
	await expectReadable("home-pain");
	await choose();
	await page.getByRole("heading", { name: "Quad set" }).waitFor();
	// When to take care and when to stop is read before each exercise.
	await page.getByText("Do not hold your breath.").waitFor();
	await page.getByText("Stop if you feel faint").waitFor();
	await page.getByText("Starts by itself in").waitFor();
	await expectReadable("home-exercise");
	// No choice: it would start by itself; whoever is ready earlier need not wait.
	await page.keyboard.press("Enter");
	await cue("Keep still").waitFor();
	await watchLayout(page);
	await cue("Hold").waitFor();
	await page.getByText("Working").waitFor();
	// Without a reference there is no target and no percentage.
	expect(await page.locator(".gauge-target").count()).toBe(0);
	expect(await page.locator(".coach").textContent()).not.toContain("%");
	await screenshot(page, "coach-no-reference");
	await cue("Let go").waitFor();
	await page.getByText("Resting").waitFor();
	await page.getByText("Holds: 1 of 2").waitFor();
	expect(await page.locator("[role=status]", { hasText: "Holds: 1 of 2" }).count()).toBe(1);
	await page.keyboard.press(" ");
	await cue("Paused").waitFor();
	await page.keyboard.press(" ");
	await cue("Paused").waitFor({ state: "hidden" });
	await cue("Hold").waitFor();
	// From getting ready to the last hold, nothing has moved from its place.
	expect(await moved(page)).toEqual([]);
	await page.getByRole("heading", { name: "How much did it hurt?" }).waitFor();
	await page.keyboard.press("Tab");
	await page.keyboard.press("ArrowRight");
	await expectReadable("coach-pain");
	await choose();
	await page.getByRole("heading", { name: "How hard was it?" }).waitFor();
	await page.keyboard.press("Tab");
	await page.keyboard.press("ArrowRight");
	await expectReadable("coach-effort");
	await choose();
	await page.getByRole("heading", { name: "Well done" }).waitFor();
	expect(choices).toBeLessThanOrEqual(5);
	// No choice either: it closes by itself, and everything is kept already.
	await page.getByText("This page closes by itself.").waitFor();
	await expectReadable("home-finished");
	await page.keyboard.press("Enter");
	await page.getByRole("heading", { name: "All done for today" }).waitFor();
	await expectReadable("home-done");
	expect(complaints).toEqual([]);
});

test("home mode lasts over a reload and ends with the right PIN only", async () => {
	await page.reload();
	await page.getByRole("heading", { name: "All done for today" }).waitFor();
	await page.getByRole("button", { name: "For the therapist" }).tap();
	await page.getByLabel("PIN").fill("1111");
	await page.getByRole("button", { name: "Leave home mode" }).tap();
	await page.getByText("That is not the right PIN.").waitFor();
	await expectReadable("home-leave");
	await page.getByLabel("PIN").fill(PIN);
	await page.getByRole("button", { name: "Leave home mode" }).tap();
	await page.getByRole("heading", { name: "T-042 (invented)" }).waitFor();
	await page.getByText("1 session", { exact: true }).waitFor();
	expect(complaints).toEqual([]);
});

test("a reference of the hamstrings alone is one of them, and of nothing else", async () => {
	await page.getByRole("link", { name: "Take a reference" }).click();
	await page.getByRole("radio", { name: "Back of the thigh" }).check();
	await page.getByRole("radio", { name: "1", exact: true }).check();
	await page.getByRole("button", { name: "Start", exact: true }).click();
	await page.getByText("Keep still and relax").waitFor();
	await page.getByText("Press your heel down and back", { exact: true }).waitFor();
	await screenshot(page, "care-hamstring-effort");
	await page.getByRole("heading", { name: "Reference taken" }).waitFor();
	expect(await page.getByRole("row", { name: /^Hamstrings/ }).textContent()).toMatch(/mS\/m/);
	expect(await page.getByRole("row", { name: /^Vastus medialis/ }).textContent()).toContain("not aimed at");
	await screenshot(page, "care-hamstring-reference");
	await page.getByRole("button", { name: "Done" }).click();
	await page.getByRole("heading", { name: "Left thigh, hamstrings" }).waitFor();
	expect(complaints).toEqual([]);
});

test("a band that goes silent pauses, and an answer that calls for help ends it at once", async () => {
	// Ready before the set begins, which lasts a few seconds only.
	const other = await page.context().newPage();
	await other.goto(`${new URL(scene.app.entryUrl).origin}/#/connect`);
	const disconnect = other.getByRole("button", { name: "Disconnect" });
	await disconnect.waitFor();
	await page.bringToFront();
	await page.getByRole("link", { name: "Start exercises" }).tap();
	await page.getByRole("button", { name: "The band is on" }).tap();
	await page.getByRole("button", { name: /^0/ }).tap();
	await page.getByRole("button", { name: "Start", exact: true }).tap();
	await cue("Hold").waitFor();
	await disconnect.click();
	await other.close();
	await cue("Paused").waitFor();
	await page.getByText("The band went silent.").waitFor();
	await expectReadable("coach-band-lost");
	await page.getByRole("button", { name: "Stop" }).tap();
	await page.getByRole("button", { name: "Something else is wrong" }).tap();
	await page.getByRole("checkbox", { name: "Pain in your chest" }).check();
	await expectReadable("coach-symptoms");
	await page.getByRole("button", { name: "Report it" }).tap();
	await page.getByRole("heading", { name: "Stop and call for help now" }).waitFor();
	await expectReadable("coach-help");
	await page.getByRole("button", { name: "Done" }).tap();
	await page.getByText("3 sessions", { exact: true }).waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});
