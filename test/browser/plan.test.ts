/** The physiotherapist prepares care: a person with goals, cautions and a measured thigh, a plan with an exercise of the
 *  clinic's own, a second version, and the record exported, deleted for good and read in again. */
import { readFile } from "node:fs/promises";
import type { Page } from "playwright-core";
import { beforeAll, expect, test } from "vitest";
import { acknowledgeCautions, goTo, screenshot, useApp } from "./app-under-test.ts";
import { addPerson, openPlan } from "./care-steps.ts";

const scene = useApp();
let page: Page;
let complaints: string[];

beforeAll(async () => {
	({ page, complaints } = await scene.open());
	await acknowledgeCautions(page);
});

test("adds a person from an empty list and measures their thigh", async () => {
	await goTo(page, "People");
	await page.getByText("Nobody here yet").waitFor();
	await screenshot(page, "people-empty");
	await addPerson(page, "T-031");
	await page.getByRole("region", { name: "Details" }).getByRole("button", { name: "Edit" }).click();
	await page.getByLabel("Goals").fill("Walk down the stairs without holding on.");
	await page.getByRole("button", { name: "Save", exact: true }).click();
	await page.getByText("Walk down the stairs").waitFor();
	await screenshot(page, "person-new");
	expect(complaints).toEqual([]);
});

test("makes a plan in order, with an own exercise, and corrects what was entered wrongly", async () => {
	await openPlan(page);
	await page.getByRole("button", { name: "Own exercise" }).click();
	await page.getByLabel("Name", { exact: true }).fill("Wall sit");
	await page.getByRole("checkbox", { name: "Vastus medialis" }).check();
	await page.getByLabel("Steps, one a line").fill("Lean on a wall.\nSlide down a little and stay.");
	await page.getByRole("button", { name: "Save the exercise" }).click();
	await page.getByRole("button", { name: "Add Wall sit" }).click();
	await page.getByRole("button", { name: "Add Quad set" }).click();
	await page.getByRole("button", { name: "Add Small squat" }).click();

	const items = page.getByRole("region", { name: "Exercises" }).getByRole("heading", { level: 3 });
	expect(await items.allTextContents()).toEqual(["Wall sit", "Quad set", "Small squat"]);
	await page.getByRole("button", { name: "Move Quad set up" }).click();
	await page.getByText("Quad set is now 1 of 3.").waitFor();
	// By keyboard, and the focus goes along: twice down.
	await page.getByRole("button", { name: "Remove Quad set" }).focus();
	await page.keyboard.press("Alt+ArrowDown");
	await page.keyboard.press("Alt+ArrowDown");
	expect(await items.allTextContents()).toEqual(["Wall sit", "Small squat", "Quad set"]);

	const squat = page.getByRole("listitem").filter({ hasText: "Small squat" }).first();
	await squat.getByLabel("Sets").fill("0");
	await page.getByRole("button", { name: "Save the plan" }).click();
	await page.getByText("Enter at least 1.").waitFor();
	await squat.getByLabel("Sets").fill("2");
	await page.getByRole("checkbox", { name: "Sun" }).uncheck();
	await page.getByRole("button", { name: "Save the plan" }).click();
	await page.getByText("Version 1 is saved.").waitFor();
	await page.evaluate(() => window.scrollTo(0, 0));
	await screenshot(page, "plan-filled");
	expect(complaints).toEqual([]);
});

test("keeps the first version when a second one is saved with its reason", async () => {
	await page.getByRole("button", { name: "Remove Wall sit" }).click();
	await page.getByLabel("Reason for this version").fill("Too hard for now");
	await page.getByRole("button", { name: "Save as version 2" }).click();
	await page.getByText("Version 2 is saved.").waitFor();
	const versions = page.getByRole("region", { name: "Versions" });
	await versions.getByText("Too hard for now").waitFor();
	await versions.getByText("Version 1").click();
	await versions.getByText("Wall sit, left").waitFor();
	await page.getByRole("link", { name: "Back to the person" }).click();
	await page.getByText("Version 2, since").waitFor();
	await screenshot(page, "person-plan");
	expect(complaints).toEqual([]);
});

test("archives, exports, deletes for good after the code was typed, and reads the file in again", async () => {
	await page.getByRole("button", { name: "Archive", exact: true }).click();
	await page.getByText("Archived", { exact: true }).waitFor();
	await goTo(page, "People");
	await page.getByText("Nobody here yet").waitFor();
	await page.getByRole("button", { name: "With archived" }).click();
	await page.getByRole("link", { name: "T-031" }).click();

	const download = page.waitForEvent("download");
	await page.getByRole("button", { name: "Export the record" }).click();
	const path = (await (await download).path())!;
	expect(await readFile(path, "utf8")).toContain("Walk down the stairs");

	await page.getByRole("button", { name: "Delete for good" }).click();
	await page.getByText("1 plan (2 versions)").waitFor();
	const confirm = page.getByRole("dialog").getByRole("button", { name: "Delete for good" });
	expect(await confirm.isDisabled()).toBe(true);
	await page.getByLabel("Type the code T-031").fill("T-031");
	await screenshot(page, "person-delete");
	await confirm.click();
	await page.getByText("Nobody here yet").waitFor();

	const chooser = page.waitForEvent("filechooser");
	await page.getByText("Read a person’s file").click();
	await (await chooser).setFiles(path);
	await page.getByText("Walk down the stairs").waitFor();
	await page.getByText("Version 2, since").waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});
