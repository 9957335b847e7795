import type { DataSpace } from "./data-space.ts";
import { choleskyInPlace } from "./dense.ts";
import type { StreamingProduct } from "./kernel/streaming-product.ts";
import type { FrameModel } from "./picture-kernel.ts";
import type { ReadingTrust } from "./reading-trust.ts";
import type { StrengthFilter } from "./strength-filter.ts";

/**
 * What else changes in a picture where readings were lost, beside the values that it is made of. All of it comes in by the
 * share of values that were lost, so that one lost reading changes hardly anything.
 *
 * **Whole regions** are no longer believed in by the image. With electrodes gone a muscle is still well seen as a whole,
 * from farther away, but not its parts, and a prior that lets muscles change as wholes explains a change under the lost
 * electrodes by whichever muscles are seen: up to across the limb. With B what the rows show of one deviation of each
 * region, and G the values by it (see `DataSpace`), the picture without that belief is, by the Woodbury identity,
 *
 *   x₀ = x + Ψ·W⁻¹·Gᵀ·(M + λ²)⁻¹·z̃,  Ψ = R·z̃(G) − B,  W = 1/θ − Gᵀ·(M + λ²)⁻¹·z̃(G),
 *
 * where z̃(G) are the values of `reading-trust.ts` for whole regions, and θ is the part of the belief that is dropped. Means
 * of regions keep all of it: whole muscles are what they are for.
 *
 * **Standardisation.** Where electrodes were lost the picture sees less: of the variance s of a value over all changes that
 * the prior believes in, s′ = s − λ²·|L⁻¹·ω^½·C_D·r|² is left (r: the matrix row, L: the factor), and with whole regions
 * dropped s′ − θ·|b|² + ψᵀ·W⁻¹·ψ (b, ψ: rows of B, Ψ). A target beside a lost electrode would show beside its place, where
 * more is seen. Values are therefore divided by √s′, which puts a single target's peak in its place (Pascual-Marqui, Methods
 * Find. Exp. Clin. Pharmacol. 24 D:5, 2002) where cells are believed to be independent, and multiplied by the median of √s′,
 * so that colours keep their meaning. Means of regions are raised by s/s′, which keeps their answer to a change, so that
 * trends go on as they were.
 */
export interface TrustedPicture {
	/** Changes the values [n] that the matrix takes, for the image alone. Allocates nothing. */
	shift(values: Float32Array): void;
	/** Changes the image [rows without regions] that the matrix made of those values. Allocates nothing. */
	finish(image: Float32Array): void;
	/** Changes region means [nTrendRegions] that were made of values that were not shifted. Allocates nothing. */
	finishMeans(means: Float32Array): void;
}

/** From this share of lost values on a picture is changed in full. */
const IN_FULL_FROM = 1 / 8;
/** A value is raised by no more than this: fat, of which the prior believes little, would stand out else. */
const LARGEST_GAIN = 4;
/** A region's mean is raised by no more than this; where more would be needed it can hardly be seen any more. */
const LARGEST_REGION_GAIN = 3;
/** For s′. With 64 electrodes, or as many readings as 32 can give, two lost electrodes are little, and it would take longer
 *  than it is worth. */
const MOST_PRODUCTS = 1.2e8;
/** Share of what is seen that is never taken away, lest nothing be divided by nothing. */
const SEES_NOTHING = 1e-3;

/** A picture at another λ than the model's: the data space and trust of that λ, and what turns its values into those
 *  that the matrix takes. */
export interface OtherStrength {
	readonly dataSpace: DataSpace;
	readonly trust: ReadingTrust;
	readonly filter: StrengthFilter;
}

/**
 * @param product by the model's matrix; its input and output are overwritten
 * @param other where the picture is made at another λ; values are standardised as at the model's, for what is left to be
 * seen where hardly depends on it
 */
