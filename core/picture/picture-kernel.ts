import { type BentModes, createModeFinder } from "./bent-modes.ts";
import { foldInto } from "./fold.ts";
import { createStreamingProduct } from "./kernel/streaming-product.ts";
import type { PictureModel } from "./picture-model.ts";
import { createRestReadings, differenceInto, setRestReadings } from "./reading-difference.ts";
import { createTrustedInput, type ReadingTrust, type TrustedInput, trustReadings } from "./reading-trust.ts";
import { createStrengthFilter, type StrengthFilter } from "./strength-filter.ts";
import { createTrustedPicture, type TrustedPicture } from "./trusted-picture.ts";

/** Turns frames into pictures: one matrix product each (two small ones with many electrodes), nothing allocated. */
export interface PictureKernel {
	/** [nNodes] or [nCells] of the model, in its unit: conductivity change of the last frame. */
	readonly values: Float32Array;
	/**
	 * [nTrendRegions] area-weighted means of the last frame. Regularisation pulls every picture towards no change and
	 * blurs it over a region's edge, so a mean is a share of the true one, and it is left so: 0.88 to 0.92 with 6 mm of fat
	 * and 0.83 to 0.89 with 20 mm, by muscle, on simulated thighs with 16 electrodes where one muscle changes by a tenth,
	 * and another's mean then shows at most an eighth of it. With fat 3 mm off the shares are 0.5 to 1.5. The share depends
	 * on place, fat and λ but not on the change's size (as long as that is small), so means compare over time on one limb
	 * and band, not between people.
	 */
	readonly regionMeans: Float32Array;
	/** [modes of the model] what else moved readings in the last frame, each in its unit; empty where the model knows of
	 *  nothing. */
	readonly moves: Float32Array;
	/** Takes the readings [nReadings] that changes are counted from; copied. Zero until then.
	 *  @throws RangeError on another length */
	setBaseline(readings: Float64Array): void;
	/** From the next frame on some readings are trusted less, or not at all (they may then be NaN); null: all are trusted
	 *  as the model says. See `trustReadings`, whose result must be of this model.
	 *  @throws RangeError when it is of another one */
	setTrust(trust: ReadingTrust | null): void;
	/** From the next frame on pictures are made at another λ than the model's, to see what it does; null: at its own. Costs
	 *  a little for each frame. @throws RangeError when it is not a positive number */
	setLambda(lambda: number | null): void;
	/** Overwrites `values` and `regionMeans`. @param readings [nReadings], in the model's unit of a reading
	 *  @throws RangeError on another length */
	apply(readings: Float64Array): void;
	/** Region means alone, for a frame that is not drawn; leaves `values` as it is. */
	applyToRegions(readings: Float64Array): void;
}

/** Of a model, what frames need: the same for a section and for a volume. */
export type FrameModel = Pick<
	PictureModel,
	| "matrix"
	| "fold"
	| "projection"
	| "dataSpace"
	| "readingCount"
	| "ohmMetrePerUnit"
	| "trendRegions"
	| "prior"
> & { readonly movement?: BentModes | null };

export function createPictureKernel(model: FrameModel): PictureKernel {
	const { matrix, fold, projection, readingCount, ohmMetrePerUnit } = model;
	const { rowCount, columnCount, rowStride } = matrix;
	const regionCount = model.trendRegions.length;
	const imageCount = rowCount - regionCount;
	const product = createStreamingProduct(matrix.values, rowCount, columnCount, rowStride);
	const regions = new Float32Array(columnCount * regionCount);
	for (let j = 0; j < columnCount; j++) {
		const from = j * rowStride + imageCount;
		regions.set(matrix.values.subarray(from, from + regionCount), j * regionCount);
	}
	const regionProduct = createStreamingProduct(regions, regionCount, columnCount);
	const rest = createRestReadings(new Float64Array(readingCount));
	const change = new Float64Array(readingCount);
	const whitened = new Float64Array(fold.count);
	const projected = projection && createStreamingProduct(projection.values, projection.rowCount, fold.count);
	const values = product.output.subarray(0, imageCount);
	const regionMeans = product.output.subarray(imageCount);
	const { movement = null } = model;
	const finder = movement && createModeFinder(movement);
	let trust: ReadingTrust | null = null;
	let lambda: number | null = null;
	let trusted: TrustedInput | null = null;
	let picture: TrustedPicture | null = null;
	let filter: StrengthFilter | null = null;
	const changed = new Float64Array(columnCount);

	function whiten(readings: Float64Array): void {
		if (readings.length !== readingCount) {
			throw new RangeError(`picture: ${readings.length} readings where ${readingCount} were expected`);
		}
		// what moves do to readings is known as it is, not straightened, and may be as large as they are
		if (finder === null) differenceInto(rest, readings, change);
		else for (let r = 0; r < readingCount; r++) change[r] = readings[r]! - rest.rest[r]!;
		for (let r = 0; r < readingCount; r++) change[r]! *= ohmMetrePerUnit[r]!;
		trusted?.weigh(change);
		foldInto(fold, change, whitened);
	}

	function inputInto(input: Float32Array, readings: Float64Array): void {
		whiten(readings);
		if (projected === null) input.set(whitened);
		else {
			projected.input.set(whitened);
			projected.run();
			input.set(projected.output);
		}
		if (trusted !== null || filter !== null) adjust(input);
		finder?.straighten(input);
	}

	/** Changes nothing where it throws. */
	function settle(nextTrust: ReadingTrust | null, nextLambda: number | null): void {
		const nextFilter = nextLambda === null ? null : createStrengthFilter(model.dataSpace, nextLambda);
		const dataSpace = nextLambda === null ? model.dataSpace : { ...model.dataSpace, lambda: nextLambda };
		const at =
			nextTrust === null || nextLambda === null
				? nextTrust
				: trustReadings({ ...model, dataSpace }, nextTrust.kept);
		const nextTrusted = at && createTrustedInput(dataSpace, at);
		picture = null;
		if (nextTrust !== null && at !== null) {
			const shown = product.output.slice();
			const other = nextFilter && { dataSpace, trust: at, filter: nextFilter };
			picture = createTrustedPicture(model, nextTrust, product, other);
			product.output.set(shown);
		}
		trusted = nextTrusted;
		filter = nextFilter;
		trust = nextTrust;
		lambda = nextLambda;
	}

	function adjust(input: Float32Array): void {
		changed.set(projected === null ? whitened : input);
		trusted?.complete(changed);
		filter?.apply(changed);
		input.set(changed);
	}

	return {
		values,
		regionMeans,
		moves: finder?.modes ?? new Float32Array(0),
		setBaseline(readings) {
			setRestReadings(rest, readings, fold.deviation);
		},
		setTrust(next) {
			settle(next, lambda);
		},
		setLambda(next) {
			settle(trust, next);
		},
		apply(readings) {
			inputInto(product.input, readings);
			if (picture === null) {
				product.run();
				return;
			}
			// the image is shifted, means are not
			regionProduct.input.set(product.input);
			regionProduct.run();
			picture.shift(product.input);
			product.run();
			regionMeans.set(regionProduct.output);
			picture.finishMeans(regionMeans);
			picture.finish(values);
		},
		applyToRegions(readings) {
			inputInto(regionProduct.input, readings);
			regionProduct.run();
			regionMeans.set(regionProduct.output);
			picture?.finishMeans(regionMeans);
		},
	};
}
