import type { AppState, PictureGeometry } from "../../app/contract.ts";
import type { Point } from "../../core/limb/limb.ts";
import { words } from "../text/words.ts";
import type { CanvasColours } from "../theme.ts";
import { canvasFont } from "./canvas-font.ts";
import { type LimbView, toCanvasX, toCanvasY } from "./limb-view.ts";
import { paintNames } from "./picture-names.ts";
import { regionInk } from "./region-colour.ts";

export type Contacts = AppState["contacts"];

export interface OverlayOptions {
	readonly geometry: PictureGeometry;
	readonly view: LimbView;
	/** CSS px. */
	readonly width: number;
	readonly height: number;
	readonly contacts: Contacts;
	/** Numbers of electrodes that the picture is made without. */
	readonly leftOut?: readonly number[];
	readonly colours: CanvasColours;
	/** The field beneath is light, whatever the theme: its neutral colour is nearly white. */
	readonly fieldIsLight: boolean;
	/** Larger type, for reading from afar. */
	readonly isLarge: boolean;
	/** One of several side by side: names only where they fit inside, no numbers, directions close to the skin. */
	readonly isSmall?: boolean;
	/** [nTrendRegions] 1 for those whose name and outline stand out; none where left out. */
	readonly isWorking?: Uint8Array;
	/** Where planes along the limb cut it; none where left out. */
	readonly cuts?: PlaneCuts;
}

/** The planes' places in the limb's axes, m; null where one is not shown. */
export interface PlaneCuts {
	readonly x: number | null;
	readonly y: number | null;
}

/** Distances outward from the skin line, CSS px. */
const BAR_FROM = 5;
const BAR_WIDTH = 7;
const NUMBER_AT = 24;
/** Room that electrodes and words need around the skin line. */
export const OVERLAY_MARGIN = 58;
/** The same for a small picture. */
export const SMALL_OVERLAY_MARGIN = 32;

/** Draws all but the field: skin, region outlines and names, electrodes with their contact, directions. */
export function paintOverlay(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	context.clearRect(0, 0, options.width, options.height);
	context.lineJoin = "round";
	context.textBaseline = "middle";
	paintRegions(context, options);
	paintCuts(context, options);
	paintSkin(context, options);
	paintElectrodes(context, options);
	paintDirections(context, options);
	paintNames(context, options);
	// Beside a small picture the caption says it.
	if (options.isSmall !== true) paintConvention(context, options);
}

export function trace(context: CanvasRenderingContext2D, points: readonly Point[], view: LimbView): void {
	context.beginPath();
	for (const [x, y] of points) context.lineTo(toCanvasX(view, x), toCanvasY(view, y));
	context.closePath();
}

/** Muscles share their borders: each line is drawn inside its own region only, so that both colours show side by side,
 *  on a casing of the field's neutral tone that keeps them readable over any colour of the scale. */
function paintRegions(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	const { geometry, view, fieldIsLight, isSmall = false, isWorking } = options;
	const thin = isSmall ? 0.55 : 1;
	context.strokeStyle = fieldIsLight ? "rgba(255, 255, 255, 0.75)" : "rgba(0, 20, 50, 0.65)";
	context.lineWidth = 6 * thin;
	for (const region of geometry.regions) {
		trace(context, region.outline, view);
		context.stroke();
	}
	for (const region of geometry.regions) {
		const ink = region.trendIndex === null ? null : regionInk(region.trendIndex);
		context.save();
		trace(context, region.outline, view);
		context.clip();
		// Half of it falls outside and is cut off.
		const standsOut = region.trendIndex !== null && isWorking?.[region.trendIndex] === 1;
		context.lineWidth = (ink === null ? 2.5 : standsOut ? 9 : 4) * thin;
		context.strokeStyle =
			ink === null
				? fieldIsLight
					? "rgba(40, 50, 58, 0.6)"
					: "rgba(235, 240, 245, 0.65)"
				: fieldIsLight
					? ink.onLight
					: ink.onDark;
		context.stroke();
		context.restore();
	}
}

