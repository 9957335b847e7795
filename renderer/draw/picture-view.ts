import type { PictureGeometry } from "../../app/contract.ts";
import type { PicturePacket } from "../../core/wire/picture-packet.ts";
import type { PictureFeed } from "../picture-feed.ts";
import type { Theme } from "../theme.ts";
import type { AutoRange } from "./auto-range.ts";
import { createCanvasSurface } from "./canvas-surface.ts";
import { type ColourRamp, createColourRamp, type ScaleName } from "./colour-ramp.ts";
import type { FrameLoop } from "./frame-loop.ts";
import { fitView, type LimbView } from "./limb-view.ts";
import { magnitudeBelow } from "./magnitude.ts";
import { createPictureField } from "./picture-field.ts";
import { type Contacts, OVERLAY_MARGIN, type PlaneCuts, paintOverlay } from "./picture-overlay.ts";
import { createWorkingRegions, type WorkingRegions } from "./working-regions.ts";

export interface PictureSettings {
	readonly scale: ScaleName;
	readonly mirrored: boolean;
	readonly contacts: Contacts;
	/** Numbers of electrodes that the picture is made without. */
	readonly leftOut?: readonly number[];
	readonly isLarge: boolean;
}

export interface PictureView {
	set(settings: PictureSettings): void;
	/** Lines of planes across the picture, which move without anything else being laid out anew. */
	cut(cuts: PlaneCuts): void;
	/** Draws again though no picture has come: the range was changed by hand. */
	ask(): void;
	dispose(): void;
}

/** Ends of the scale before any noise is known, and never below this many times the noise of a region at rest. */
export const SMALLEST_RANGE = { "S/m": 0.001, relative: 0.005 };
const NOISE_TIMES = 6;
/** Largest side of the field's canvas. The field is smooth: beyond this, stretching it looks the same and costs less. */
const LARGEST_FIELD = 1000;
const LARGEST_OVERLAY = 4096;
/** Share of nodes that may lie beyond the ends of the scale. */
const BEYOND = 0.01;

