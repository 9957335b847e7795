import { volumeWords } from "../text/volume-words.ts";
import { words } from "../text/words.ts";
import type { CanvasColours } from "../theme.ts";
import { canvasFont } from "./canvas-font.ts";
import type { VolumeShape } from "./volume-shape.ts";

/** Where a point in the limb's axes comes to lie, CSS px; null behind the camera. */
export type Project = (x: number, y: number, z: number) => readonly [number, number] | null;

export interface VolumeLabelOptions {
	readonly shape: VolumeShape;
	readonly project: Project;
	/** From the limb to the camera, in the limb's axes. */
	readonly towards: readonly [number, number, number];
	readonly width: number;
	readonly height: number;
	readonly colours: CanvasColours;
	/** [bands] numbers of electrodes that the volume is made without. */
	readonly leftOut: readonly (readonly number[])[];
	/** Larger type, for reading from afar. */
	readonly isLarge: boolean;
}

const NUMBER_OUT = 0.009;
const WORD_OUT = 0.03;
const BAND_OUT = 0.02;
/** Half the width of the longest word, CSS px. */
const WORD_ROOM = 34;
/** Turned away by more than this, numbers would stand on the skin's far side (cosine of the angle to the viewer). */
const LEAST_FACING = 0.12;
/** Words for directions that point away would stand on the limb. */
const LEAST_ASIDE = 0.6;
/** From so far above, what points at the viewer lies below the limb. */
const LOOKING_DOWN = 0.25;
/** Seen along the limb, all electrodes lie at its rim: those of one band are numbered. */
const LENGTHWISE = 0.9;

/** Writes numbers at the electrodes that face the viewer, and the directions' names around the limb. */
export function paintVolumeLabels(context: CanvasRenderingContext2D, options: VolumeLabelOptions): void {
	const { width, height } = options;
	context.clearRect(0, 0, width, height);
	context.textAlign = "center";
	context.textBaseline = "middle";
	context.lineJoin = "round";
	paintNumbers(context, options);
	paintBands(context, options);
	paintDirections(context, options);
}

function paintNumbers(context: CanvasRenderingContext2D, options: VolumeLabelOptions): void {
	const { shape, towards, colours, isLarge } = options;
	const size = isLarge ? 14 : 11.5;
	context.font = `600 ${size}px ${canvasFont}`;
	const most = Math.max(...shape.geometry.electrodeCounts);
	const every = most <= 20 ? 1 : most <= 40 ? 2 : 4;
	const isLengthwise = Math.abs(towards[2]) > LENGTHWISE;
	const nearest = nearestBand(shape, towards[2]);
	for (const { band, number, middle } of shape.electrodes) {
		const [dx, dy] = aside(shape, middle);
		if (isLengthwise ? band !== nearest : dx * towards[0] + dy * towards[1] < LEAST_FACING) continue;
		const isLeftOut = options.leftOut[band]?.includes(number) === true;
		if ((number - 1) % every !== 0 && !isLeftOut) continue;
		const at = options.project(middle[0] + NUMBER_OUT * dx, middle[1] + NUMBER_OUT * dy, middle[2]);
		if (at === null) continue;
		// Crossed out, so that its colour is not all that tells.
		const text = isLeftOut ? `✕${number}` : String(number);
		const colour = isLeftOut ? colours.caution : number === 1 ? colours.accent : colours.ink;
		write(context, text, at, colours, colour);
	}
}

/** Each band's name at its right end on the screen. */
function paintBands(context: CanvasRenderingContext2D, options: VolumeLabelOptions): void {
	const { shape, project, colours, isLarge, width } = options;
	const { bandHeights } = shape.geometry;
	if (bandHeights.length < 2 || Math.abs(options.towards[2]) > LENGTHWISE) return;
	context.font = `600 ${isLarge ? 15 : 12.5}px ${canvasFont}`;
	for (const [band, height] of bandHeights.entries()) {
		let right: readonly [number, number] | null = null;
		for (const { band: own, middle } of shape.electrodes) {
			if (own !== band) continue;
			const [dx, dy] = aside(shape, middle);
			const at = project(middle[0] + BAND_OUT * dx, middle[1] + BAND_OUT * dy, height);
			if (at !== null && (right === null || at[0] > right[0])) right = at;
		}
		if (right === null) continue;
		context.textAlign = "left";
		const text = words.picture.band(band);
		const x = Math.min(right[0] + 4, width - context.measureText(text).width - 6);
		write(context, text, [x, right[1]], colours, colours.ink);
	}
	context.textAlign = "center";
}

function paintDirections(context: CanvasRenderingContext2D, options: VolumeLabelOptions): void {
	const { shape, project, towards, colours, isLarge } = options;
	const { side } = shape.geometry;
	if (side === null) return;
	context.font = `600 ${isLarge ? 15 : 12.5}px ${canvasFont}`;
	const [x, y] = shape.middle;
	const far = shape.radius + WORD_OUT;
	const left = side === "left" ? words.picture.lateral : words.picture.medial;
	const right = side === "left" ? words.picture.medial : words.picture.lateral;
	const directions = [
		{ text: words.picture.anterior, dx: 0, dy: 1 },
		{ text: words.picture.posterior, dx: 0, dy: -1 },
		{ text: left, dx: 1, dy: 0 },
		{ text: right, dx: -1, dy: 0 },
	];
	for (const { text, dx, dy } of directions) {
		const level = Math.hypot(towards[0], towards[1]);
		const along = level === 0 ? 0 : (dx * towards[0] + dy * towards[1]) / level;
		const isAside = Math.sqrt(Math.max(0, 1 - along * along)) >= LEAST_ASIDE;
		if (level > 1 - LENGTHWISE && !isAside && (along < 0 || towards[2] < LOOKING_DOWN)) continue;
		const at = project(x + far * dx, y + far * dy, shape.low);
		if (at !== null) write(context, text, inside(at, options), colours, colours.inkSoft);
	}
	if (Math.abs(towards[2]) > LENGTHWISE) return;
	for (const [text, z] of [
		[volumeWords.hip, shape.high + WORD_OUT / 2],
		[volumeWords.knee, shape.low - WORD_OUT / 2],
	] as const) {
		const at = project(x, y, z);
		if (at !== null) write(context, text, inside(at, options), colours, colours.inkSoft);
	}
}

/** Words come to lie inside the picture, whatever the view. */
function inside(
	[x, y]: readonly [number, number],
	{ width, height }: VolumeLabelOptions,
): readonly [number, number] {
	return [Math.max(WORD_ROOM, Math.min(width - WORD_ROOM, x)), Math.max(10, Math.min(height - 10, y))];
}

/** The band that is nearer to somebody who looks along the limb. */
function nearestBand({ geometry: { bandHeights } }: VolumeShape, towardsHip: number): number {
	const end = towardsHip < 0 ? Math.min(...bandHeights) : Math.max(...bandHeights);
	return bandHeights.indexOf(end);
}

/** Unit vector from the limb's axis. */
function aside({ middle }: VolumeShape, [x, y]: readonly [number, number, number]): [number, number] {
	const length = Math.hypot(x - middle[0], y - middle[1]) || 1;
	return [(x - middle[0]) / length, (y - middle[1]) / length];
}

function write(
	context: CanvasRenderingContext2D,
	text: string,
	[x, y]: readonly [number, number],
	colours: CanvasColours,
	colour: string,
): void {
	context.lineWidth = 3.5;
	context.strokeStyle = colours.surface;
	context.strokeText(text, x, y);
	context.fillStyle = colour;
	context.fillText(text, x, y);
}
