import type { FoldedReadings } from "./folded-readings.ts";
import type { PictureModel } from "./picture-model.ts";

/**
 * A model that was made of some readings of a frame as one that takes the frame whole and looks at no others: they count
 * as left out.
 *
 * @param readings [model.readingCount] their numbers in the frame
 */
export function overWholeFrames(
	model: PictureModel,
	readings: Uint32Array,
	readingCount: number,
): PictureModel {
	const ohmMetrePerUnit = new Float64Array(readingCount);
	const deviation = new Float64Array(readingCount).fill(Number.POSITIVE_INFINITY);
	for (const [i, r] of readings.entries()) {
		ohmMetrePerUnit[r] = model.ohmMetrePerUnit[i]!;
		deviation[r] = model.fold.deviation[i]!;
	}
	const fold: FoldedReadings = {
		...model.fold,
		readingCount,
		deviation,
		reading: model.fold.reading.map((i) => readings[i]!),
	};
	return { ...model, readingCount, ohmMetrePerUnit, fold };
}
