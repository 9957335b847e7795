/** Whoever has another board: its lines are mapped in the editor alone, kept, played and pictured. The log is made by the
 *  forward model; its way of writing is nobody's. */
import { createWriteStream, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, expect, test } from "vitest";
import { createTerminalPair, hasTerminals, type Terminal } from "../command/pseudo-terminal.ts";
import { createThighReadings } from "../session/thigh-readings.ts";
import { acknowledgeCautions, goTo, screenshot, useApp } from "./app-under-test.ts";
import { lowContrastTexts, overflow } from "./page-probes.ts";

const log = createLog();
let terminal: Terminal | null = null;
const scene = useApp(async () => {
	writeFileSync(logFile, log);
	if (hasTerminals) terminal = await createTerminalPair(boardEnd, hostEnd);
	return ["--serial", hostEnd];
});
const boardEnd = join(scene.dataFolder, "board");
const hostEnd = join(scene.dataFolder, "host");
const logFile = join(scene.dataFolder, "third-board.txt");

afterAll(() => terminal?.unplug());

/** Ohms with three decimals, 20 frames a second: 4 s of rest, then one muscle works. */
function createLog(): string {
	const thigh = createThighReadings("two-terminal", "right");
	const tensed = thigh.tensed("vastus-medialis");
	const lines = Array.from({ length: 240 }, (_, frame) => {
		const volts = frame < 80 ? thigh.rest : tensed;
		const ohms = Array.from(volts, (volt, i) =>
			(volt / 1e-3 + 0.001 * Math.sin(12.9 * frame + 78.2 * i)).toFixed(3),
		);
		return `${(12.5 + frame / 20).toFixed(3)}; ${ohms.join("; ")};`.replaceAll(".", ",");
	});
	const heading = `t; ${Array.from({ length: 120 }, (_, i) => `R${i + 1}`).join("; ")};`;
	return `Messung 7 -- made up\r\n${heading}\r\n${lines.join("\r\n")}\r\n`;
}

/** Pastes over all there is, as the keyboard does. */
async function paste(page: Page, text: string): Promise<void> {
	await page.getByLabel("Sample of lines").evaluate((area: HTMLTextAreaElement, pasted) => {
		area.focus();
		area.select();
		const clipboardData = new DataTransfer();
		clipboardData.setData("text/plain", pasted);
		area.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
	}, text);
}

async function openEditor(page: Page): Promise<void> {
	await goTo(page, "Connect");
	await page.getByRole("link", { name: "New profile" }).click();
	await page.getByRole("heading", { name: "New board profile" }).waitFor();
}

const testStep = (page: Page) => page.getByRole("region", { name: "Test" });

test("maps the lines of an unknown board, plays its log and finds the muscle that works", async () => {
	const { page, complaints } = await scene.open();
	await acknowledgeCautions(page);
	await openEditor(page);
	await page.getByText("No lines yet.").waitFor();
	await page.getByRole("button", { name: "Save profile" }).click();
	await page.getByText("Enter the current that the board’s maker states.").waitFor();
	await paste(page, log);
	await page.getByText("The pattern needs 120 readings a frame; the lines have 120.").waitFor();

	// a wrong turn, and back
	await page.getByLabel("Between fields").selectOption({ label: "bar |" });
	await page.getByText("The pattern needs 120 readings a frame.").waitFor();
	await page.getByRole("button", { name: "Undo" }).click();
	await page.getByLabel("What field 3 holds").selectOption({ label: "not used" });
	await page.getByText("The pattern needs 120 readings a frame; the lines have 119.").waitFor();
	await page.keyboard.press("Control+z");

	const result = testStep(page);
	await result.getByText("240 in 242 lines").waitFor();
	await result.getByText("20.0 by the board’s clock").waitFor();
	await result.getByText(/the order looks right/).waitFor();

	// readings in another order are told
	await page.getByLabel("Each reading").selectOption({ label: "four electrodes: two drive, two read" });
	await page.getByLabel("Electrodes", { exact: true }).fill("20");
	await page.getByRole("button", { name: "16 electrodes, two-terminal" }).click();
	await result.getByText(/the order looks right/).waitFor();

	await page.getByLabel("Current, r.m.s.").fill("1");
	await page.getByLabel("Frequency", { exact: true }).fill("50");
	await page.getByText("Limit at 50").waitFor();
	await page.getByLabel("Name of the profile").fill("Third board");
	await screenshot(page, "profile-save");
	await page.getByRole("button", { name: "Save profile" }).click();
	await page.getByText("Saved.").waitFor();
	await page.getByRole("link", { name: "Connect with it" }).click();
	await page.getByRole("radio", { name: /Third board/ }).waitFor();
	await page.locator("input[aria-label^='Choose a log file']").setInputFiles(logFile);
	await page.getByRole("link", { name: "Watch it live" }).click();
	await page.getByText(/Rest baseline .* automatic/).waitFor();

	// the first that is more than noise, and by then far the largest
	const changes = page.getByRole("region", { name: "Now", exact: true }).locator("tbody tr");
	await changes
		.filter({ hasText: "Vastus medialis" })
		.filter({ hasText: /\u2212\d{2}/ })
		.waitFor();
	const sizes = (await changes.allInnerTexts()).map((text) => ({
		text,
		size: Number(/([\d.]+)\s*mS\/m/.exec(text)?.[1]),
	}));
	expect(sizes.sort((one, other) => other.size - one.size)[0]!.text).toMatch(/Vastus medialis/);
	await screenshot(page, "profile-live");
	expect(complaints).toEqual([]);
	await page.context().close();
});

