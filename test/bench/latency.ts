/** From the last byte of a frame in the app to its picture drawn in a real browser, on the simulated band at 30 frames
 *  a second. The page measures: both sides read the same clock. Drawn means handed to the browser's compositor. */
import {
	acknowledgeCautions,
	openPage,
	removeDataFolder,
	startApp,
	startBrowser,
	waitForPictures,
} from "../browser/app-under-test.ts";
import { quantile } from "./measure.ts";

const pictures = 600;

export async function benchLatency(): Promise<Record<string, unknown>> {
	const [app, browser] = await Promise.all([startApp(), startBrowser()]);
	try {
		const { page } = await openPage(browser, app);
		await acknowledgeCautions(page);
		await waitForPictures(page, 60);
		await waitForPictures(page, pictures);
		const millis = await page.evaluate(() => [...window.tautlineLatencies!.recent()]);
		millis.sort((a, b) => a - b);
		return {
			pictures: millis.length,
			"p50 ms": quantile(millis, 0.5),
			"p99 ms": quantile(millis, 0.99),
			"longest ms": quantile(millis, 1),
		};
	} finally {
		await browser.close();
		await app.stop();
		removeDataFolder(app.dataFolder);
	}
}
