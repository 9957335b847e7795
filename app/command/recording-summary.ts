import type { Store } from "../store/store.ts";
import { openRecords } from "./open-records.ts";

/** One line of JSON about what is in the file now, not about what was meant to be. */
function summaryOf(store: Store, sessionId: number): unknown {
	const session = store.session(sessionId);
	if (!session.ok) return null;
	const { summary, badByCause, configurations, series } = session.value;
	const baselines = store.readBaselines(sessionId);
	const trends = [...new Set(series.map((one) => one.bandIndex))].map((band) =>
		store.readTrends(sessionId, band),
	);
	let trendFrames = 0;
	for (const one of trends) if (one.ok) for (const part of one.value) trendFrames += part.ordinals.length;
	const seconds = summary.durationSeconds;
	return {
		session: sessionId,
		simulated: summary.simulated,
		bands: new Set(configurations.map((one) => one.bandIndex)).size,
		// Of all bands together, as the rate below.
		frames: summary.frameCount,
		lost: summary.lostCount,
		bad: summary.badCount,
		badByCause,
		seconds,
		framesPerSecond: seconds > 0 ? Number(((summary.frameCount - 1) / seconds).toFixed(2)) : null,
		regions: [...new Set(series.flatMap((one) => one.regions.map((region) => region.id)))],
		framesWithRegionMeans: trendFrames,
		baselines: baselines.ok
			? baselines.value.map(({ fromOrdinal, seconds: length, frameCount, automatic }) => ({
					fromOrdinal,
					seconds: length,
					frames: frameCount,
					automatic,
				}))
			: [],
	};
}

/** Prints it; nothing when the file cannot be read, which has been told by then. */
export function printRecording(path: string, sessionId: number): void {
	const opened = openRecords(path);
	if (!opened.ok) return;
	process.stdout.write(`${JSON.stringify(summaryOf(opened.value, sessionId))}\n`);
	opened.value.dispose();
}
