/** Whoever wants to see what weeks of work look like: from an empty list into the demo clinic and back, in the running
 *  app. And what an open page says when the app was started again. */

import type { AddressInfo } from "node:net";
import { createServer } from "node:net";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { beforeAll, expect, test } from "vitest";
import { makeDemoFile } from "../../app/session/demo/demo-file.ts";
import { demoPeople } from "../../app/session/demo/demo-people.ts";
import { DEMO_FOLDER } from "../../app/session/switching-backend.ts";
import { acknowledgeCautions, goTo, screenshot, useApp, waitForPictures } from "./app-under-test.ts";

const scene = useApp(async (folder) => {
	// Smaller than the whole clinic, which takes half a minute.
	const size = { people: demoPeople.filter(({ story }) => story === "recovery"), days: 5 };
	const path = join(folder, DEMO_FOLDER, "tautline.sqlite");
	const made = await makeDemoFile(path, Date.now(), () => undefined, size);
	if (!made.ok) throw new Error(JSON.stringify(made.error));
	return ["--port", String(await findFreePort())];
});

beforeAll(async () => {
	const { page } = await scene.open();
	await acknowledgeCautions(page);
	await page.getByRole("dialog").waitFor({ state: "detached" });
	await page.context().close();
});

const banner = (page: Page) => page.getByText("Demo clinic: invented people");

test("the demo clinic opens in the running app, is marked everywhere, and leads back", async () => {
	const { page, complaints } = await scene.open();
	const other = await scene.open();
	await goTo(other.page, "Live");
	await goTo(page, "People");
	await page.getByText("Nobody here yet").waitFor();
	await screenshot(page, "people-empty-demo");

	await page.getByRole("button", { name: "Open the demo clinic" }).click();
	await page.getByRole("link", { name: "Invented person: recovers" }).waitFor();
	await screenshot(page, "demo-people");
	// Every other page follows by itself, wherever it was.
	await other.page.getByRole("link", { name: "Invented person: recovers" }).waitFor();
	await waitForPictures(other.page, 10, () => goTo(other.page, "Live"));
	await other.page.context().close();

	for (const screen of ["Live", "Sessions", "Set-up", "Connect", "About"]) {
		await goTo(page, screen);
		await page.getByRole("heading", { level: 1 }).waitFor({ state: "attached" });
		expect(await banner(page).isVisible(), `${screen} says demo`).toBe(true);
		await screenshot(page, `demo-${screen.toLowerCase()}`);
	}
	await goTo(page, "People");
	await page.getByRole("link", { name: "Invented person: recovers" }).click();
	await page.getByRole("heading", { name: "Invented person: recovers" }).waitFor();
	expect(await banner(page).isVisible()).toBe(true);
	await screenshot(page, "demo-person");

	await page.getByRole("button", { name: "Back to my records" }).click();
	await page.getByText("Nobody here yet").waitFor();
	expect(await banner(page).count()).toBe(0);
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("a recording keeps its records open, and the demo says what to do", async () => {
	const { page, complaints } = await scene.open();
	await waitForPictures(page, 5);
	await page.getByRole("button", { name: "Record", exact: true }).click();
	await page.getByRole("button", { name: "Stop" }).waitFor();
	await goTo(page, "About");
	await page.getByRole("button", { name: "Open the demo clinic" }).click();
	await page.getByText("Stop the recording first.").waitFor();
	await screenshot(page, "demo-refused");
	await goTo(page, "Live");
	await page.getByRole("button", { name: "Stop" }).click();
	await page.getByRole("button", { name: "Record", exact: true }).waitFor();
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("making it anew shows how it goes while pictures go on, and can be called off", async () => {
	const { page, complaints } = await scene.open();
	await goTo(page, "About");
	await page.getByRole("button", { name: "Make it anew" }).click();
	await screenshot(page, "demo-anew");
	await page.getByRole("dialog").getByRole("button", { name: "Make it anew" }).click();
	await page.getByText(/Making the demo clinic: [1-9]\d* %/).waitFor();
	await waitForPictures(page, 30, () => goTo(page, "Live"));
	await screenshot(page, "demo-making");
	await page.getByRole("button", { name: "Cancel" }).click();
	await page.getByText(/Making the demo clinic/).waitFor({ state: "detached" });
	expect(await banner(page).count()).toBe(0);
	await goTo(page, "About");
	expect(await page.getByRole("button", { name: "Open the demo clinic" }).isEnabled()).toBe(true);
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("a page of an earlier start says that it is one, and comes back with the new address", async () => {
	const { page } = await scene.open();
	await waitForPictures(page, 1);
	await scene.restart("SIGTERM", () => page.getByText("The page lost its connection to the app.").waitFor());
	await page.getByText("Tautline was closed or started again.").waitFor();
	await page.getByText("open the address that it prints").waitFor();
	await screenshot(page, "connection-closed");
	// Browsers keep one cookie for all their tabs.
	const tab = await page.context().newPage();
	await tab.goto(scene.app.entryUrl);
	await page.getByText("Tautline was closed or started again.").waitFor({ state: "detached" });
	await tab.close();
	await waitForPictures(page, 1, () => goTo(page, "Live"));
	await page.context().close();
});

async function findFreePort(): Promise<number> {
	const server = createServer();
	await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
	const { port } = server.address() as AddressInfo;
	await new Promise((resolve) => server.close(resolve));
	return port;
}
