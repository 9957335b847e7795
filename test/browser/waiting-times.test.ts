/** How long a newcomer waits. */
import { availableParallelism, loadavg } from "node:os";
import { expect, test } from "vitest";
import { acknowledgeCautions, useApp } from "./app-under-test.ts";

const scene = useApp();

/** Where more is under way than there are cores, everything takes as much longer. */
const crowding = (): number => Math.max(1, loadavg()[0]! / availableParallelism());

test("a live picture within 5 s of the first page load, a good rest baseline within 60 s", async () => {
	const began = Date.now();
	const { page } = await scene.open();
	await page.waitForFunction(() => (window.tautlineLatencies?.count ?? 0) >= 1);
	expect(Date.now() - began).toBeLessThan(5000 * crowding());
	await acknowledgeCautions(page);
	await page.getByRole("link", { name: "Check the signal" }).click();
	await page.getByText("Taken over").waitFor();
	expect(Date.now() - began).toBeLessThan(60_000 * crowding());
	await page.context().close();
});
