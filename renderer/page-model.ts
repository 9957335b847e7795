/** Everything the page holds besides what its screens show: made once, handed down. */
import type { AppState } from "../app/contract.ts";
import { type Bridge, type Connection, createBridge } from "./bridge.ts";
import { createFrameLoop, type FrameLoop } from "./draw/frame-loop.ts";
import { createLatencyLog, type LatencyLog } from "./draw/latency.ts";
import { createPictureFeed, type PictureFeed } from "./picture-feed.ts";
import { openHostPipe } from "./pipe.ts";
import { createPreferences, type PreferenceStore } from "./preferences.ts";
import { createTheme, type Theme } from "./theme.ts";
import { createVolumeFeed, isVolumePacket, type VolumeFeed } from "./volume-feed.ts";

/** About a minute at 60 pictures a second. */
const LATENCIES_KEPT = 4096;

export interface PageModel {
	readonly bridge: Bridge;
	readonly feed: PictureFeed;
	readonly volume: VolumeFeed;
	readonly frames: FrameLoop;
	readonly latencies: LatencyLog;
	readonly preferences: PreferenceStore;
	readonly theme: Theme;
	/** The app's newest state; null until the first one has come. Kept while the connection is lost. */
	readonly state: AppState | null;
	readonly connection: Connection;
	onChange(listener: () => void): () => void;
}

export function createPageModel(): PageModel {
	const listeners = new Set<() => void>();
	let state: AppState | null = null;
	let connection: Connection = "opening";

	function tell(): void {
		for (const listener of listeners) listener();
	}

	const latencies = createLatencyLog(LATENCIES_KEPT);
	const preferences = createPreferences(localStorage);
	const feed = createPictureFeed({
		bridge: () => bridge,
		latencies,
		now: () => Date.now(),
		isHidden: () => document.hidden,
	});
	const volume = createVolumeFeed(
		() => bridge,
		() => document.hidden,
	);
	const bridge = createBridge(
		openHostPipe,
		{
			onState(next) {
				// Geometries are numbered afresh, too.
				if (state !== null && state.records.number !== next.records.number) {
					feed.reset();
					volume.reset();
				}
				state = next;
				tell();
			},
			onPicture: (packet) => (isVolumePacket(packet) ? volume : feed).take(packet),
			onConnection(next) {
				// The app may have been started again, and its geometries numbered afresh.
				if (next === "open" && connection !== "opening") {
					feed.reset();
					volume.reset();
				}
				if (next === "open") volume.reopen();
				connection = next;
				tell();
			},
		},
		(task, milliseconds) => {
			const timer = setTimeout(task, milliseconds);
			return () => clearTimeout(timer);
		},
	);
	document.addEventListener("visibilitychange", () => {
		if (document.hidden) return;
		feed.refill();
		volume.section.refill();
	});

	return {
		bridge,
		feed,
		volume,
		frames: createFrameLoop((callback) => requestAnimationFrame(callback)),
		latencies,
		preferences,
		theme: createTheme(preferences),
		get state() {
			return state;
		},
		get connection() {
			return connection;
		},
		onChange(listener) {
			listeners.add(listener);
			return () => listeners.delete(listener);
		},
	};
}
