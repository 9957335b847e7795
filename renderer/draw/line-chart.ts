/** A few lines over one axis as plain geometry in CSS px; both axes may be logarithmic. */
import { axisTicks } from "./axis-ticks.ts";

export interface LineChartOptions {
	readonly width: number;
	readonly height: number;
	readonly x: readonly number[];
	/** Columns as long as `x`; a line breaks at a null. */
	readonly lines: readonly (readonly (number | null)[])[];
	readonly xScale?: "linear" | "log";
	readonly yScale?: "linear" | "log";
	/** Ends of the x axis; the data's own where left out. */
	readonly xEnds?: readonly [low: number, high: number];
	/** What is wanted: from `low` to `high` for x up to `until`. */
	readonly wanted?: { readonly low: number; readonly high: number; readonly until: number };
}

export interface LineChart {
	readonly left: number;
	readonly right: number;
	readonly top: number;
	readonly bottom: number;
	readonly xTicks: readonly { readonly value: number; readonly at: number }[];
	readonly yTicks: readonly { readonly value: number; readonly at: number }[];
	/** SVG path data, one for each line. */
	readonly paths: readonly string[];
	readonly wanted: {
		readonly x: number;
		readonly y: number;
		readonly width: number;
		readonly height: number;
	} | null;
	xAt(value: number): number;
	yAt(value: number): number;
	/** The inverse of `xAt`, within the axis. */
	valueAt(x: number): number;
}

const LEFT = 46;
const RIGHT = 10;
const TOP = 8;
const BOTTOM = 24;
const Y_TICKS = 3;
const X_TICKS = 5;

/** @throws RangeError without two finite points, or when a value is not above zero on a logarithmic axis */
export function layOutLines(options: LineChartOptions): LineChart {
	const { width, height, x, lines, wanted } = options;
	const known = lines.flatMap((line) => line.filter((value) => value !== null));
	if (known.length < 2 || x.length < 2) throw new RangeError("line chart: nothing to draw");
	const [xLow, xHigh] = options.xEnds ?? [Math.min(...x), Math.max(...x)];
	const xAxis = createAxis(xLow, xHigh, options.xScale ?? "linear", X_TICKS, false);
	const limits = wanted === undefined ? [] : [wanted.low, wanted.high];
	const yAxis = createAxis(
		Math.min(...known, ...limits),
		Math.max(...known, ...limits),
		options.yScale ?? "linear",
		Y_TICKS,
		true,
	);
	const right = width - RIGHT;
	const bottom = height - BOTTOM;
	const xAt = (value: number) => LEFT + xAxis.share(value) * (right - LEFT);
	const yAt = (value: number) => bottom - yAxis.share(value) * (bottom - TOP);
	return {
		left: LEFT,
		right,
		top: TOP,
		bottom,
		xTicks: xAxis.ticks.map((value) => ({ value, at: xAt(value) })),
		yTicks: yAxis.ticks.map((value) => ({ value, at: yAt(value) })),
		paths: lines.map((line) => pathOf(line, x, xAt, yAt)),
		wanted:
			wanted === undefined
				? null
				: {
						x: LEFT,
						y: yAt(wanted.high),
						width: Math.max(0, xAt(Math.min(wanted.until, xHigh)) - LEFT),
						height: yAt(wanted.low) - yAt(wanted.high),
					},
		xAt,
		yAt,
		valueAt: (at) => xAxis.valueOf(Math.max(0, Math.min(1, (at - LEFT) / (right - LEFT)))),
	};
}

interface Axis {
	readonly ticks: readonly number[];
	share(value: number): number;
	valueOf(share: number): number;
}

/** @param reaches whether the axis goes on to its outermost ticks */
function createAxis(
	low: number,
	high: number,
	scale: "linear" | "log",
	count: number,
	reaches: boolean,
): Axis {
	if (scale === "log") {
		if (!(low > 0)) throw new RangeError("line chart: a logarithmic axis begins above zero");
		const from = reaches ? Math.floor(Math.log10(low) + 1e-9) : Math.log10(low);
		const to = Math.max(from + 1e-3, reaches ? Math.ceil(Math.log10(high) - 1e-9) : Math.log10(high));
		const first = Math.ceil(from - 1e-9);
		const decades = Math.max(1, Math.floor(to + 1e-9) - first);
		const step = Math.ceil(decades / (count + 1));
		const ticks = [];
		for (let power = first; power <= to + 1e-9; power += step) ticks.push(Number(`1e${power}`));
		return {
			ticks,
			share: (value) => (Math.log10(value) - from) / (to - from),
			valueOf: (share) => 10 ** (from + share * (to - from)),
		};
	}
	const room = high - low < 1e-9 * Math.max(1, Math.abs(high)) ? 0.5 : 0;
	const all = axisTicks(low - room, high + room, count);
	const [from, to] = reaches ? [all[0]!, all.at(-1)!] : [low - room, high + room];
	return {
		ticks: all.filter((tick) => tick >= from - 1e-12 && tick <= to + 1e-12),
		share: (value) => (value - from) / (to - from),
		valueOf: (share) => from + share * (to - from),
	};
}

function pathOf(
	line: readonly (number | null)[],
	x: readonly number[],
	xAt: (value: number) => number,
	yAt: (value: number) => number,
): string {
	let path = "";
	let isDown = false;
	for (const [i, value] of line.entries()) {
		if (value === null) {
			isDown = false;
			continue;
		}
		path += `${isDown ? "L" : "M"}${short(xAt(x[i]!))} ${short(yAt(value))}`;
		isDown = true;
	}
	return path;
}

function short(value: number): number {
	return Math.round(value * 10) / 10;
}

/** A column's value between two places of an ascending one, linear in the logarithm of both; the ends hold beyond. */
export function logInterpolated(x: readonly number[], y: readonly number[], at: number): number {
	if (at <= x[0]!) return y[0]!;
	for (let i = 1; i < x.length; i++) {
		if (at > x[i]!) continue;
		const share = Math.log(at / x[i - 1]!) / Math.log(x[i]! / x[i - 1]!);
		return Math.exp(Math.log(y[i - 1]!) * (1 - share) + Math.log(y[i]!) * share);
	}
	return y.at(-1)!;
}
