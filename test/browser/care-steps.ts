/** Steps that the walks through care share. */
import type { Page } from "playwright-core";
import { goTo } from "./app-under-test.ts";

/** From the list of people to the page of a new one, cautions gone through and thigh measured. */
export async function addPerson(page: Page, code: string): Promise<void> {
	await goTo(page, "People");
	await page.getByRole("button", { name: "New person" }).click();
	await page.getByLabel("Code").fill(code);
	await page.getByLabel("Name shown").fill(`${code} (invented)`);
	await page.getByRole("button", { name: "Save person" }).click();
	await page.getByRole("button", { name: "Go through the cautions" }).click();
	await page.getByRole("button", { name: "None of these applies" }).click();
	await page.getByText("Gone through with this person").waitFor();
	await page.getByRole("link", { name: "Measure the thigh" }).click();
	await page.getByLabel("Circumference").fill("54");
	await page.getByRole("button", { name: "Use this set-up" }).click();
	await page.getByText("This set-up is in use.").waitFor();
	await page.goBack();
	await page.getByText("54.0 cm").waitFor();
}

export async function openPlan(page: Page): Promise<void> {
	await page.getByRole("link", { name: "Make a plan" }).click();
	await page.getByText("No exercise yet").waitFor();
}

/** A simulated person who does what the screen says, so that repetitions are really counted. */
export async function connectFollower(page: Page): Promise<void> {
	await goTo(page, "Connect");
	await page.getByLabel("What the person does").selectOption({ label: "Does what the coach asks" });
	await page.getByRole("button", { name: "Start the simulated band" }).click();
}

/** A plan of quad sets alone, from the person's page and back to it.
 *  @param dose by the labels of its fields; short ones, for the walk waits for each second of it */
export async function planQuadSets(page: Page, dose: Readonly<Record<string, string>>): Promise<void> {
	await openPlan(page);
	await page.getByRole("button", { name: "Add Quad set" }).click();
	for (const [label, value] of Object.entries(dose))
		await page.getByLabel(label, { exact: true }).fill(value);
	await page.getByRole("button", { name: "Save the plan" }).click();
	await page.getByText("Version 1 is saved.").waitFor();
	await page.getByRole("link", { name: "Back to the person" }).click();
}