/** Within the skin only: around it are numbers and words, which a line would run through. */
function paintCuts(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	const { geometry, view, width, height, cuts, fieldIsLight } = options;
	if (cuts === undefined || (cuts.x === null && cuts.y === null)) return;
	context.save();
	trace(context, geometry.skin, view);
	context.clip();
	context.beginPath();
	if (cuts.x !== null) {
		const x = toCanvasX(view, cuts.x);
		context.moveTo(x, 0);
		context.lineTo(x, height);
	}
	if (cuts.y !== null) {
		const y = toCanvasY(view, cuts.y);
		context.moveTo(0, y);
		context.lineTo(width, y);
	}
	context.setLineDash([6, 5]);
	context.lineWidth = 1.25;
	context.strokeStyle = fieldIsLight ? "rgb(20, 30, 38)" : "rgb(235, 240, 245)";
	context.stroke();
	context.restore();
}

function paintSkin(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	const { geometry, view, colours, isSmall = false } = options;
	trace(context, geometry.skin, view);
	context.lineWidth = isSmall ? 1.5 : 2.5;
	context.strokeStyle = colours.inkSoft;
	context.stroke();
}

function paintElectrodes(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	const { geometry, view, contacts, leftOut = [], colours, isLarge } = options;
	const [centreX, centreY] = middleOf(geometry.skin);
	const pitch = (Math.PI * 2 * 0.5 * extentOf(geometry.skin) * view.scale) / geometry.electrodes.length;
	const size = isLarge ? 15 : 12;
	const every = pitch > 1.6 * size ? 1 : pitch > 0.8 * size ? 2 : 4;
	for (const electrode of geometry.electrodes) {
		const verdict = contacts[electrode.number - 1]?.verdict ?? "unknown";
		const isLeftOut = leftOut.includes(electrode.number);
		const isTroubled = isLeftOut || verdict === "poor" || verdict === "off";
		const ink = isTroubled ? colours.caution : colours.ink;
		offsetPath(context, electrode.arc, view, centreX, centreY, BAR_FROM + BAR_WIDTH / 2);
		context.lineCap = "butt";
		if (isLeftOut) {
			// Only its ends are there.
			context.lineWidth = BAR_WIDTH;
			context.strokeStyle = ink;
			context.setLineDash([3, 3]);
			context.stroke();
			context.setLineDash([]);
		} else if (verdict === "good" || verdict === "unknown") {
			context.lineWidth = BAR_WIDTH;
			context.strokeStyle = verdict === "good" ? ink : colours.inkSoft;
			context.stroke();
		} else {
			// Hollow: the less contact, the less of the bar is filled.
			context.lineWidth = BAR_WIDTH;
			context.strokeStyle = ink;
			context.stroke();
			context.lineWidth = verdict === "fair" ? 2.5 : BAR_WIDTH - 3;
			context.strokeStyle = colours.surface;
			context.stroke();
		}

		if (options.isSmall === true || (!isTroubled && (electrode.number - 1) % every !== 0)) continue;
		const middle = electrode.arc[electrode.arc.length >> 1]!;
		const [dx, dy] = outward(view, middle, centreX, centreY);
		const x = toCanvasX(view, middle[0]) + dx * NUMBER_AT;
		const y = toCanvasY(view, middle[1]) + dy * NUMBER_AT;
		if (isLeftOut) {
			paintLeftOut(context, options, electrode.number, x, y, dx, size);
			continue;
		}
		context.font = `${isTroubled ? 700 : 500} ${size}px ${canvasFont}`;
		context.textAlign = "center";
		context.fillStyle = isTroubled ? colours.caution : colours.inkSoft;
		context.fillText(String(electrode.number), x, y + 0.5);
		if (isTroubled) {
			context.beginPath();
			context.arc(x, y, size * 0.85, 0, 2 * Math.PI);
			context.lineWidth = 1.5;
			context.strokeStyle = colours.caution;
			context.stroke();
			if (verdict === "off") {
				context.beginPath();
				context.moveTo(x - size * 0.6, y + size * 0.6);
				context.lineTo(x + size * 0.6, y - size * 0.6);
				context.stroke();
			}
		}
	}
}