export function createTrustedPicture(
	model: FrameModel,
	trust: ReadingTrust,
	product: StreamingProduct,
	other: OtherStrength | null,
): TrustedPicture {
	const { matrix, trendRegions, fold } = model;
	const { rowCount } = matrix;
	const imageCount = rowCount - trendRegions.length;
	const share = Math.min(1, trust.count / fold.count / IN_FULL_FROM);
	const regions = dropRegions(model, trust, share, null);
	const gains = new Float32Array(rowCount).fill(1);
	for (let k = imageCount; k < rowCount; k++) gains[k] = regionGain(model, trust, k);
	if (mayStandardise(model, trust, imageCount)) {
		const left = seenWithout(model, trust, product, imageCount);
		regions?.addSeen(left, product);
		for (let k = 0; k < imageCount; k++) left[k] = Math.max(left[k]!, SEES_NOTHING * matrix.seen[k]!);
		const middle = left.slice().sort()[imageCount >> 1]!;
		for (let k = 0; k < imageCount; k++)
			gains[k] = Math.min(LARGEST_GAIN, (middle / left[k]!) ** (share / 2));
	}
	const dropped = other === null ? regions : dropRegions(model, other.trust, share, other);
	return {
		shift(values) {
			dropped?.shift(values);
		},
		finish(image) {
			dropped?.finish(image);
			for (let k = 0; k < imageCount; k++) image[k]! *= gains[k]!;
		},
		finishMeans(means) {
			for (let i = 0; i < means.length; i++) means[i]! *= gains[imageCount + i]!;
		},
	};
}

/** Not where cells hang together by belief: targets then move away from their places, on simulated discs. */
function mayStandardise({ matrix, prior }: FrameModel, { count }: ReadingTrust, imageCount: number): boolean {
	return prior === "diagonal" && count * matrix.columnCount * imageCount <= MOST_PRODUCTS;
}

/** s/s′ of one row. */
function regionGain({ matrix, dataSpace }: FrameModel, trust: ReadingTrust, k: number): number {
	const { values, columnCount: n, rowStride, seen } = matrix;
	const row = Float64Array.from({ length: n }, (_, j) => values[j * rowStride + k]!);
	const solved = solvedRow(trust, row);
	let left = seen[k]!;
	for (const value of solved) left -= dataSpace.lambda ** 2 * value * value;
	return Math.min(LARGEST_REGION_GAIN, seen[k]! / Math.max(left, SEES_NOTHING * seen[k]!));
}

/** [count] L⁻¹·ω^½·C_D·row */
function solvedRow({ count, lostRows, factor }: ReadingTrust, row: Float64Array): Float64Array {
	const n = row.length;
	const solved = new Float64Array(count);
	for (let i = 0; i < count; i++) {
		let sum = 0;
		for (let j = 0; j < n; j++) sum += lostRows[i * n + j]! * row[j]!;
		for (let j = 0; j < i; j++) sum -= factor[i * count + j]! * solved[j]!;
		solved[i] = sum / factor[i * count + i]!;
	}
	return solved;
}

/** [imageCount] s′ with whole regions still believed in. */
function seenWithout(
	{ matrix, dataSpace }: FrameModel,
	{ count, lostRows, factor }: ReadingTrust,
	product: StreamingProduct,
	imageCount: number,
): Float64Array {
	const n = matrix.columnCount;
	const lambda2 = dataSpace.lambda ** 2;
	const left = matrix.seen.slice(0, imageCount);
	/** L⁻¹·ω^½·C_D */
	const solved = lostRows.slice();
	for (let i = 0; i < count; i++) {
		const own = i * n;
		for (let j = 0; j < i; j++) {
			const weight = factor[i * count + j]!;
			const other = j * n;
			for (let k = 0; k < n; k++) solved[own + k]! -= weight * solved[other + k]!;
		}
		const scale = 1 / factor[i * count + i]!;
		for (let k = 0; k < n; k++) {
			solved[own + k]! *= scale;
			product.input[k] = solved[own + k]!;
		}
		product.run();
		for (let k = 0; k < imageCount; k++) left[k]! -= lambda2 * product.output[k]! ** 2;
	}
	return left;
}

interface DroppedRegions {
	shift(values: Float32Array): void;
	finish(image: Float32Array): void;
	/** What dropping whole regions does to s′ [rows without regions]. */
	addSeen(left: Float64Array, product: StreamingProduct): void;
}

/** @param theta part of the belief in whole regions that is dropped, above 0 to 1
 *  @returns null where nothing is believed of regions */