/** The live picture inside `host`: two canvases, drawn at most once per display frame, the newest packet only. */
export function createPictureView(
	host: HTMLElement,
	feed: PictureFeed,
	frames: FrameLoop,
	theme: Theme,
	range: AutoRange,
	onRange: () => void,
): PictureView {
	const fieldSurface = createCanvasSurface("picture-field", LARGEST_FIELD);
	const overlaySurface = createCanvasSurface("picture-overlay", LARGEST_OVERLAY);
	const field = createPictureField(fieldSurface);
	host.append(fieldSurface.canvas, overlaySurface.canvas);

	let settings: PictureSettings | null = null;
	let ramp: ColourRamp = createColourRamp("change");
	let rampScale: ScaleName = "change";
	let fitted: PictureGeometry | null = null;
	let needsLayout = true;
	let cuts: PlaneCuts = { x: null, y: null };
	let needsOverlay = false;
	let drawn: PicturePacket | null = null;
	let ranged: PicturePacket | null = null;
	let view: LimbView | null = null;
	let working: WorkingRegions = createWorkingRegions([]);

	// A message posted while drawing is handled after the frame has gone to the compositor: that is when the picture
	// counts as on the screen.
	const afterFrame = new MessageChannel();
	afterFrame.port1.onmessage = () => {
		if (drawn !== null) feed.presented(drawn);
	};

	function layOut(geometry: PictureGeometry, shown: PictureSettings): void {
		const width = host.clientWidth;
		const height = host.clientHeight;
		fieldSurface.resize(width, height, devicePixelRatio);
		overlaySurface.resize(width, height, devicePixelRatio);
		const margin = shown.isLarge ? OVERLAY_MARGIN + 8 : OVERLAY_MARGIN;
		const box = { left: margin, top: margin, right: width - margin, bottom: height - margin };
		view = fitView(geometry.skin, box, shown.mirrored);
		field.fit(geometry, view);
		paintAround(geometry, shown, view);
	}

	function paintAround(geometry: PictureGeometry, shown: PictureSettings, on: LimbView): void {
		needsOverlay = false;
		overlaySurface.context.setTransform(overlaySurface.ratio, 0, 0, overlaySurface.ratio, 0, 0);
		paintOverlay(overlaySurface.context, {
			geometry,
			view: on,
			width: host.clientWidth,
			height: host.clientHeight,
			contacts: shown.contacts,
			leftOut: shown.leftOut ?? [],
			colours: theme.colours,
			fieldIsLight: shown.scale === "change",
			isLarge: shown.isLarge,
			isWorking: working.isWorking,
			cuts,
		});
	}

	function startRange(geometry: PictureGeometry): void {
		ranged = null;
		range.reset();
		range.setFloor(rangeFloor(geometry));
		onRange();
	}

	const handle = frames.add({
		draw() {
			const { geometry, newest } = feed;
			if (settings === null) return false;
			if (geometry === null || host.clientWidth < 120 || host.clientHeight < 120) {
				field.clear();
				overlaySurface.context.clearRect(0, 0, host.clientWidth, host.clientHeight);
				fitted = null;
			} else {
				const isLaidOut = needsLayout || fitted !== geometry;
				if (fitted !== geometry) {
					startRange(geometry);
					working = createWorkingRegions(geometry.regionNoise);
				}
				if (isLaidOut) layOut(geometry, settings);
				else if (needsOverlay && view !== null) paintAround(geometry, settings, view);
				fitted = geometry;
				needsLayout = false;
				const values = newest?.geometryId === geometry.geometryId ? newest.nodeValues : null;
				if (values !== null && newest !== ranged) {
					ranged = newest;
					if (range.update(magnitudeBelow(values, BEYOND), newest!.timeMicros / 1e6)) onRange();
					if (working.update(newest!.regionMeans, range.value) && view !== null) {
						paintAround(geometry, settings, view);
					}
				}
				// While the next geometry is on its way, the picture that is there stays.
				if (values !== null || isLaidOut) field.paint(values, ramp, range.value);
			}
			drawn = newest;
			afterFrame.port2.postMessage(null);
			return false;
		},
	});

	const endings = [
		feed.claimDrawing(),
		feed.onPicture(() => handle.ask()),
		feed.onGeometry(() => handle.ask()),
		theme.onChange(askForLayout),
		watchSize(host, askForLayout),
	];

	function askForLayout(): void {
		needsLayout = true;
		handle.ask();
	}

	return {
		set(next) {
			// what was shown until an electrode was found failing says nothing of how far muscles go
			if (fitted !== null && settings !== null && lostIn(settings) !== lostIn(next)) startRange(fitted);
			settings = next;
			if (next.scale !== rampScale) {
				ramp = createColourRamp(next.scale);
				rampScale = next.scale;
			}
			askForLayout();
		},
		cut(next) {
			cuts = next;
			needsOverlay = true;
			handle.ask();
		},
		ask: () => handle.ask(),
		dispose() {
			for (const end of endings) end();
			handle.dispose();
			afterFrame.port1.close();
			fieldSurface.canvas.remove();
			overlaySurface.canvas.remove();
		},
	};
}

function lostIn({ leftOut = [] }: PictureSettings): string {
	return leftOut.join();
}

/** What the ends of the scale never go below: noise at rest is not to look like work. */
export function rangeFloor(geometry: PictureGeometry): number {
	return Math.max(SMALLEST_RANGE[geometry.unit], NOISE_TIMES * medianNoise(geometry));
}

function medianNoise(geometry: PictureGeometry): number {
	const known = geometry.regionNoise.filter((noise) => noise !== null).sort((a, b) => a - b);
	return known[known.length >> 1] ?? 0;
}

/** Tells of a new size, and of a new pixel ratio (another screen, another zoom). @returns what ends it. */
export function watchSize(element: HTMLElement, listener: () => void): () => void {
	const observer = new ResizeObserver(listener);
	observer.observe(element);
	let query: MediaQueryList | null = null;
	function watchRatio(): void {
		query?.removeEventListener("change", onRatio);
		query = matchMedia(`(resolution: ${devicePixelRatio}dppx)`);
		query.addEventListener("change", onRatio);
	}
	function onRatio(): void {
		watchRatio();
		listener();
	}
	watchRatio();
	return () => {
		observer.disconnect();
		query?.removeEventListener("change", onRatio);
	};
}
