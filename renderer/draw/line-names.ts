import type uPlot from "uplot";
import type { CanvasColours } from "../theme.ts";
import { canvasFont } from "./canvas-font.ts";
import { spread } from "./label-layout.ts";
import type { RegionInk } from "./region-colour.ts";

interface LineEnd {
	readonly index: number;
	readonly y: number;
}

/** Writes each line's name to the right of the plot at the height where the line ends, moved apart so that none
 *  covers another, with a piece of the line as key. */
export function paintLineNames(
	plot: uPlot,
	regions: readonly { readonly name: string }[],
	inks: readonly RegionInk[],
	colours: CanvasColours,
): void {
	const { ctx, bbox } = plot;
	const ratio = devicePixelRatio;
	const ends: LineEnd[] = [];
	for (let index = 0; index < regions.length; index++) {
		const value = lastValue(plot, index + 1);
		if (value === null) continue;
		const y = plot.valToPos(value, "y", true);
		ends.push({ index, y: Math.max(bbox.top, Math.min(bbox.top + bbox.height, y)) });
	}
	ends.sort((a, b) => a.y - b.y || a.index - b.index);
	const rows = spread(
		ends.map((end) => end.y),
		16 * ratio,
		bbox.top + 4 * ratio,
		bbox.top + bbox.height - 4 * ratio,
	);
	const right = bbox.left + bbox.width;
	ctx.save();
	ctx.font = `${12 * ratio}px ${canvasFont}`;
	ctx.textAlign = "left";
	ctx.textBaseline = "middle";
	ends.forEach((end, i) => {
		const ink = inks[end.index]!;
		const y = rows[i]!;
		ctx.strokeStyle = colours.isDark ? ink.onDark : ink.onLight;
		ctx.lineWidth = ratio;
		ctx.setLineDash([]);
		ctx.beginPath();
		ctx.moveTo(right + 2 * ratio, end.y);
		ctx.lineTo(right + 8 * ratio, y);
		ctx.stroke();
		ctx.lineWidth = 2.5 * ratio;
		ctx.setLineDash(ink.dash.map((length) => length * ratio * 0.7));
		ctx.beginPath();
		ctx.moveTo(right + 8 * ratio, y);
		ctx.lineTo(right + 22 * ratio, y);
		ctx.stroke();
		ctx.fillStyle = colours.ink;
		ctx.fillText(regions[end.index]!.name, right + 27 * ratio, y + ratio * 0.5);
	});
	ctx.restore();
}

/** The newest value shown of a line; null when it has none. */
function lastValue(plot: uPlot, series: number): number | null {
	const values = plot.data[series]!;
	for (let i = values.length - 1; i >= 0; i--) {
		const value = values[i];
		if (value !== null && value !== undefined) return value;
	}
	return null;
}
