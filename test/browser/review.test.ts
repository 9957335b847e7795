/** A physiotherapist reads what six weeks of invented sessions came to: one session, two of them side by side, all of
 *  them over time, and the report on paper. */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { beforeAll, describe, expect, test } from "vitest";
import { electronSettings } from "../../app/hosts/electron/settings.ts";
import { artefacts, postponeCautions, screenshot, useApp } from "./app-under-test.ts";
import { createInventedHistory, type InventedHistory } from "./invented-history.ts";
import { pagesOf, textOf } from "./pdf-pages.ts";

/** What the desktop window prints with, as far as it can be asked of Chromium from outside. */
const forChromium = {
	preferCSSPageSize: electronSettings.pdf.preferCSSPageSize,
	printBackground: electronSettings.pdf.printBackground,
	displayHeaderFooter: electronSettings.pdf.displayHeaderFooter,
	landscape: electronSettings.pdf.landscape,
	scale: electronSettings.pdf.scale,
	margin: electronSettings.pdf.margins,
	tagged: electronSettings.pdf.generateTaggedPDF,
};
let history: InventedHistory;
const scene = useApp((folder) => {
	history = createInventedHistory(folder, { sessions: 40, withFrames: 2 });
	return [];
});
let page: Page;
let complaints: string[];

beforeAll(async () => {
	({ page, complaints } = await scene.open());
	await postponeCautions(page);
});

async function show(hash: string): Promise<void> {
	await page.evaluate((next) => {
		location.hash = next;
	}, hash);
}

/** Pixels of a picture's canvas that carry a clear colour. */
async function colouredShare(selector: string): Promise<number> {
	return page.locator(selector).evaluate((element) => {
		const canvas = element as HTMLCanvasElement;
		const { data } = canvas.getContext("2d")!.getImageData(0, 0, canvas.width, canvas.height);
		let coloured = 0;
		for (let i = 0; i < data.length; i += 4) {
			const [r, g, b] = [data[i]!, data[i + 1]!, data[i + 2]!];
			if (data[i + 3]! > 0 && b - g > 40 && r > g) coloured++;
		}
		return coloured / (data.length / 4);
	});
}

describe("a session", () => {
	test("opens from the list with its sets, averaged pictures and how it was measured", async () => {
		await show("#/sessions");
		await page
			.getByRole("row", { name: /11 Apr 2026/ })
			.getByRole("link", { name: "Review Plan of the day" })
			.click();
		await page.getByRole("heading", { name: "Plan of the day", level: 1 }).waitFor();
		await expectText("Measured the same way as on 9 Apr 2026, 08:30");
		const raises = page.getByRole("region", { name: "Straight leg raise" });
		await raises.locator(".still-picture canvas").nth(2).waitFor();
		expect(await raises.getByRole("columnheader").count()).toBe(4);
		// The vastus medialis became less conductive: purple on the scale.
		expect(await colouredShare("section[aria-label='Quad set'] .still-picture canvas")).toBeGreaterThan(
			0.002,
		);
		await expectText("Vastus medialis to lateralis");
		await expectText("read the trend, not the number");
		await expectText("1.00 mA r.m.s. at 50 kHz");
		await screenshot(page, "review");
	});

	test("shows a set's start in the picture and the lines above", async () => {
		await page
			.getByRole("region", { name: "Straight leg raise" })
			.getByRole("button", { name: /^Set 2 / })
			.click();
		await page.waitForFunction(() => document.querySelector(".replay-time")?.textContent?.startsWith("2:09"));
	});

	test("takes a corrected count and keeps the automatic one beside it", async () => {
		const quadSet = page.getByRole("region", { name: "Quad set" });
		await quadSet.getByRole("button", { name: "Correct the count of Set 1" }).click();
		const dialog = page.getByRole("dialog");
		await dialog.getByLabel("Full repetitions").fill("x");
		expect(await dialog.getByRole("button", { name: "Keep this count" }).isDisabled()).toBe(true);
		await dialog.getByLabel("Full repetitions").fill("9");
		await dialog.getByLabel("Why (optional)").fill("The first one was slow");
		await dialog.getByRole("button", { name: "Keep this count" }).click();
		await dialog.waitFor({ state: "detached" });
		await quadSet.getByText("corrected by a clinician").waitFor();
		const rows = await quadSet.getByRole("row").allInnerTexts();
		expect(rows.find((row) => row.startsWith("Repetitions"))).toMatch(/9 of 10/);
		expect(rows.find((row) => row.startsWith("Counted by the app"))).toMatch(/\b8\b/);
	});

	test("fills measured facts into the objective part alone, and keeps the notes", async () => {
		await page.getByRole("button", { name: "Fill in measured facts" }).click();
		const objective = page.getByLabel("Objective");
		expect(await objective.inputValue()).toContain("Quad set, right thigh:");
		for (const part of ["Subjective", "Assessment", "Plan"]) {
			expect(await page.getByLabel(part, { exact: true }).inputValue()).toBe("");
		}
		await page.getByLabel("Assessment", { exact: true }).fill("Holds are steadier than last week.");
		await page.getByRole("button", { name: "Save notes" }).click();
		await page.getByText(/^Saved /).waitFor();
		await page.reload();
		await postponeCautions(page);
		await page.getByRole("heading", { name: "Plan of the day", level: 1 }).waitFor();
		expect(await page.getByLabel("Assessment", { exact: true }).inputValue()).toContain("steadier");
	});
});

