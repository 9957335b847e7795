import uPlot from "uplot";
import type { TrendMarks } from "../../app/contract.ts";
import { formatChange, formatClock, type Unit } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import type { CanvasColours } from "../theme.ts";
import { canvasFont } from "./canvas-font.ts";
import { paintLineNames } from "./line-names.ts";
import { type RegionInk, regionInk } from "./region-colour.ts";
import { placeSpans, type SetSpan } from "./set-spans.ts";
import type { TrendColumns } from "./trend-columns.ts";
import { paintTrendMarks } from "./trend-marks.ts";

export interface TrendRegion {
	readonly name: string;
	readonly trendIndex: number;
}

export interface TrendPlotOptions {
	readonly regions: readonly TrendRegion[];
	readonly unit: Unit;
	readonly colours: CanvasColours;
	/** Room for the names of sets above the lines. */
	readonly hasSpans?: boolean;
	/** A span was chosen by dragging, in the plot's seconds. */
	onZoom(from: number, to: number): void;
	/** A place was clicked. */
	onPick(seconds: number): void;
}

/** `ago`: seconds back from the right edge, so the grid stands still under a moving line; `clock`: since the
 *  beginning. */
export type TimeAxis = "ago" | "clock";

export interface TrendPlot {
	/** `to` > `from` seconds; `top` > `bottom` in the unit. */
	show(columns: TrendColumns, from: number, to: number, bottom: number, top: number, axis: TimeAxis): void;
	/** Sets shown behind the lines from now on, in the plot's seconds. */
	setSpans(spans: readonly SetSpan[]): void;
	/** What is drawn behind the lines from now on. @param origin what the plot's seconds count from, in the marks' */
	setMarks(marks: TrendMarks, origin: number): void;
	/** A mark across all lines, in the plot's seconds; null for none. */
	setPlayhead(seconds: number | null): void;
	resize(width: number, height: number): void;
	dispose(): void;
}

/** Room for the names at the ends of the lines, CSS px. */
const NAME_ROOM = 132;
const NARROW = 420;
/** Height of the strip that holds the names of sets, CSS px. */
const SPAN_STRIP = 20;

