/** The trend plot inside a host element: made anew when regions, unit or theme change, redrawn at most twelve times a
 *  second. */
import type { Theme } from "../theme.ts";
import type { AutoRange } from "./auto-range.ts";
import type { FrameLoop } from "./frame-loop.ts";
import { watchSize } from "./picture-view.ts";
import { createTrendColumns, fillColumns, type TrendColumns } from "./trend-columns.ts";
import { createTrendPlot, type TimeAxis, type TrendPlot, type TrendPlotOptions } from "./trend-plot.ts";
import type { TrendRing } from "./trend-ring.ts";

export interface TrendScene {
	readonly ring: TrendRing;
	/** Seconds of the ring that are shown. */
	from: number;
	to: number;
	axis: TimeAxis;
	/** What the axis counts from, in the ring's seconds. */
	origin: number;
	/** In the ring's seconds, or null. */
	playhead: number | null;
}

export interface TrendLines {
	ask(): void;
	dispose(): void;
}

const SHORTEST_PAUSE_MILLISECONDS = 80;
/** More samples than this are thinned, keeping the extremes. */
const MOST_SAMPLES = 1500;

/** `scene` is read at each drawing; null clears the lines. Zoom and pick come in the ring's seconds. */
export function createTrendLines(
	host: HTMLElement,
	frames: FrameLoop,
	theme: Theme,
	range: AutoRange,
	options: Pick<TrendPlotOptions, "regions" | "unit" | "onZoom" | "onPick">,
	scene: () => TrendScene | null,
): TrendLines {
	let columns: TrendColumns = createTrendColumns(options.regions.length);
	let origin = 0;
	let lastDrawn = Number.NEGATIVE_INFINITY;
	let plot = makePlot();

	function makePlot(): TrendPlot {
		return createTrendPlot(host, {
			regions: options.regions,
			unit: options.unit,
			colours: theme.colours,
			onZoom: (from, to) => options.onZoom(from + origin, to + origin),
			onPick: (seconds) => options.onPick(seconds + origin),
		});
	}

	const handle = frames.add({
		draw(now) {
			if (now - lastDrawn < SHORTEST_PAUSE_MILLISECONDS) return true;
			lastDrawn = now;
			const shown = scene();
			if (shown === null) {
				columns = createTrendColumns(options.regions.length);
				plot.show(columns, 0, 1, range.value, "clock");
				return false;
			}
			origin = shown.origin;
			fillColumns(columns, shown.ring, shown.from, shown.to, origin, MOST_SAMPLES);
			range.update(peakOf(columns), shown.to);
			plot.setPlayhead(shown.playhead === null ? null : shown.playhead - origin);
			plot.show(columns, shown.from - origin, shown.to - origin, range.value, shown.axis);
			return false;
		},
	});

	const endings = [
		watchSize(host, () => {
			plot.resize(host.clientWidth, host.clientHeight);
			handle.ask();
		}),
		theme.onChange(() => {
			plot.dispose();
			plot = makePlot();
			handle.ask();
		}),
	];

	return {
		ask: () => handle.ask(),
		dispose() {
			for (const end of endings) end();
			handle.dispose();
			plot.dispose();
		},
	};
}

function peakOf(columns: TrendColumns): number {
	let peak = 0;
	for (let c = 1; c < columns.length; c++) {
		for (const value of columns[c]!) if (value !== null && Math.abs(value) > peak) peak = Math.abs(value);
	}
	return peak;
}
