import type { PictureGeometry } from "../../app/contract.ts";
import type { CanvasSurface } from "./canvas-surface.ts";
import type { ColourRamp } from "./colour-ramp.ts";
import { createFieldRaster, type FieldRaster } from "./field-raster.ts";
import type { LimbView } from "./limb-view.ts";

/** The shaded part of the picture on its own canvas: repainted for every frame, so nothing else is drawn there. */
export interface PictureField {
	/** Call when the geometry, the view or the canvas size has changed. */
	fit(geometry: PictureGeometry, view: LimbView): void;
	/** `values` [nNodes], or null for the neutral colour everywhere. */
	paint(values: Float32Array | null, ramp: ColourRamp, range: number): void;
	clear(): void;
}

export function createPictureField(surface: CanvasSurface): PictureField {
	let raster: FieldRaster | null = null;
	let image: ImageData | null = null;
	let pixels = new Uint32Array(0);
	let nothing = new Float32Array(0);

	return {
		fit(geometry, view) {
			const { width, height } = surface.canvas;
			const scaled: LimbView = {
				originX: view.originX * surface.ratio,
				originY: view.originY * surface.ratio,
				scale: view.scale * surface.ratio,
				mirrored: view.mirrored,
			};
			raster = createFieldRaster(geometry.nodes, geometry.triangles, scaled, width, height);
			image = surface.context.createImageData(width, height);
			pixels = new Uint32Array(image.data.buffer);
			nothing = new Float32Array(geometry.nodes.length / 2);
		},
		paint(values, ramp, range) {
			if (raster === null || image === null) return;
			raster.paintInto(pixels, values ?? nothing, ramp.colours, range);
			surface.context.putImageData(image, 0, 0);
		},
		clear() {
			raster = null;
			image = null;
			surface.context.clearRect(0, 0, surface.canvas.width, surface.canvas.height);
		},
	};
}
