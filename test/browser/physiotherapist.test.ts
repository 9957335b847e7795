/** The physiotherapist's walk, from an empty data folder: a person, their thigh and band, a rest baseline, a recording;
 *  then the app is ended and started again, and the session is found, replayed and exported. */
import { readFile } from "node:fs/promises";
import { expect, test } from "vitest";
import { acknowledgeCautions, goTo, screenshot, useApp, waitForPictures } from "./app-under-test.ts";

const scene = useApp();

test("sets up a person and records a session", async () => {
	const { page, complaints } = await scene.open();
	await acknowledgeCautions(page);

	await goTo(page, "Sessions");
	await page.getByText("No recordings yet").waitFor();
	await screenshot(page, "sessions-empty");

	await goTo(page, "Set-up");
	await page.getByRole("combobox", { name: "Person", exact: true }).selectOption({ label: "New person …" });
	await page.getByLabel("Code").fill("T-017");
	await page.getByRole("group", { name: "Affected side" }).getByRole("radio", { name: "Left" }).check();
	await page.getByRole("button", { name: "Save person" }).click();
	await page.getByRole("group", { name: "Side", exact: true }).getByRole("radio", { name: "Left" }).check();
	await page.getByLabel("Circumference").fill("80");
	await page.getByRole("button", { name: "Use this set-up" }).click();
	await page.getByText("Unusual circumference").waitFor();
	await page.getByRole("button", { name: "Go back and correct it" }).click();
	await page.getByLabel("Circumference").fill("54");
	await page.getByRole("button", { name: "Use this set-up" }).click();
	await page.getByText("This set-up is in use.").waitFor();
	await screenshot(page, "set-up-filled");

	await goTo(page, "Live");
	await waitForPictures(page, 30);
	await page.getByRole("heading", { name: "Left thigh" }).waitFor();
	await page.getByRole("button", { name: "Record", exact: true }).click();
	await waitForPictures(page, 90);
	await page.getByRole("button", { name: "Stop recording" }).click();
	await page.getByRole("link", { name: "Open it" }).click();
	await page.getByRole("button", { name: "Play" }).waitFor();
	await page.getByLabel("Title").fill("First visit (invented)");
	await page.getByRole("button", { name: "Save", exact: true }).click();
	await page.getByText("Saved", { exact: true }).waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("finds the session again after the app was killed, replays and exports it", async () => {
	await scene.restart("SIGKILL");
	const { page, complaints } = await scene.open();
	await goTo(page, "Sessions");
	await page.getByRole("row", { name: /First visit \(invented\)/ }).waitFor();
	expect(await page.getByRole("row", { name: /First visit/ }).textContent()).toContain("T-017");
	await screenshot(page, "sessions-one");
	await page.getByRole("link", { name: "First visit (invented)", exact: true }).click();
	await page.getByRole("button", { name: "Play" }).waitFor();

	await page.getByRole("img", { name: /^Tomogram .*Rectus femoris/ }).waitFor();

	// By keyboard: to the end and back to the start, then play.
	await waitForPictures(page, 1, () => page.keyboard.press("End"));
	await waitForPictures(page, 1, () => page.keyboard.press("Home"));
	await waitForPictures(page, 30, () => page.keyboard.press(" "));
	await screenshot(page, "replay");

	const download = page.waitForEvent("download");
	await page.getByRole("button", { name: "Export CSV" }).click();
	const csv = await readFile((await (await download).path())!, "utf8");
	const rows = csv.trimEnd().split("\r\n");
	expect(rows.length).toBeGreaterThan(60);
	expect(csv).toContain("S/m");
	expect(complaints).toEqual([]);
	await page.context().close();
});