function dropRegions(
	{ matrix, dataSpace: own, trendRegions }: FrameModel,
	trust: ReadingTrust,
	theta: number,
	other: OtherStrength | null,
): DroppedRegions | null {
	const dataSpace = other?.dataSpace ?? own;
	const { rowCount, columnCount: n, regionParts } = matrix;
	const { regionAnswers, lambda } = dataSpace;
	const count = regionAnswers.length / n;
	if (count === 0) return null;
	const imageCount = rowCount - trendRegions.length;
	// of the values that the matrix takes, which at another λ are filtered
	const damped = dampedRows(own, count);
	const dampedThere = other === null ? damped : dampedRows(dataSpace, count);
	const solved = Array.from({ length: count }, (_, r) =>
		solvedRow(trust, dampedThere.subarray(r * n, (r + 1) * n)),
	);
	/** [count × n] z̃(G), as the matrix takes it */
	const shifts = new Float64Array(count * n);
	const factor = new Float64Array(count * count);
	for (let r = 0; r < count; r++) {
		const values = shifts.subarray(r * n, (r + 1) * n);
		trustedValues(trust, regionAnswers.subarray(r * n, (r + 1) * n), solved[r]!, lambda, values);
		other?.filter.apply(values);
		for (let q = 0; q < count; q++) {
			let sum = q === r ? 1 / theta : 0;
			for (let j = 0; j < n; j++) sum -= damped[q * n + j]! * values[j]!;
			factor[q * count + r] = sum;
		}
	}
	choleskyInPlace(factor, count);
	const weights = new Float64Array(count);
	const halfway = (): void => {
		for (let r = 0; r < count; r++) {
			let sum = weights[r]!;
			for (let q = 0; q < r; q++) sum -= factor[r * count + q]! * weights[q]!;
			weights[r] = sum / factor[r * count + r]!;
		}
	};
	return {
		shift(values) {
			for (let r = 0; r < count; r++) {
				let sum = 0;
				for (let j = 0; j < n; j++) sum += damped[r * n + j]! * values[j]!;
				weights[r] = sum;
			}
			halfway();
			for (let r = count - 1; r >= 0; r--) {
				weights[r]! /= factor[r * count + r]!;
				for (let q = 0; q < r; q++) weights[q]! -= factor[r * count + q]! * weights[r]!;
			}
			for (let r = 0; r < count; r++) {
				const weight = weights[r]!;
				for (let j = 0; j < n; j++) values[j]! += weight * shifts[r * n + j]!;
			}
		},
		finish(image) {
			for (let r = 0; r < count; r++) {
				const weight = weights[r]!;
				for (let k = 0; k < imageCount; k++) image[k]! -= weight * regionParts[r * rowCount + k]!;
			}
		},
		addSeen(left, product) {
			/** [count × imageCount] Ψ, transposed */
			const changes = new Float32Array(count * imageCount);
			for (let r = 0; r < count; r++) {
				product.input.set(shifts.subarray(r * n, (r + 1) * n));
				product.run();
				for (let k = 0; k < imageCount; k++) {
					changes[r * imageCount + k] = product.output[k]! - regionParts[r * rowCount + k]!;
				}
			}
			for (let k = 0; k < imageCount; k++) {
				for (let r = 0; r < count; r++) weights[r] = changes[r * imageCount + k]!;
				halfway();
				for (let r = 0; r < count; r++) {
					left[k]! += weights[r]! ** 2 - theta * regionParts[r * rowCount + k]! ** 2;
				}
			}
		},
	};
}

/** z̃(G) = g − λ²·C_Dᵀ·ω^½·L⁻ᵀ·solved for one row g of G, where `solved` is that of g·(M + λ²)⁻¹. */
function trustedValues(
	{ count, lostRows, factor }: ReadingTrust,
	answers: Float64Array,
	solved: Float64Array,
	lambda: number,
	values: Float64Array,
): void {
	const n = answers.length;
	const weights = solved.slice();
	values.set(answers);
	for (let i = count - 1; i >= 0; i--) {
		const weight = weights[i]! / factor[i * count + i]!;
		for (let j = 0; j < i; j++) weights[j]! -= factor[i * count + j]! * weight;
		for (let j = 0; j < n; j++) values[j]! -= lambda * lambda * weight * lostRows[i * n + j]!;
	}
}

/** [count × n] rows of Gᵀ·(M + λ²)⁻¹ */
function dampedRows({ eigenvalues, vectors, lambda, regionAnswers }: DataSpace, count: number): Float64Array {
	const n = eigenvalues.length;
	const damped = new Float64Array(count * n);
	for (let r = 0; r < count; r++) {
		const from = r * n;
		for (let i = 0; i < n; i++) {
			const damping = 1 / (eigenvalues[i]! + lambda * lambda);
			if (vectors === null) {
				damped[from + i] = damping * regionAnswers[from + i]!;
				continue;
			}
			let sum = 0;
			for (let k = 0; k < n; k++) sum += vectors[i * n + k]! * regionAnswers[from + k]!;
			for (let k = 0; k < n; k++) damped[from + k]! += damping * sum * vectors[i * n + k]!;
		}
	}
	return damped;
}
