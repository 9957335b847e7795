import uPlot from "uplot";
import { formatChange, formatClock, type Unit } from "../text/quantity.ts";
import { words } from "../text/words.ts";
import type { CanvasColours } from "../theme.ts";
import { canvasFont } from "./canvas-font.ts";
import { paintLineNames } from "./line-names.ts";
import { type RegionInk, regionInk } from "./region-colour.ts";
import type { TrendColumns } from "./trend-columns.ts";

export interface TrendRegion {
	readonly name: string;
	readonly trendIndex: number;
}

export interface TrendPlotOptions {
	readonly regions: readonly TrendRegion[];
	readonly unit: Unit;
	readonly colours: CanvasColours;
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
	/** A mark across all lines, in the plot's seconds; null for none. */
	setPlayhead(seconds: number | null): void;
	resize(width: number, height: number): void;
	dispose(): void;
}

/** Room for the names at the ends of the lines, CSS px. */
const NAME_ROOM = 132;
const NARROW = 420;

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
			padding: [10, (self) => (self.width < NARROW ? 12 : NAME_ROOM), 0, 0],
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
				drawAxes: [paintZero],
				draw: [paintNames],
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
