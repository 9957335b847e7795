/**
 * One measure over weeks as plain geometry in CSS px: lines that break where comparing is unsafe, the error band around
 * them, and axes. A few long paths instead of many small elements, so that a page full of charts draws in one frame.
 */
import type { ProgressPoint, UnsafeComparison } from "../../core/exercise/progress.ts";
import { axisTicks, weekTicks } from "./axis-ticks.ts";

export interface ChartSize {
	readonly width: number;
	readonly height: number;
	/** Room for the numbers on the left and the days below. */
	readonly left: number;
	readonly bottom: number;
	readonly top: number;
	readonly right: number;
}

export interface ProgressChart {
	readonly yTicks: readonly { readonly value: number; readonly y: number }[];
	/** `day` counts from the first session. */
	readonly xTicks: readonly { readonly day: number; readonly x: number }[];
	/** SVG path data; empty where there is nothing to draw. */
	readonly lines: string;
	/** 95 % of the true values; empty where the measure's error is unknown. */
	readonly band: string;
	readonly dots: string;
	readonly points: readonly { readonly x: number; readonly y: number }[];
	/** Between the point before and the one from which on other conditions hold. */
	readonly breaks: readonly {
		readonly x: number;
		readonly index: number;
		readonly reasons: readonly UnsafeComparison[];
	}[];
	readonly zeroY: number | null;
}

/** Dots that would touch each other hide the line. */
const LARGEST_DOT = 3.2;
const SMALLEST_DOT = 1.4;
/** Half the width of the error of a point that stands alone. */
const ALONE_HALF_WIDTH = 5;
const Y_TICKS = 4;
/** Part of a day's width over which its sessions spread. */
const DAY_SHARE = 0.8;
const PIXELS_PER_WEEK_TICK = 54;

export interface ChartAxis {
	/** Both ends of a scale, such as 0 and 10, which the axis then shows. */
	readonly ends?: readonly number[];
	/** The least that the axis shows, in the points' unit: less would make noise look like a course. */
	readonly leastSpan?: number;
}

/** @throws RangeError without points. */
export function layOutProgress(
	points: readonly ProgressPoint[],
	size: ChartSize,
	lastDay: number,
	{ ends = [], leastSpan = 0 }: ChartAxis = {},
): ProgressChart {
	if (points.length === 0) throw new RangeError("progress chart: no points");
	const { width, height, left, right, top, bottom } = size;
	const values = points.flatMap((point) => [point.value, ...(point.band ?? [])]).concat(ends);
	const [low, high] =
		ends.length > 0 ? [Math.min(...values), Math.max(...values)] : spreadOf(values, leastSpan);
	const ticks = axisTicks(low, high, Y_TICKS);
	const bottomValue = ticks[0]!;
	const topValue = ticks.at(-1)!;
	const inset = 8;
	const x = (day: number): number =>
		left + inset + ((width - left - right - 2 * inset) * day) / (lastDay + DAY_SHARE);
	const y = (value: number): number =>
		top + ((height - top - bottom) * (topValue - value)) / (topValue - bottomValue);
	const places = placesOf(points);
	const at = points.map((point, i) => ({ x: x(places[i]!), y: y(point.value) }));

	const between = at.length > 1 ? (at.at(-1)!.x - at[0]!.x) / (at.length - 1) : width;
	const radius = Math.max(SMALLEST_DOT, Math.min(LARGEST_DOT, 0.32 * between));

	const starts = points.flatMap((point, i) => (i === 0 || point.brokenBy.length > 0 ? [i] : []));
	const stretches = starts.map((start, k) => [start, starts[k + 1] ?? points.length] as const);
	return {
		yTicks: ticks.map((value) => ({ value, y: y(value) })),
		xTicks: weekTicks(lastDay, Math.max(2, Math.floor(width / PIXELS_PER_WEEK_TICK))).map((day) => ({
			day,
			x: x(day),
		})),
		lines: stretches.map(([from, to]) => polyline(at.slice(from, to))).join(""),
		band: stretches.map(([from, to]) => ribbon(points.slice(from, to), at.slice(from, to), y)).join(""),
		dots: at.map(({ x: cx, y: cy }) => dot(cx, cy, radius)).join(""),
		points: at,
		breaks: starts.slice(1).map((index) => ({
			x: (at[index - 1]!.x + at[index]!.x) / 2,
			index,
			reasons: points[index]!.brokenBy,
		})),
		zeroY: bottomValue < 0 && topValue > 0 ? y(0) : null,
	};
}

/** The point nearest to `x`, by its number. */
export function nearestPoint(points: readonly { readonly x: number }[], x: number): number {
	let nearest = 0;
	for (let i = 1; i < points.length; i++) {
		if (Math.abs(points[i]!.x - x) < Math.abs(points[nearest]!.x - x)) nearest = i;
	}
	return nearest;
}

/** A value alone still needs an axis with two ends. */
function spreadOf(values: readonly number[], leastSpan: number): [low: number, high: number] {
	let low = Math.min(...values);
	let high = Math.max(...values);
	if (high - low < 1e-12 * Math.max(1, Math.abs(high))) {
		const room = Math.abs(high) > 1e-9 ? 0.2 * Math.abs(high) : 1;
		low -= room;
		high += room;
	}
	const room = Math.max(0.06 * (high - low), (leastSpan - (high - low)) / 2);
	// What is never below zero is not drawn as if it could be.
	const bottom = low >= 0 ? Math.max(0, low - room) : low - room;
	return [bottom, Math.max(high + room, bottom + leastSpan)];
}

/** Sessions of one day lie side by side within it, in their order. */
function placesOf(points: readonly ProgressPoint[]): readonly number[] {
	return points.map(({ day }, i) => {
		let first = i;
		while (first > 0 && points[first - 1]!.day === day) first--;
		let end = i;
		while (end < points.length && points[end]!.day === day) end++;
		return day + (DAY_SHARE * (i - first)) / (end - first);
	});
}

function polyline(points: readonly { readonly x: number; readonly y: number }[]): string {
	if (points.length < 2) return "";
	return points.map(({ x, y }, i) => `${i === 0 ? "M" : "L"}${short(x)} ${short(y)}`).join("");
}

function ribbon(
	points: readonly ProgressPoint[],
	at: readonly { readonly x: number }[],
	y: (value: number) => number,
): string {
	const known = points.flatMap(({ band }, i) => (band === null ? [] : [{ x: at[i]!.x, band }]));
	if (known.length === 0) return "";
	if (known.length === 1) {
		const [{ x, band }] = known as [(typeof known)[0]];
		const from = short(x - ALONE_HALF_WIDTH);
		const to = short(x + ALONE_HALF_WIDTH);
		return `M${from} ${short(y(band[1]))}H${to}V${short(y(band[0]))}H${from}Z`;
	}
	const upper = known.map(({ x, band }) => `${short(x)} ${short(y(band[1]))}`);
	const lower = known.map(({ x, band }) => `${short(x)} ${short(y(band[0]))}`).reverse();
	return `M${[...upper, ...lower].join("L")}Z`;
}

function dot(x: number, y: number, radius: number): string {
	const r = short(radius);
	return `M${short(x - r)} ${short(y)}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`;
}

function short(value: number): number {
	return Math.round(value * 10) / 10;
}