test.skipIf(!hasTerminals)("captures lines from a port, tests the profile on it and connects", async () => {
	const { page, complaints } = await scene.open();
	const lines = log.split("\r\n").slice(2, 82);
	const board = createWriteStream(boardEnd);
	let next = 0;
	const timer = setInterval(() => board.write(`${lines[next++ % lines.length]}\r\n`), 50);
	try {
		await openEditor(page);
		await page.getByLabel("Port", { exact: true }).selectOption(await portValue(page));
		await page.getByRole("button", { name: "Capture 3 s from the port" }).click();
		await page.getByRole("button", { name: "Cancel" }).click();
		await page.getByRole("button", { name: "Capture 3 s from the port" }).click();
		await page.getByText("The pattern needs 120 readings a frame; the lines have 120.").waitFor();
		await page.getByRole("button", { name: "Listen for 3 s" }).click();
		await testStep(page)
			.getByText(/by the board’s clock/)
			.nth(1)
			.waitFor();
		await page.getByLabel("Current, r.m.s.").fill("0,8");
		await page.getByLabel("Frequency", { exact: true }).fill("50");
		await page.getByLabel("Name of the profile").fill("On a port");
		await page.getByRole("button", { name: "Save profile" }).click();
		await page.getByRole("link", { name: "Connect with it" }).click();
		await page.getByRole("radio", { name: /On a port/ }).click();
		const others = page.getByRole("region", { name: "Other boards" });
		await others.getByLabel("Port", { exact: true }).selectOption(await portValue(page));
		await others.getByRole("button", { name: "Connect", exact: true }).click();
		await page
			.getByText(/^Streaming from/)
			.first()
			.waitFor();
		await page.getByText("as the profile states").waitFor();
		expect(await page.getByText("Board settings").count()).toBe(0);
		expect(complaints).toEqual([]);
		await page.getByRole("button", { name: "Disconnect" }).click();
	} finally {
		clearInterval(timer);
		board.end();
		await page.context().close();
	}
});

/** Of the port that stands for the board. */
async function portValue(page: Page): Promise<string> {
	const option = page.locator("option", { hasText: hostEnd }).first();
	await option.waitFor({ state: "attached" });
	return (await option.getAttribute("value"))!;
}

