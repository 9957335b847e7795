/** Two days of a person: a set whose questions were cut off by a kill is asked for again before anything else, and the next
 *  day begins with the question about the morning, which makes it a smaller one. */
import { join } from "node:path";
import Database from "better-sqlite3";
import type { Page } from "playwright-core";
import { beforeAll, expect, test } from "vitest";
import { toRfc3339 } from "../../app/store/date-time.ts";
import { acknowledgeCautions, goTo, screenshot, useApp } from "./app-under-test.ts";
import { addPerson, connectFollower, planQuadSets } from "./care-steps.ts";
import { lowContrastTexts, overflow, smallTargets } from "./page-probes.ts";

const DAY_MS = 24 * 3_600_000;

const scene = useApp();
let page: Page;
let complaints: string[];

beforeAll(async () => {
	({ page, complaints } = await scene.open());
	await acknowledgeCautions(page);
});

function button(name: string) {
	return page.getByRole("button", { name, exact: true });
}

async function restart(signal: "SIGTERM" | "SIGKILL", between?: () => void): Promise<void> {
	await page.context().close();
	await scene.restart(signal, between);
	({ page, complaints } = await scene.open());
}

/** As if all that was stored had been stored a day earlier. */
function letADayPass(): void {
	const db = new Database(join(scene.dataFolder, "tautline.sqlite"));
	db.function("a_day_before", (text) => toRfc3339(Date.parse(text as string) - DAY_MS));
	for (const [table, column] of [
		["sessions", "started_at"],
		["sessions", "ended_at"],
		["sets", "stored_at"],
		["pain_check_ins", "told_at"],
	] as const) {
		db.exec(`UPDATE ${table} SET ${column} = a_day_before(${column}) WHERE ${column} IS NOT NULL`);
	}
	db.exec("UPDATE plan_versions SET from_day = date(from_day, '-1 day')");
	db.close();
}

async function expectReadable(name: string): Promise<void> {
	const { x, y } = await overflow(page);
	expect([x, y], name).toEqual([0, 0]);
	expect(await smallTargets(page), name).toEqual([]);
	await expect.poll(() => lowContrastTexts(page), { message: name }).toEqual([]);
	await screenshot(page, name);
}

const answer = (value: number) =>
	page
		.getByRole("button", { name: new RegExp(`^${value}(\\D|$)`) })
		.first()
		.click();

test("a set of two holds is cut off by a kill at its questions", async () => {
	await connectFollower(page);
	await addPerson(page, "T-077");
	await planQuadSets(page, { Sets: "1", Holds: "2", Hold: "2", "Pause between": "1" });
	await page.getByRole("link", { name: "Start exercises" }).click();
	await button("The band is on").click();
	await answer(1);
	await page.getByText("2 holds of 2 seconds").waitFor();
	await button("Start").click();
	await page.getByRole("heading", { name: "How much did it hurt?" }).waitFor();
	expect(complaints).toEqual([]);
});

test("nothing starts before it has its answers, at the clinic and at home", async () => {
	await restart("SIGKILL");
	await goTo(page, "People");
	await page.getByRole("link", { name: "T-077" }).first().click();
	await page.getByRole("link", { name: "Start exercises" }).click();
	const left = page.getByText("First, two questions about what you did before: Quad set, left leg, set 1.");
	await left.waitFor();
	await expectReadable("left-set-clinic");
	await page.goBack();
	await button("Home mode").click();
	await button("Start home mode").click();
	await left.waitFor();
	expect(await button("Start").count()).toBe(0);
	await expectReadable("left-set-home");
	await answer(4);
	await page.getByRole("heading", { name: "How hard was it?" }).waitFor();
	await answer(3);
	await page.getByRole("heading", { name: "All done for today" }).waitFor();
	expect(complaints).toEqual([]);
});

test("the next day begins with the morning's question, is a smaller one, and takes five choices", async () => {
	await button("For the therapist").click();
	await button("Leave home mode").last().click();
	await page.getByRole("link", { name: "Start exercises" }).waitFor();
	await restart("SIGTERM", letADayPass);
	await connectFollower(page);
	await goTo(page, "People");
	await page.getByRole("link", { name: "T-077" }).first().click();
	await button("Home mode").click();
	await button("Start home mode").click();
	let choices = 0;
	const choose = async (act: () => Promise<void>): Promise<void> => {
		await act();
		choices++;
	};
	await page.getByRole("heading", { name: "The morning after last time: how much did it hurt?" }).waitFor();
	await expectReadable("home-morning");
	await choose(() => answer(4));
	await page.getByText("All pads touch your skin.").waitFor();
	await choose(() => button("The band is on").click());
	await page.getByRole("heading", { name: "How much does your leg hurt now?" }).waitFor();
	await choose(() => answer(1));
	await page.getByText("So today you do a bit less.").waitFor();
	// 0.7 of 2
	await page.getByText("1 hold of 2 seconds").waitFor();
	await expectReadable("home-less-today");
	// No choice: it would start by itself.
	await button("Start now").click();
	await page.getByText("Holds: 0 of 1").waitFor();
	await page.getByRole("heading", { name: "How much did it hurt?" }).waitFor();
	await choose(() => answer(1));
	await page.getByRole("heading", { name: "How hard was it?" }).waitFor();
	await choose(() => answer(3));
	await page.getByRole("heading", { name: "Well done" }).waitFor();
	expect(choices).toBeLessThanOrEqual(5);
	expect(complaints).toEqual([]);
});
