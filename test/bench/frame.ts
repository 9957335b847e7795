/** One frame: 208 readings to every cell and all regions, beside numpy's float32 product of the full matrix. */
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { time } from "./measure.ts";
import { thighModel } from "./setup.ts";
import { runYardstick } from "./yardstick.ts";

export function benchFrame(): Record<string, unknown> {
	const model = thighModel("cells");
	const kernel = createPictureKernel(model);
	const rest = Float64Array.from({ length: model.readingCount }, (_, i) => 1e-3 * Math.sin(1 + i));
	kernel.setBaseline(rest);
	const readings = rest.map((value, i) => value * (1 + 0.01 * Math.cos(i)));
	const cells = model.geometry.cellAreas.length;
	const ours = [time(() => kernel.apply(readings))];
	const numpy = runYardstick("matvec.py", [String(cells), String(model.readingCount)]);
	ours.push(time(() => kernel.apply(readings)));
	const median = Math.min(...ours.map((timing) => timing.median));
	return {
		cells,
		readings: model.readingCount,
		"columns after folding": model.matrix.columnCount,
		"frame µs": median,
		"numpy µs": numpy?.median ?? null,
		"ratio to numpy": numpy === null ? null : Number((median / numpy.median!).toFixed(2)),
	};
}