describe("two sessions", () => {
	test("measured the same way may be compared, on one scale", async () => {
		const [first, second] = [history.sessions.at(-3)!, history.sessions.at(-1)!];
		await show(`#/compare/${first.id}/${second.id}`);
		await expectText("these two may be compared");
		const row = page.getByRole("row", { name: /^Peak engagement/ });
		await row.waitFor();
		expect(await row.textContent()).toMatch(/variation|unknown/);
	});

	test("of both sides stand side by side with the marks that say why it is unsafe", async () => {
		const [other, own] = [history.sessions.at(-2)!, history.sessions.at(-1)!];
		expect(other.side).not.toBe(own.side);
		await show(`#/compare/${own.id}/${other.id}`);
		await expectText("Comparing these two is unsafe");
		await expectText("Other side.");
		await page.locator(".compare-pictures .still-picture canvas").nth(1).waitFor();
		expect(await page.getByText("Averaging the picture").count()).toBe(0);
		await page.locator(".set-lines canvas").nth(1).waitFor();
		expect(await page.getByText("not comparable").count()).toBeGreaterThan(3);
		await screenshot(page, "compare-sides");
	});
});

describe("forty sessions", () => {
	test("are drawn in the frame that follows their arrival", async () => {
		const fresh = await page.context().newPage();
		// Stamps the reply as the page receives it, then counts frames until every chart is there.
		await fresh.addInitScript(() => {
			const Socket = window.WebSocket;
			const found = { framesAfterReply: -1, charts: 0 };
			Object.assign(window, { progressDrawn: found });
			window.WebSocket = class extends Socket {
				constructor(url: string | URL) {
					super(url);
					this.addEventListener("message", (event: MessageEvent) => {
						if (typeof event.data !== "string" || !event.data.includes('"adherenceOverall"')) return;
						let frames = 0;
						const look = (): void => {
							frames++;
							found.charts = document.querySelectorAll(".progress-chart").length;
							if (found.charts > 0) found.framesAfterReply = frames;
							else requestAnimationFrame(look);
						};
						requestAnimationFrame(look);
					});
				}
			};
		});
		await fresh.goto(new URL(`/#/progress/${history.personId}`, page.url()).href);
		await fresh.waitForFunction(
			() => (window as unknown as { progressDrawn: { charts: number } }).progressDrawn.charts > 0,
		);
		const drawn = await fresh.evaluate(
			() =>
				(window as unknown as { progressDrawn: { framesAfterReply: number; charts: number } }).progressDrawn,
		);
		await fresh.close();
		expect(drawn.charts).toBeGreaterThanOrEqual(9);
		// The first callback comes before the first frame after the reply is painted.
		expect(drawn.framesAfterReply).toBeLessThanOrEqual(2);
	});

	test("show their error, where lines break and why, and the values as a table", async () => {
		await show(`#/progress/${history.personId}`);
		await page.getByRole("heading", { name: "Progress of Robin Example" }).waitFor();
		await expectText("40 sessions over 6 weeks");
		const breaks = page.getByRole("region", { name: "Where lines break" });
		expect(await breaks.textContent()).toContain("band in another place, new reference contraction");
		const peak = page.getByRole("region", { name: "Peak engagement", exact: true });
		expect(await peak.textContent()).toMatch(/Standard error ±.*points/);
		expect(await peak.textContent()).toMatch(/since 23.Mar: (within|larger than) expected variation/);
		await page.getByRole("button", { name: "Show the values as a table" }).click();
		expect(await page.locator(".value-table tbody tr").count()).toBeGreaterThan(30);
		await expectText("It must not decide on loading, work or sport.");
		await screenshot(page, "progress");
	});

	test("can be looked at one by one with the keyboard", async () => {
		const peak = page.getByRole("region", { name: "Peak engagement", exact: true });
		await peak.getByRole("img").focus();
		await page.keyboard.press("Home");
		expect(await peak.textContent()).toContain("nothing to compare with yet");
	});
});

