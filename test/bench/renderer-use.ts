/** What showing the app costs a browser without a window: the live screen with two bands, and the volume. There is no
 *  graphics card for it: the graphics process's share would fall to a card, and pictures are fewer than with one. */
import { setTimeout as wait } from "node:timers/promises";
import type { Browser, CDPSession, Page } from "playwright-core";
import { startBrowser } from "../browser/app-under-test.ts";

const spans = 3;
const spanMillis = 5000;
const mainThread = "main thread s/s";

interface Sessions {
	readonly ofPage: CDPSession;
	readonly ofBrowser: CDPSession;
}

/** Readings of counters that only grow, s but for `drawn`. */
interface Counters {
	readonly at: number;
	readonly tasks: number;
	readonly scripts: number;
	readonly page: number;
	readonly graphics: number;
	/** Pictures that the page has told the app of. */
	readonly drawn: number;
}

declare global {
	interface Window {
		picturesTold: number;
	}
}

/** @param entryUrl of a running app with two bands and a volume */
export async function benchRenderer(entryUrl: string): Promise<Record<string, unknown>> {
	const inSoftware = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"];
	return {
		"live screen": await benchScreen(entryUrl, await startBrowser(), "live", ".picture-panel canvas"),
		"volume screen": await benchScreen(entryUrl, await startBrowser(inSoftware), "volume", ".volume-canvas"),
	};
}

/** Runs in the page before its own scripts. */
function countPictures(): void {
	window.picturesTold = 0;
	const send = WebSocket.prototype.send;
	WebSocket.prototype.send = function (data) {
		if (String(data).includes('"drawn"')) window.picturesTold++;
		send.call(this, data);
	};
}

/** Of the span in which the page's main thread had least to do. */
async function benchScreen(
	entryUrl: string,
	browser: Browser,
	screen: string,
	shown: string,
): Promise<Record<string, number>> {
	try {
		const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
		const ofPage = await page.context().newCDPSession(page);
		const sessions = { ofPage, ofBrowser: await browser.newBrowserCDPSession() };
		await ofPage.send("Performance.enable");
		await page.addInitScript(countPictures);
		await page.goto(entryUrl);
		await page.evaluate((hash) => {
			location.hash = hash;
		}, `#/${screen}`);
		await page.locator(shown).first().waitFor();
		await wait(spanMillis);
		const found: Record<string, number>[] = [];
		for (let i = 0; i < spans; i++) found.push(await measureSpan(page, sessions));
		return found.reduce((a, b) => (b[mainThread]! < a[mainThread]! ? b : a));
	} finally {
		await browser.close();
	}
}

async function measureSpan(page: Page, sessions: Sessions): Promise<Record<string, number>> {
	const before = await countersOf(page, sessions);
	await wait(spanMillis);
	const after = await countersOf(page, sessions);
	const perSecond = (of: keyof Counters): number =>
		Number(((after[of] - before[of]) / (after.at - before.at)).toPrecision(3));
	return {
		[mainThread]: perSecond("tasks"),
		"its scripts s/s": perSecond("scripts"),
		"page's process cores": perSecond("page"),
		"graphics process cores": perSecond("graphics"),
		"pictures drawn a second": Math.round(perSecond("drawn")),
	};
}

async function countersOf(page: Page, { ofPage, ofBrowser }: Sessions): Promise<Counters> {
	const { metrics } = await ofPage.send("Performance.getMetrics");
	const { processInfo } = await ofBrowser.send("SystemInfo.getProcessInfo");
	const of = (name: string): number => metrics.find((metric) => metric.name === name)!.value;
	const spent = (type: string): number =>
		processInfo.filter((one) => one.type === type).reduce((sum, { cpuTime }) => sum + cpuTime, 0);
	return {
		at: of("Timestamp"),
		tasks: of("TaskDuration"),
		scripts: of("ScriptDuration"),
		page: spent("renderer"),
		graphics: spent("GPU"),
		drawn: await page.evaluate(() => window.picturesTold),
	};
}
