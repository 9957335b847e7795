/** A picture that does not move: an average over a set, on the screen or on paper. */
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import type { PictureGeometry } from "../../app/contract.ts";
import { createCanvasSurface } from "../draw/canvas-surface.ts";
import { createColourRamp, type ScaleName } from "../draw/colour-ramp.ts";
import { fitView } from "../draw/limb-view.ts";
import { createPictureField } from "../draw/picture-field.ts";
import { OVERLAY_MARGIN, paintOverlay, SMALL_OVERLAY_MARGIN } from "../draw/picture-overlay.ts";
import { watchSize } from "../draw/picture-view.ts";
import { paperColours } from "../theme.ts";
import { useModel, useSubscription } from "./model-context.ts";

const LARGEST_SIDE = 2048;
/** Printers have more dots than screens have pixels. */
const PAPER_RATIO = 3;
/** CSS px; below, names and numbers would cover the picture. */
const SMALL_BELOW = 320;
const ramps = { change: createColourRamp("change"), size: createColourRamp("size") };

export function StillPicture({
	geometry,
	values,
	range,
	label,
	mirrored = false,
	isOnPaper = false,
	scale = "change",
}: {
	readonly geometry: PictureGeometry;
	/** [nNodes] in the geometry's unit */
	readonly values: Float32Array;
	/** Ends of the colour scale. */
	readonly range: number;
	readonly label: string;
	readonly mirrored?: boolean;
	/** Drawn in the colours of paper, whatever the theme. */
	readonly isOnPaper?: boolean;
	readonly scale?: ScaleName;
}) {
	const { theme } = useModel();
	useSubscription(theme.onChange);
	const host = useRef<HTMLDivElement>(null);
	const paint = useRef(() => {});
	const colours = isOnPaper ? paperColours : theme.colours;

	// Before the browser paints, so that a picture never flashes empty.
	useLayoutEffect(() => {
		const field = createCanvasSurface("picture-field", LARGEST_SIDE);
		const overlay = createCanvasSurface("picture-overlay", LARGEST_SIDE);
		const picture = createPictureField(field);
		const element = host.current!;
		element.append(overlay.canvas);
		let painted = "";
		paint.current = () => {
			const { clientWidth: width, clientHeight: height } = element;
			if (width < 80 || height < 80) return;
			const ratio = isOnPaper ? PAPER_RATIO : devicePixelRatio;
			// Printing tells of a new size that is none, and what is painted then may miss the paper.
			const size = `${width} ${height} ${ratio}`;
			if (size === painted) return;
			painted = size;
			field.resize(width, height, ratio);
			overlay.resize(width, height, ratio);
			const isSmall = Math.min(width, height) < SMALL_BELOW;
			const margin = isSmall ? SMALL_OVERLAY_MARGIN : OVERLAY_MARGIN;
			const box = { left: margin, top: margin, right: width - margin, bottom: height - margin };
			const view = fitView(geometry.skin, box, mirrored && geometry.side !== null);
			picture.fit(geometry, view);
			picture.paint(values, ramps[scale], range);
			overlay.context.setTransform(overlay.ratio, 0, 0, overlay.ratio, 0, 0);
			paintOverlay(overlay.context, {
				geometry,
				view,
				width,
				height,
				contacts: [],
				colours,
				fieldIsLight: scale === "change",
				isLarge: false,
				isSmall,
			});
			// Into one canvas, beneath the outlines: raw pixels alone do not reach the printer.
			overlay.context.setTransform(1, 0, 0, 1, 0, 0);
			overlay.context.globalCompositeOperation = "destination-over";
			overlay.context.drawImage(field.canvas, 0, 0, overlay.canvas.width, overlay.canvas.height);
			overlay.context.globalCompositeOperation = "source-over";
		};
		paint.current();
		return () => {
			overlay.canvas.remove();
		};
	}, [geometry, values, range, mirrored, colours, isOnPaper, scale]);
	useEffect(() => watchSize(host.current!, () => paint.current()), []);

	return <div ref={host} class="still-picture" role="img" aria-label={label} />;
}
