import { canvasFont } from "./canvas-font.ts";
import { innermostPoint, type Outline, placeInside, placeOver, spread } from "./label-layout.ts";
import { type Box, type LimbView, toCanvasX, toCanvasY } from "./limb-view.ts";
import type { OverlayOptions } from "./picture-overlay.ts";
import { regionInk } from "./region-colour.ts";

interface Name {
	readonly lines: readonly string[];
	readonly outline: Outline;
	readonly colour: string;
	readonly width: number;
	readonly height: number;
	readonly trendIndex: number | null;
}

interface PlacedName {
	readonly lines: readonly string[];
	/** Middle. */
	readonly x: number;
	readonly y: number;
	readonly width: number;
	readonly height: number;
	readonly trendIndex: number | null;
}

interface NameLayout {
	readonly inside: readonly PlacedName[];
	readonly outside: readonly Name[];
}

/** Finding room takes longer than writing: a view that is painted again with other names standing out keeps its own. */
const layouts = new WeakMap<LimbView, NameLayout>();

/** Writes each region's name inside it where it fits (on one line or two), else beside the limb with a leader. */
export function paintNames(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	const { view, fieldIsLight, isLarge, isSmall = false, isWorking } = options;
	const size = isLarge ? 17 : isSmall ? 10.5 : 13;
	const lineHeight = size * 1.2;
	context.font = `600 ${size}px ${canvasFont}`;
	const ink = fieldIsLight ? "#1b2429" : "#f2f5f7";
	const paper = fieldIsLight ? "#ffffff" : "#10202e";
	const halo = fieldIsLight ? "rgba(255, 255, 255, 0.85)" : "rgba(0, 20, 50, 0.8)";

	let layout = layouts.get(view);
	if (layout === undefined) {
		layout = layOutNames(context, options, lineHeight);
		layouts.set(view, layout);
	}
	context.textAlign = "center";
	context.lineWidth = 3.5;
	for (const { lines, x, y, width, height, trendIndex } of layout.inside) {
		const standsOut = trendIndex !== null && isWorking?.[trendIndex] === 1;
		if (standsOut) {
			context.beginPath();
			context.roundRect(x - width / 2 - 3, y - height / 2 - 1, width + 6, height + 2, 5);
			context.fillStyle = ink;
			context.fill();
		}
		context.strokeStyle = halo;
		context.fillStyle = standsOut ? paper : ink;
		lines.forEach((line, i) => {
			const at = y + (i - (lines.length - 1) / 2) * lineHeight + 0.5;
			if (!standsOut) context.strokeText(line, x, at);
			context.fillText(line, x, at);
		});
	}
	if (!isSmall) paintOutside(context, layout.outside, options, lineHeight, view.originX);
}

function layOutNames(
	context: CanvasRenderingContext2D,
	options: OverlayOptions,
	lineHeight: number,
): NameLayout {
	const { geometry, colours, isSmall = false } = options;
	const taken: Box[] = [];
	const inside: PlacedName[] = [];
	const outside: Name[] = [];
	// Small regions first: large ones have room to spare.
	const regions = geometry.regions
		.filter((region) => region.tissue !== "fat")
		.map((region) => ({ region, outline: outlineOf(region.outline, options) }))
		.sort((a, b) => areaOf(a.outline) - areaOf(b.outline));
	for (const { region, outline } of regions) {
		const colour =
			region.trendIndex === null
				? colours.inkSoft
				: colours.isDark
					? regionInk(region.trendIndex).onDark
					: regionInk(region.trendIndex).onLight;
		let placed = false;
		const everywhere = [
			{ lines: [region.name], place: placeInside },
			{ lines: splitInTwo(region.name), place: placeInside },
			{ lines: splitInTwo(region.name), place: placeOverEdge },
			{ lines: [region.name], place: placeOverEdge },
		];
		const tries = isSmall ? everywhere.filter(({ place }) => place === placeInside) : everywhere;
		for (const { lines, place } of tries) {
			const width = Math.max(...lines.map((line) => context.measureText(line).width)) + 6;
			const height = lines.length * lineHeight + 2;
			const at = place(outline, width, height, taken);
			if (at === null) continue;
			taken.push({
				left: at.x - width / 2,
				right: at.x + width / 2,
				top: at.y - height / 2,
				bottom: at.y + height / 2,
			});
			inside.push({ lines, x: at.x, y: at.y, width, height, trendIndex: region.trendIndex });
			placed = true;
			break;
		}
		if (!placed) {
			const width = context.measureText(region.name).width;
			const { trendIndex } = region;
			outside.push({ lines: [region.name], outline, colour, width, height: lineHeight, trendIndex });
		}
	}
	return { inside, outside };
}

