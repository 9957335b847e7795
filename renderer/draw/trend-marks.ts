/** What is to be known about lines, drawn behind them: spans measured without some readings, and rests taken again. */
import type uPlot from "uplot";
import type { TrendMarks } from "../../app/contract.ts";
import { spanNames } from "../text/left-out-words.ts";
import { words } from "../text/words.ts";
import type { CanvasColours } from "../theme.ts";
import { canvasFont } from "./canvas-font.ts";

/** Distance of the hatching's lines, CSS px. */
const HATCH = 9;
const TEXT_HEIGHT = 18;

/** @param origin what the plot's seconds count from, in the marks' seconds @param what names go over the lines */
export function paintTrendMarks(
	plot: uPlot,
	{ leftOut, rests, followed }: TrendMarks,
	origin: number,
	colours: CanvasColours,
	what: "spans" | "names",
): void {
	const { ctx, bbox } = plot;
	const ratio = devicePixelRatio;
	const { min, max } = plot.scales.x!;
	if (min === undefined || max === undefined || max === null || min === null) return;
	const x = (seconds: number): number =>
		plot.valToPos(Math.max(min, Math.min(max, seconds - origin)), "x", true);
	ctx.save();
	ctx.font = `600 ${12 * ratio}px ${canvasFont}`;
	ctx.textBaseline = "middle";
	ctx.lineWidth = ratio;
	for (const span of leftOut) {
		const to = span.to ?? Number.POSITIVE_INFINITY;
		if (to - origin < min || span.from - origin > max) continue;
		const left = x(span.from);
		const width = Math.max(2 * ratio, x(to) - left);
		if (what === "spans") {
			paintHatching(ctx, left, bbox.top, width, bbox.height, colours.caution);
			continue;
		}
		const name = spanNames(span).find((text) => ctx.measureText(text).width + 10 * ratio <= width);
		if (name !== undefined) paintName(ctx, name, left + 3 * ratio, bbox.top + 3 * ratio, colours);
	}
	if (what === "spans") {
		const place = {
			left: min + origin,
			right: max + origin,
			top: bbox.top,
			bottom: bbox.top + bbox.height,
			x,
		};
		ctx.fillStyle = colours.inkSoft;
		ctx.strokeStyle = colours.inkSoft;
		ctx.textAlign = "left";
		ctx.setLineDash([5 * ratio, 4 * ratio]);
		paintMoments(ctx, rests, words.trends.restTaken, place);
		ctx.setLineDash([ratio, 5 * ratio]);
		ctx.globalAlpha = 0.75;
		paintMoments(ctx, followed, words.trends.restFollowed, place);
	}
	ctx.restore();
}

interface MomentPlace {
	/** s */
	readonly left: number;
	readonly right: number;
	/** Device px */
	readonly top: number;
	readonly bottom: number;
	readonly x: (seconds: number) => number;
}

/** A line at each, named where its name does not run into the one before. */
function paintMoments(
	ctx: CanvasRenderingContext2D,
	moments: readonly number[],
	name: string,
	{ left, right, top, bottom, x }: MomentPlace,
): void {
	const ratio = devicePixelRatio;
	const width = ctx.measureText(name).width + 8 * ratio;
	let free = Number.NEGATIVE_INFINITY;
	for (const seconds of moments) {
		if (seconds < left || seconds > right) continue;
		const at = Math.round(x(seconds)) + 0.5;
		ctx.beginPath();
		ctx.moveTo(at, top);
		ctx.lineTo(at, bottom);
		ctx.stroke();
		if (at < free) continue;
		free = at + width;
		ctx.fillText(name, at + 4 * ratio, bottom - (TEXT_HEIGHT / 2) * ratio);
	}
}

/** Lines as well as colour, so that it is seen on paper and without colours. */
function paintHatching(
	ctx: CanvasRenderingContext2D,
	left: number,
	top: number,
	width: number,
	height: number,
	colour: string,
): void {
	const step = HATCH * devicePixelRatio;
	ctx.save();
	ctx.beginPath();
	ctx.rect(left, top, width, height);
	ctx.clip();
	ctx.fillStyle = colour;
	ctx.globalAlpha = 0.09;
	ctx.fillRect(left, top, width, height);
	ctx.strokeStyle = colour;
	ctx.globalAlpha = 0.3;
	ctx.beginPath();
	// bound to the plot, not to the span: the hatching stands still while a span grows
	const bottom = top + height;
	for (let at = left - (left % step) - height; at < left + width; at += step) {
		ctx.moveTo(at, bottom);
		ctx.lineTo(at + height, top);
	}
	ctx.stroke();
	ctx.globalAlpha = 0.8;
	ctx.strokeRect(left, top - 1, width, height + 2);
	ctx.restore();
}

function paintName(
	ctx: CanvasRenderingContext2D,
	text: string,
	left: number,
	top: number,
	colours: CanvasColours,
): void {
	const ratio = devicePixelRatio;
	ctx.fillStyle = colours.surface;
	ctx.globalAlpha = 0.88;
	ctx.fillRect(left, top, ctx.measureText(text).width + 6 * ratio, TEXT_HEIGHT * ratio);
	ctx.globalAlpha = 1;
	ctx.fillStyle = colours.caution;
	ctx.textAlign = "left";
	ctx.fillText(text, left + 3 * ratio, top + (TEXT_HEIGHT / 2) * ratio);
}