/** A label with a cross, which grows away from the limb. */
function paintLeftOut(
	context: CanvasRenderingContext2D,
	{ colours }: OverlayOptions,
	number: number,
	x: number,
	y: number,
	dx: number,
	size: number,
): void {
	const text = words.picture.electrodeOut(number);
	context.font = `700 ${size}px ${canvasFont}`;
	const cross = 0.62 * size;
	const width = context.measureText(text).width + cross + 15;
	const height = size + 8;
	const left = x - width / 2 + (dx * (width - height)) / 2;
	context.beginPath();
	context.roundRect(left, y - height / 2, width, height, 4);
	context.fillStyle = colours.surface;
	context.fill();
	context.lineWidth = 1.5;
	context.strokeStyle = colours.caution;
	context.stroke();
	context.lineWidth = 2;
	context.beginPath();
	context.moveTo(left + 5, y - cross / 2);
	context.lineTo(left + 5 + cross, y + cross / 2);
	context.moveTo(left + 5 + cross, y - cross / 2);
	context.lineTo(left + 5, y + cross / 2);
	context.stroke();
	context.textAlign = "left";
	context.fillStyle = colours.caution;
	context.fillText(text, left + cross + 10, y + 0.5);
}

function paintDirections(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	const { geometry, view, width, height, colours, isLarge, isSmall = false } = options;
	if (geometry.side === null) return;
	context.font = `600 ${isLarge ? 15 : isSmall ? 11 : 12}px ${canvasFont}`;
	context.fillStyle = colours.inkSoft;
	context.textAlign = "center";
	const away = isSmall ? 22 : 46;
	const aside = isSmall ? 22 : 50;
	const top = Math.min(...geometry.skin.map(([, y]) => toCanvasY(view, y)));
	const bottom = Math.max(...geometry.skin.map(([, y]) => toCanvasY(view, y)));
	const left = Math.min(...geometry.skin.map(([x]) => toCanvasX(view, x)));
	const right = Math.max(...geometry.skin.map(([x]) => toCanvasX(view, x)));
	context.fillText(words.picture.anterior, view.originX, Math.max(8, top - away));
	context.fillText(words.picture.posterior, view.originX, Math.min(height - 8, bottom + away));
	// +x is the person's left: lateral for a left limb. Mirroring exchanges the two sides of the drawing.
	const lateralIsRight = (geometry.side === "left") !== view.mirrored;
	context.save();
	paintTurned(
		context,
		lateralIsRight ? words.picture.medial : words.picture.lateral,
		Math.max(8, left - aside),
		view.originY,
	);
	paintTurned(
		context,
		lateralIsRight ? words.picture.lateral : words.picture.medial,
		Math.min(width - 8, right + aside),
		view.originY,
	);
	context.restore();
}

/** A picture of a limb means nothing without saying from where it is seen. */
function paintConvention(context: CanvasRenderingContext2D, options: OverlayOptions): void {
	const { geometry, view, height, colours, isLarge } = options;
	if (geometry.side === null) return;
	context.font = `500 ${isLarge ? 15 : 12}px ${canvasFont}`;
	context.textAlign = "left";
	context.fillStyle = colours.inkSoft;
	context.fillText(view.mirrored ? words.picture.fromHip : words.picture.fromFoot, 2, height - 8);
}

function paintTurned(context: CanvasRenderingContext2D, text: string, x: number, y: number): void {
	context.save();
	context.translate(x, y);
	context.rotate(-Math.PI / 2);
	context.fillText(text, 0, 0);
	context.restore();
}

function offsetPath(
	context: CanvasRenderingContext2D,
	arc: readonly Point[],
	view: LimbView,
	centreX: number,
	centreY: number,
	distance: number,
): void {
	context.beginPath();
	for (const point of arc) {
		const [dx, dy] = outward(view, point, centreX, centreY);
		context.lineTo(toCanvasX(view, point[0]) + dx * distance, toCanvasY(view, point[1]) + dy * distance);
	}
}

/** Unit vector on the canvas away from the limb's middle. */
function outward(view: LimbView, [x, y]: Point, centreX: number, centreY: number): [number, number] {
	const dx = (x - centreX) * (view.mirrored ? -1 : 1);
	const dy = centreY - y;
	const length = Math.hypot(dx, dy) || 1;
	return [dx / length, dy / length];
}

function middleOf(points: readonly Point[]): Point {
	let x = 0;
	let y = 0;
	for (const point of points) {
		x += point[0] / points.length;
		y += point[1] / points.length;
	}
	return [x, y];
}

/** Mean diameter, m. */
function extentOf(points: readonly Point[]): number {
	const [x, y] = middleOf(points);
	let sum = 0;
	for (const point of points) sum += Math.hypot(point[0] - x, point[1] - y);
	return (2 * sum) / points.length;
}