test("stands what is hostile, asks before work is lost, and brings back what was deleted", async () => {
	const { page, complaints } = await scene.open();
	await openEditor(page);
	await paste(page, `${"1.5,".repeat(2_500_000)}\n`);
	await page.getByText(/Only the first 262.144 characters are kept/).waitFor();
	await paste(page, `${"{[(,;=:|<&\u0000\ud800\n".repeat(2000)}`);
	await paste(page, log);
	await page.getByText(/the lines have 120/).waitFor();

	await page.goBack();
	const question = page.getByRole("dialog", { name: "Leave without saving?" });
	await question.getByRole("button", { name: "Stay here" }).click();
	await goTo(page, "Live");
	await question.waitFor();
	await page.keyboard.press("Escape");
	expect(page.url()).toContain("#/profile");
	await page.getByText(/the lines have 120/).waitFor();
	await goTo(page, "Connect");
	await question.getByRole("button", { name: "Leave without saving" }).click();
	await page.getByRole("heading", { name: "Connect", exact: true }).waitFor();

	const others = page.getByRole("region", { name: "Other boards" });
	const file = others.locator("input[aria-label^='Import profile']");
	const importing = (content: string) =>
		file.setInputFiles({ name: "p.json", mimeType: "application/json", buffer: Buffer.from(content) });
	await importing("{");
	await others.getByText(/This file is no JSON/).waitFor();
	await importing(`${"[".repeat(100_000)}${"]".repeat(100_000)}`);
	await others.getByText(/a board profile/).waitFor();
	await importing(" ".repeat(1024 * 1024 + 1));
	await others.getByText(/larger than 1 MB/).waitFor();

	await others.getByRole("radio", { name: /Comma-separated, 8 electrodes, two-terminal/ }).click();
	const [download] = await Promise.all([
		page.waitForEvent("download"),
		others.getByRole("button", { name: "Export as JSON" }).click(),
	]);
	const profile = JSON.parse(await readAll(download)) as Record<string, unknown>;
	await importing(
		JSON.stringify({ ...profile, line: { kind: "separated", separator: ",", hasDecimalComma: true } }),
	);
	await others.getByText(/line\.hasDecimalComma should be/).waitFor();
	await importing(JSON.stringify(profile));
	await others.getByText(/was imported as “Comma-separated, 8 electrodes, two-terminal 2”/).waitFor();
	await others.getByRole("button", { name: "Delete" }).click();
	await others.getByText(/two-terminal 2” was deleted/).waitFor();
	await others.getByRole("button", { name: "Undo" }).click();
	await others.getByRole("radio", { name: /two-terminal 2/ }).click();

	// one that gets another name is still one
	await others.getByRole("link", { name: "Edit" }).click();
	await page.getByLabel("Name of the profile").fill("Renamed");
	await page.keyboard.press("Enter");
	await page.getByText("Saved.").waitFor();
	await page.getByRole("link", { name: "Connect with it" }).click();
	await others.getByRole("radio", { name: /Renamed/ }).waitFor();
	expect(await others.getByRole("radio", { name: /two-terminal 2/ }).count()).toBe(0);
	expect(complaints).toEqual([]);
	await page.context().close();
});

async function readAll(download: { createReadStream(): Promise<NodeJS.ReadableStream> }): Promise<string> {
	let text = "";
	for await (const chunk of await download.createReadStream()) text += chunk.toString();
	return text;
}

const views = [
	{ colorScheme: "light", width: 1280, height: 800 },
	{ colorScheme: "dark", width: 1280, height: 800 },
	{ colorScheme: "light", width: 1920, height: 1080 },
	{ colorScheme: "dark", width: 1920, height: 1080 },
] as const;

test("the editor fits and can be read at every size, light and dark", async () => {
	const { page, complaints } = await scene.open();
	await openEditor(page);
	await paste(page, log);
	await page.getByText(/the lines have 120/).waitFor();
	await page.getByLabel("Current, r.m.s.").fill("2");
	await page.getByLabel("Frequency", { exact: true }).fill("10");
	await page.getByText(/This is over the limit/).waitFor();
	for (const { colorScheme, width, height } of views) {
		await page.setViewportSize({ width, height });
		await page.emulateMedia({ colorScheme });
		for (const step of ["Lines of the board", "What the lines hold", "Electrodes and pattern", "Test"]) {
			await page.getByRole("region", { name: step }).evaluate((element) => element.scrollIntoView());
			await screenshot(page, `profile-${step.split(" ")[0]!.toLowerCase()}-${width}-${colorScheme}`);
		}
		expect((await overflow(page)).x).toBeLessThanOrEqual(0);
		expect(await lowContrastTexts(page)).toEqual([]);
	}
	expect(complaints).toEqual([]);
	await page.context().close();
});
