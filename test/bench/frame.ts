/** One frame: 208 readings to every cell and all regions, beside numpy's float32 product of the full matrix. */
import { createPictureKernel, type PictureKernel } from "../../core/picture/picture-kernel.ts";
import { pictureError } from "./exact-picture.ts";
import { atMost, compare, rounded, time } from "./measure.ts";
import { thighModel } from "./setup.ts";
import { runYardstick } from "./yardstick.ts";

/** A frame may take as long as numpy's product, at pictures that differ by less than this. */
const mostByNumpy = 1;
const mostError = 1e-3;

export function benchFrame(): Record<string, unknown> {
	const model = thighModel("cells");
	const kernel = createPictureKernel(model);
	const { rest, readings } = createFrame(model.readingCount, 1e-3);
	const cells = model.geometry.cellAreas.length;
	return {
		cells,
		readings: model.readingCount,
		"columns after folding": model.matrix.columnCount,
		...compareFrame(kernel, rest, readings, cells),
		"difference from the whole matrix": atMost(
			mostError,
			rounded(pictureError(kernel, model, rest, readings)),
		),
	};
}

/** Readings at rest, and readings that have changed by up to a hundredth. */
export function createFrame(
	readingCount: number,
	size: number,
): { readonly rest: Float64Array; readonly readings: Float64Array } {
	const rest = Float64Array.from({ length: readingCount }, (_, i) => size * Math.sin(1 + i));
	return { rest, readings: rest.map((value, i) => value * (1 + 0.01 * Math.cos(i))) };
}

export function compareFrame(
	kernel: PictureKernel,
	rest: Float64Array,
	readings: Float64Array,
	cells: number,
): Record<string, unknown> {
	kernel.setBaseline(rest);
	const { ours, yardstick, ratio } = compare(
		() => time(() => kernel.apply(readings)).p10,
		() => runYardstick("matvec.py", [String(cells), String(readings.length)])?.p10 ?? null,
	);
	return { "frame µs": ours, "numpy µs": yardstick, "ratio to numpy": atMost(mostByNumpy, ratio) };
}
