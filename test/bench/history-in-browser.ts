/** The same from a person's point of view: from the click on Progress, with 40 sessions stored, to every chart painted,
 *  in a real browser on the running app. The page marks the moments itself; the band's pictures go on meanwhile. */
import type { Page } from "playwright-core";
import {
	createDataFolder,
	openPage,
	postponeCautions,
	removeDataFolder,
	startApp,
	startBrowser,
} from "../browser/app-under-test.ts";
import { createInventedHistory } from "../browser/invented-history.ts";
import { quantile } from "./measure.ts";

const openings = 15;

interface Opening {
	/** ms, from the click to the frame with all charts */
	readonly opened: number;
	/** ms, from the click to the question on its way to the app */
	readonly asked: number;
	/** ms, from then to the history's arrival */
	readonly answered: number;
	/** ms, from the arrival of the history in the page to that frame */
	readonly drawn: number;
	/** Display frames begun in that time; 1: it is in the first that could be. */
	readonly frames: number;
}

export async function benchHistoryInBrowser(sessions: number): Promise<Record<string, unknown>> {
	const folder = createDataFolder();
	const { personId } = createInventedHistory(folder, { sessions, withFrames: 0 });
	const [app, browser] = await Promise.all([startApp([], folder), startBrowser()]);
	try {
		const { page } = await openPage(browser, app);
		await page.addInitScript(watchOpenings);
		await page.reload();
		await postponeCautions(page);
		const found: Opening[] = [];
		for (let i = 0; i < openings; i++) found.push(await openOnce(page, personId));
		const of = (value: (opening: Opening) => number, share: number): number =>
			quantile(
				found
					.slice(1)
					.map(value)
					.sort((a, b) => a - b),
				share,
			);
		return {
			"first opening ms": Number(found[0]!.opened.toPrecision(3)),
			"click to painted ms, median": of(({ opened }) => opened, 0.5),
			"click to painted ms, longest": of(({ opened }) => opened, 1),
			"click to request ms, median": of(({ asked }) => asked, 0.5),
			"request to arrival ms, median": of(({ answered }) => answered, 0.5),
			"arrival to painted ms, median": of(({ drawn }) => drawn, 0.5),
			"frames from arrival to painted, most": of(({ frames }) => frames, 1),
		};
	} finally {
		await browser.close();
		await app.stop();
		removeDataFolder(folder);
	}
}

async function openOnce(page: Page, personId: number): Promise<Opening> {
	await page.evaluate((id) => {
		location.hash = `#/person/${id}`;
	}, personId);
	const link = page.getByRole("link", { name: "Progress" });
	await link.waitFor();
	await page.evaluate(() => performance.clearMarks());
	await link.click();
	await page.waitForFunction(() => performance.getEntriesByName("history-painted").length > 0);
	return page.evaluate(() => {
		const at = (name: string): number => performance.getEntriesByName(name)[0]!.startTime;
		return {
			opened: at("history-painted") - at("history-click"),
			asked: at("history-asked") - at("history-click"),
			answered: at("history-arrived") - at("history-asked"),
			drawn: at("history-painted") - at("history-arrived"),
			frames: performance.getEntriesByName("history-frame").length,
		};
	});
}

/** Runs in the page before its own scripts. */
function watchOpenings(): void {
	addEventListener(
		"click",
		({ timeStamp }) => performance.mark("history-click", { startTime: timeStamp }),
		true,
	);
	const Socket = window.WebSocket;
	window.WebSocket = class extends Socket {
		constructor(url: string | URL) {
			super(url);
			const send = this.send.bind(this);
			this.send = (data) => {
				if (String(data).includes('"getProgress"')) performance.mark("history-asked");
				send(data);
			};
			this.addEventListener("message", (event: MessageEvent) => {
				if (typeof event.data !== "string" || !event.data.includes('"adherenceOverall"')) return;
				performance.mark("history-arrived");
				requestAnimationFrame(look);
			});
		}
	};
	function look(): void {
		performance.mark("history-frame");
		if (document.querySelectorAll(".progress-chart").length === 0) requestAnimationFrame(look);
		// A task after the frame's callbacks runs once the frame is handed to the compositor.
		else {
			const { port1, port2 } = new MessageChannel();
			port1.onmessage = () => performance.mark("history-painted");
			port2.postMessage(null);
		}
	}
}
