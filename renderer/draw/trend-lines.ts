/** The trend plot inside a host element: made anew when regions, unit or theme change, redrawn at most ten times a
 *  second. */
import type { TrendMarks } from "../../app/contract.ts";
import type { Theme } from "../theme.ts";
import { createAutoRange, fineSteps } from "./auto-range.ts";
import type { FrameLoop } from "./frame-loop.ts";
import { watchSize } from "./picture-view.ts";
import { type SetSpan, shiftSpans } from "./set-spans.ts";
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
	/** Sets to show behind the lines, in the ring's seconds. */
	readonly spans?: readonly SetSpan[];
	/** In the ring's seconds. */
	readonly marks?: TrendMarks;
	/** Ends of the vertical scale where several plots share one. */
	readonly ends?: readonly [bottom: number, top: number];
}

export interface TrendLines {
	ask(): void;
	dispose(): void;
}

const SHORTEST_PAUSE_MILLISECONDS = 95;
/** Neither end comes nearer to zero than this, in the unit, nor than this share of the other end. */
const SMALLEST_END = { "S/m": 0.001, relative: 0.005 };
const LEAST_SHARE = 0.2;
/** More samples than this are thinned, keeping the extremes. */
const MOST_SAMPLES = 1500;

/** `scene` is read at each drawing; null clears the lines. Zoom and pick come in the ring's seconds. */
export function createTrendLines(
	host: HTMLElement,
	frames: FrameLoop,
	theme: Theme,
	options: Pick<TrendPlotOptions, "regions" | "unit" | "onZoom" | "onPick" | "hasSpans">,
	scene: () => TrendScene | null,
): TrendLines {
	// Two calm ends: mostly everything rises, and then half of a symmetric plot would stay empty.
	const above = createAutoRange(SMALLEST_END[options.unit], fineSteps);
	const below = createAutoRange(SMALLEST_END[options.unit], fineSteps);
	let columns: TrendColumns = createTrendColumns(options.regions.length);
	let origin = 0;
	let lastDrawn = Number.NEGATIVE_INFINITY;
	let timer: ReturnType<typeof setTimeout> | null = null;
	let plot = makePlot();

	function makePlot(): TrendPlot {
		return createTrendPlot(host, {
			regions: options.regions,
			unit: options.unit,
			hasSpans: options.hasSpans ?? false,
			colours: theme.colours,
			onZoom: (from, to) => options.onZoom(from + origin, to + origin),
			onPick: (seconds) => options.onPick(seconds + origin),
		});
	}

	const handle = frames.add({
		draw(now) {
			const early = lastDrawn + SHORTEST_PAUSE_MILLISECONDS - now;
			if (early > 0) {
				// Not by asking for the next frame: frames with nothing to draw cost time as well.
				timer ??= setTimeout(() => {
					timer = null;
					handle.ask();
				}, early);
				return false;
			}
			lastDrawn = now;
			const shown = scene();
			if (shown === null) {
				columns = createTrendColumns(options.regions.length);
				plot.show(columns, 0, 1, -below.value, above.value, "clock");
				return false;
			}
			origin = shown.origin;
			fillColumns(columns, shown.ring, shown.from, shown.to, origin, MOST_SAMPLES);
			if (shown.marks !== undefined) leaveOutDoubt(columns, shown.marks, origin);
			above.update(peakOf(columns, 1), shown.to);
			below.update(peakOf(columns, -1), shown.to);
			const bottom = -Math.max(below.value, LEAST_SHARE * above.value);
			const top = Math.max(above.value, LEAST_SHARE * below.value);
			if (shown.spans !== undefined) plot.setSpans(shiftSpans(shown.spans, -origin));
			if (shown.marks !== undefined) plot.setMarks(shown.marks, origin);
			plot.setPlayhead(shown.playhead === null ? null : shown.playhead - origin);
			plot.show(
				columns,
				shown.from - origin,
				shown.to - origin,
				...(shown.ends ?? [bottom, top]),
				shown.axis,
			);
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
			if (timer !== null) clearTimeout(timer);
			handle.dispose();
			plot.dispose();
		},
	};
}

/** Times of frames are whole microseconds. s */
const ROUNDING = 1e-6;

/** What was measured while an electrode failed and was not found yet is no change of a muscle: it is not drawn, and does
 *  not stretch the scale. */
export function leaveOutDoubt(columns: TrendColumns, { leftOut }: TrendMarks, origin: number): void {
	const [seconds, ...lines] = columns;
	for (const { from, rightFrom } of leftOut) {
		for (let row = 0; row < seconds.length; row++) {
			const at = origin + seconds[row]!;
			if (at >= from - ROUNDING && at < rightFrom - ROUNDING) for (const line of lines) line[row] = null;
		}
	}
}

/** The farthest from zero on one side. */
function peakOf(columns: TrendColumns, sign: 1 | -1): number {
	let peak = 0;
	for (let c = 1; c < columns.length; c++) {
		for (const value of columns[c]!) if (value !== null && sign * value > peak) peak = sign * value;
	}
	return peak;
}