describe("the report", () => {
	test.each([
		["A4", [595, 842]],
		["Letter", [612, 792]],
	] as const)(
		"comes out on %s, on one page and in full, marked as invented on every page",
		async (paper, size) => {
			await show(`#/report/${history.sessions.at(-1)!.id}`);
			await page.locator(".report-page").first().waitFor();
			await page.locator("button:enabled", { hasText: "Print or save as PDF" }).waitFor();
			await page.getByRole("radio", { name: paper, exact: true }).check({ force: true });
			for (const [form, name] of [
				["One page", "one-page"],
				["Full", "full"],
			] as const) {
				await page.getByRole("radio", { name: form, exact: true }).check({ force: true });
				const pages = await page.locator(".report > .report-page").count();
				const pdf = await page.pdf(forChromium);
				writeFileSync(join(artefacts, `report-${paper.toLowerCase()}-${name}.pdf`), pdf);
				const { count, boxes } = pagesOf(pdf);
				expect(count).toBe(pages);
				expect(name === "one-page" ? count : Math.min(count, 3)).toBe(name === "one-page" ? 1 : 3);
				for (const [width, height] of boxes) {
					expect(Math.abs(width - size[0])).toBeLessThan(1.5);
					expect(Math.abs(height - size[1])).toBeLessThan(1.5);
				}
				for (const sheet of await page.locator(".report > .report-page").allInnerTexts()) {
					expect(sheet).toContain("Simulated: invented data");
					expect(sheet).toContain("Not a diagnosis");
				}
				const text = textOf(pdf, pages);
				if (text !== null) {
					for (const part of ["P-014", "engagement", "50 kHz", "noise figure", "Cautions"]) {
						expect(text.replaceAll("\u00a0", " ")).toContain(part);
					}
				}
			}
			// Nothing on a page reaches below its end.
			const overflow = await page
				.locator(".report > .report-page .report-body")
				.evaluateAll((bodies) => bodies.map((body) => body.scrollHeight - body.clientHeight));
			expect(Math.max(...overflow)).toBeLessThanOrEqual(0);
		},
	);

	test("ends the walk without a complaint from the page", () => {
		expect(complaints).toEqual([]);
	});
});

async function expectText(text: string): Promise<void> {
	await page.getByText(text).first().waitFor();
}