/** Lines of region means: columns go in, pixels come out; nothing is kept but the plot. */
export function createTrendPlot(host: HTMLElement, options: TrendPlotOptions): TrendPlot {
	const { regions, colours, unit } = options;
	const inks = regions.map((region) => regionInk(region.trendIndex));
	let from = 0;
	let to = 1;
	let bottom = -1;
	let top = 1;
	let timeAxis: TimeAxis = "clock";
	let playhead: number | null = null;
	let spans: readonly SetSpan[] = [];
	let marks: TrendMarks = { leftOut: [], rests: [], followed: [] };
	let marksOrigin = 0;

	const grid: uPlot.Axis.Grid = { stroke: colours.hairline, width: 1 };
	const axis: uPlot.Axis = {
		stroke: colours.inkSoft,
		font: `12px ${canvasFont}`,
		grid,
		ticks: { show: false },
	};
	const plot = new uPlot(
		{
			width: Math.max(80, host.clientWidth),
			height: Math.max(80, host.clientHeight),
			padding: [
				options.hasSpans === true ? SPAN_STRIP + 10 : 10,
				(self) => (self.width < NARROW ? 12 : NAME_ROOM),
				0,
				0,
			],
			legend: { show: false },
			cursor: {
				points: { show: false },
				y: false,
				drag: { x: true, y: false, setScale: false, dist: 6 },
				bind: {
					dblclick: () => () => null,
				},
			},
			scales: {
				x: { time: false, range: () => [from, to] },
				y: { range: () => [bottom, top] },
			},
			axes: [
				{
					...axis,
					gap: 6,
					size: 30,
					space: 64,
					values: (_, ticks) =>
						ticks.map((tick) => (timeAxis === "clock" ? formatClock(tick) : agoText(tick))),
				},
				{
					...axis,
					gap: 8,
					size: 58,
					space: 34,
					values: (_, ticks) =>
						ticks.map((tick) => formatChange(tick, unit, { withUnit: false, tick: true })),
				},
			],
			series: [
				{},
				...regions.map((region, i) => ({
					label: region.name,
					stroke: strokeOf(inks[i]!, colours.isDark),
					width: 2,
					dash: [...inks[i]!.dash],
					spanGaps: false,
					points: { show: false },
				})),
			],
			hooks: {
				drawClear: [paintSpans, (self) => paintTrendMarks(self, marks, marksOrigin, colours, "spans")],
				drawAxes: [paintZero],
				draw: [(self) => paintTrendMarks(self, marks, marksOrigin, colours, "names"), paintNames],
				setSelect: [
					(self) => {
						if (self.select.width < 6) return;
						const start = self.posToVal(self.select.left, "x");
						const end = self.posToVal(self.select.left + self.select.width, "x");
						self.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
						options.onZoom(start, end);
					},
				],
			},
		},
		[[], ...regions.map(() => [])] as uPlot.AlignedData,
		host,
	);
	const pick = (event: MouseEvent): void => options.onPick(plot.posToVal(event.offsetX, "x"));
	plot.over.addEventListener("click", pick);

	function paintZero(self: uPlot): void {
		const { ctx, bbox } = self;
		const y = Math.round(self.valToPos(0, "y", true)) + 0.5;
		ctx.save();
		ctx.strokeStyle = colours.inkSoft;
		ctx.lineWidth = devicePixelRatio;
		ctx.setLineDash([]);
		ctx.beginPath();
		ctx.moveTo(bbox.left, y);
		ctx.lineTo(bbox.left + bbox.width, y);
		ctx.stroke();
		ctx.restore();
	}

	function paintSpans(self: uPlot): void {
		if (spans.length === 0) return;
		const { ctx, bbox } = self;
		const ratio = devicePixelRatio;
		ctx.save();
		ctx.font = `600 ${12 * ratio}px ${canvasFont}`;
		ctx.textAlign = "center";
		ctx.textBaseline = "middle";
		const measure = (text: string): number => ctx.measureText(text).width;
		const strip = bbox.top - (SPAN_STRIP + 3) * ratio;
		for (const placed of placeSpans(spans, from, to, bbox.left, bbox.width, measure)) {
			const { left, right, text, span } = placed;
			const width = Math.max(2 * ratio, right - left);
			ctx.fillStyle = colours.accent;
			ctx.globalAlpha = 0.09;
			ctx.fillRect(left, bbox.top, width, bbox.height);
			ctx.globalAlpha = 0.2;
			ctx.beginPath();
			ctx.roundRect(left, strip, width, SPAN_STRIP * ratio, 4 * ratio);
			ctx.fill();
			ctx.globalAlpha = 0.75;
			for (const [onset, offset] of span.repetitions) {
				if (offset < from || onset > to) continue;
				const start = self.valToPos(Math.max(from, onset), "x", true);
				const end = self.valToPos(Math.min(to, offset), "x", true);
				ctx.fillRect(start, bbox.top + bbox.height - 3 * ratio, Math.max(ratio, end - start), 3 * ratio);
			}
			ctx.globalAlpha = 1;
			ctx.fillStyle = colours.ink;
			if (text !== "") ctx.fillText(text, (left + right) / 2, strip + (SPAN_STRIP / 2 + 0.5) * ratio);
		}
		ctx.restore();
	}

	function paintNames(self: uPlot): void {
		if (self.width >= NARROW) paintLineNames(self, regions, inks, colours);
		if (playhead === null || playhead < from || playhead > to) return;
		const { ctx, bbox } = self;
		const x = self.valToPos(playhead, "x", true);
		ctx.save();
		ctx.strokeStyle = colours.accent;
		ctx.lineWidth = 2 * devicePixelRatio;
		ctx.setLineDash([]);
		ctx.beginPath();
		ctx.moveTo(x, bbox.top);
		ctx.lineTo(x, bbox.top + bbox.height);
		ctx.stroke();
		ctx.restore();
	}

	return {
		show(columns, nextFrom, nextTo, nextBottom, nextTop, nextAxis) {
			timeAxis = nextAxis;
			from = nextFrom;
			to = nextTo;
			bottom = nextBottom;
			top = nextTop;
			plot.setData(columns as uPlot.AlignedData);
		},
		setSpans(next) {
			spans = next;
		},
		setMarks(next, origin) {
			marks = next;
			marksOrigin = origin;
		},
		setPlayhead(seconds) {
			if (seconds === playhead) return;
			playhead = seconds;
			plot.redraw(false, false);
		},
		resize(width, height) {
			plot.setSize({ width: Math.max(80, width), height: Math.max(80, height) });
		},
		dispose() {
			plot.over.removeEventListener("click", pick);
			plot.destroy();
		},
	};
}

export function strokeOf(ink: RegionInk, isDark: boolean): string {
	return isDark ? ink.onDark : ink.onLight;
}

function agoText(seconds: number): string {
	const whole = Math.round(seconds * 10) / 10;
	return whole === 0 ? words.trends.now : `${String(whole).replace("-", "\u2212")}\u00a0s`;
}