function paintOutside(
	context: CanvasRenderingContext2D,
	names: readonly Name[],
	options: OverlayOptions,
	lineHeight: number,
	middleX: number,
): void {
	const { width, height, colours, fieldIsLight } = options;
	const targets = names.map((name) => ({ name, end: innermostPoint(name.outline) }));
	for (const side of ["left", "right"] as const) {
		const column = targets
			.filter(({ end }) => end.x < middleX === (side === "left"))
			.sort((a, b) => a.end.y - b.end.y);
		// The corners beside a round limb are free, its sides are not: names settle above or below the middle.
		const wishes = column.map(({ end }) => (end.y < height / 2 ? height * 0.06 : height * 0.94));
		const rows = spread(wishes, lineHeight * 1.35, lineHeight, height - lineHeight);
		column.forEach(({ name, end }, i) => {
			const y = rows[i]!;
			const x = side === "left" ? 4 : width - 4;
			const inner = side === "left" ? x + name.width + 8 : x - name.width - 8;
			context.beginPath();
			context.moveTo(inner, y);
			context.lineTo(end.x, end.y);
			context.lineWidth = 3;
			context.strokeStyle = fieldIsLight ? "rgba(255, 255, 255, 0.75)" : "rgba(0, 20, 50, 0.6)";
			context.stroke();
			context.lineWidth = 1.25;
			context.strokeStyle = name.colour;
			context.stroke();
			context.beginPath();
			context.arc(end.x, end.y, 3, 0, 2 * Math.PI);
			context.fillStyle = name.colour;
			context.fill();
			const standsOut = name.trendIndex !== null && options.isWorking?.[name.trendIndex] === 1;
			if (standsOut) {
				const left = side === "left" ? x - 4 : x - name.width - 4;
				context.beginPath();
				context.roundRect(left, y - lineHeight / 2 - 1, name.width + 8, lineHeight + 2, 5);
				context.fillStyle = colours.ink;
				context.fill();
			}
			context.textAlign = side;
			context.fillStyle = standsOut ? colours.surface : colours.ink;
			context.fillText(name.lines[0]!, x, y);
		});
	}
}

function outlineOf(points: readonly (readonly [number, number])[], { view }: OverlayOptions): Outline {
	const outline = new Float64Array(2 * points.length);
	points.forEach(([x, y], i) => {
		outline[2 * i] = toCanvasX(view, x);
		outline[2 * i + 1] = toCanvasY(view, y);
	});
	return outline;
}

function areaOf(outline: Outline): number {
	let twice = 0;
	for (let i = 0, j = outline.length - 2; i < outline.length; j = i, i += 2) {
		twice += outline[j]! * outline[i + 1]! - outline[i]! * outline[j + 1]!;
	}
	return Math.abs(twice) / 2;
}

/** Room that a region must have around the middle of a name that reaches over its edge, CSS px. */
const LEAST_DEPTH = 9;

function placeOverEdge(outline: Outline, width: number, height: number, taken: readonly Box[]) {
	return placeOver(outline, width, height, LEAST_DEPTH, taken);
}

function splitInTwo(name: string): string[] {
	const space = name.indexOf(" ");
	return space < 0 ? [name] : [name.slice(0, space), name.slice(space + 1)];
}
