import type { ReadingPattern } from "../band/band.ts";
import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "../physics/forward.ts";
import { symmetricEigen } from "./eigen.ts";
import { foldInto, foldReadings } from "./fold.ts";
import type { FoldedReadings } from "./folded-readings.ts";
import { cellAreas, cellCentres, type ImageRows } from "./image-rows.ts";
import { MatrixProducts, RowCombiner } from "./kernel/matrix-products.ts";
import { rowProducts } from "./kernel/row-products.ts";
import { applyPrior, type PriorName } from "./prior.ts";
import { chooseStrength, type Strength, type StrengthProblem, type StrengthRule } from "./strength.ts";
import { whitenedSensitivities } from "./whitened-sensitivities.ts";

export interface ReconstructionOptions {
	readonly mesh: Mesh;
	/** Of the rest state. */
	readonly field: ForwardField;
	readonly pattern: ReadingPattern;
	/** [nReadings] Ω·m for each unit of a reading: 1 / current for volts. */
	readonly ohmPerUnit: Float64Array;
	/** [nReadings] noise of a reading's change, in the reading's unit; Infinity leaves the reading out. Only the
	 *  ratios matter for the picture. */
	readonly deviation: Float64Array;
	readonly prior: PriorName;
	readonly rule: StrengthRule;
	/** Changes [nReadings] that `gcv` and `l-curve` judge by. Where there are none, what is to be expected stands
	 *  in: the answer to a small central change at ten times the noise, plus the noise. */
	readonly frames?: readonly Float64Array[];
}

/**
 * One-step linear difference reconstruction in data space,
 * x = P·Jᵀ·(J·P·Jᵀ + λ²·Σ)⁻¹·y (Cheney, Isaacson, Newell et al., Int. J. Imaging Syst. Technol. 2:66, 1990; Adler &
 * Guardo, IEEE Trans. Med. Imaging 15:170, 1996; the data-space form is the standard identity), on folded readings.
 */
export interface Reconstruction {
	readonly prior: PriorName;
	readonly strength: Strength;
	readonly fold: FoldedReadings;
	readonly cellCount: number;
	/** Matrix from whitened readings to the wanted rows, transposed: [fold.count × rowStride], S/m, see
	 *  `createStreamingProduct`. */
	matrixOf(rows: ImageRows): TransposedMatrix;
}

export interface TransposedMatrix {
	/** [columnCount × rowStride] */
	readonly values: Float32Array;
	readonly rowCount: number;
	readonly columnCount: number;
	readonly rowStride: number;
}

/** Of the section that the small central change covers: a tenth of its radius. */
const CENTRAL_SHARE = 0.01;
const EXPECTED_SIGNAL_TO_NOISE = 10;

/** @throws RangeError on lengths that do not fit, or when no reading is left */
export function createReconstruction(options: ReconstructionOptions): Reconstruction {
	const { mesh, field, pattern, ohmPerUnit, deviation, prior, rule } = options;
	const readingCount = pattern.terminals.length / 4;
	if (ohmPerUnit.length !== readingCount || deviation.length !== readingCount) {
		throw new RangeError(`reconstruction: one factor and one deviation for each of ${readingCount} readings`);
	}
	const inOhm = deviation.map((s, i) => s * Math.abs(ohmPerUnit[i]!));
	const fold = foldReadings(pattern.terminals, pattern.electrodeCount, inOhm);
	const areas = cellAreas(mesh);
	const n = fold.count;

	const products = new MatrixProducts(n, areas.length);
	whitenedSensitivities({ values: products.left, stride: products.stride }, fold, mesh, field);
	applyPrior(prior, products, mesh, areas);
	const data = products.symmetricProduct();
	let trace = 0;
	for (let i = 0; i < n; i++) trace += data[i * n + i]!;
	const scale = n / trace;
	for (let i = 0; i < data.length; i++) data[i]! *= scale;
	const eigen = symmetricEigen(data, n);
	// round-off can push the smallest below zero, where λ alone must hold
	for (let i = 0; i < n; i++) eigen.values[i] = Math.max(0, eigen.values[i]!);

	const central = inBasis(eigen.vectors, n, centralChange(products, n, mesh, areas));
	const problem: StrengthProblem = {
		eigenvalues: eigen.values,
		central,
		imageGram: imageGram(products, eigen.vectors, n, areas),
		...dataEnergies(options.frames ?? [], fold, ohmPerUnit, inOhm, eigen.vectors, central),
	};
	const strength = chooseStrength(rule, problem);
	const weights = dampedInverse(eigen.values, eigen.vectors, n, strength.lambda, scale);

	return {
		prior,
		strength,
		fold,
		cellCount: areas.length,
		matrixOf(rows) {
			const combined = new RowCombiner(n, rows.count);
			averageInto(combined, products, n, rows);
			return {
				values: combined.combine(weights),
				rowCount: rows.count,
				columnCount: n,
				rowStride: combined.stride,
			};
		},
	};
}

/** Answer of the whitened readings to one unit over a disc around the section's centre of area. */
function centralChange(
	{ left, stride }: MatrixProducts,
	n: number,
	mesh: Mesh,
	areas: Float64Array,
): Float64Array {
	const centres = cellCentres(mesh);
	let area = 0;
	let x = 0;
	let y = 0;
	for (let k = 0; k < areas.length; k++) {
		area += areas[k]!;
		x += areas[k]! * centres[2 * k]!;
		y += areas[k]! * centres[2 * k + 1]!;
	}
	const radius = Math.sqrt((CENTRAL_SHARE * area) / Math.PI);
	const distances = areas.map((_, k) =>
		Math.hypot(centres[2 * k]! - x / area, centres[2 * k + 1]! - y / area),
	);
	const nearest = distances.indexOf(Math.min(...distances));
	const answer = new Float64Array(n);
	for (let k = 0; k < areas.length; k++) {
		if (distances[k]! > radius && k !== nearest) continue;
		for (let i = 0; i < n; i++) answer[i]! += left[i * stride + k]!;
	}
	return answer;
}

/** Uᵀ-side coordinates: [n] components of a vector along the eigenvectors (rows). */
function inBasis(vectors: Float64Array, n: number, vector: Float64Array): Float64Array {
	const components = new Float64Array(n);
	for (let i = 0; i < n; i++) {
		let sum = 0;
		for (let k = 0; k < n; k++) sum += vectors[i * n + k]! * vector[k]!;
		components[i] = sum;
	}
	return components;
}

/** Overwrites left: U·(A·P·diag(area)·P·Aᵀ)·Uᵀ. */
function imageGram(
	products: MatrixProducts,
	vectors: Float64Array,
	n: number,
	areas: Float64Array,
): Float64Array {
	const { left, right, stride } = products;
	for (let i = 0; i < n; i++) {
		const row = i * stride;
		for (let k = 0; k < areas.length; k++) left[row + k] = right[row + k]! * areas[k]!;
	}
	return similar(products.symmetricProduct(), vectors, n);
}

/** V·S·Vᵀ for symmetric S and rows V. */
function similar(symmetric: Float64Array, vectors: Float64Array, n: number): Float64Array {
	const half = rowProducts(vectors, n, symmetric, n, n);
	return rowProducts(vectors, n, half, n, n);
}

function dataEnergies(
	frames: readonly Float64Array[],
	fold: FoldedReadings,
	ohmPerUnit: Float64Array,
	deviation: Float64Array,
	vectors: Float64Array,
	central: Float64Array,
): Pick<StrengthProblem, "dataEnergy" | "mismatchEnergy" | "mismatchCount"> {
	const n = fold.count;
	const used = deviation.reduce((sum, s) => sum + (s === Infinity ? 0 : 1), 0);
	const mismatchCount = used - n;
	if (frames.length === 0) {
		let energy = 0;
		for (const c of central) energy += c * c;
		const signal = (n * EXPECTED_SIGNAL_TO_NOISE ** 2) / energy;
		return {
			dataEnergy: central.map((c) => signal * c * c + 1),
			mismatchEnergy: mismatchCount,
			mismatchCount,
		};
	}
	const dataEnergy = new Float64Array(n);
	let mismatchEnergy = 0;
	const ohm = new Float64Array(deviation.length);
	const whitened = new Float64Array(n);
	for (const frame of frames) {
		for (let r = 0; r < ohm.length; r++) {
			ohm[r] = deviation[r] === Infinity ? 0 : frame[r]! * ohmPerUnit[r]!;
			mismatchEnergy += (ohm[r]! / deviation[r]!) ** 2 / frames.length;
		}
		foldInto(fold, ohm, whitened);
		const components = inBasis(vectors, n, whitened);
		for (let i = 0; i < n; i++) {
			dataEnergy[i]! += components[i]! ** 2 / frames.length;
			mismatchEnergy -= components[i]! ** 2 / frames.length;
		}
	}
	return { dataEnergy, mismatchEnergy: Math.max(0, mismatchEnergy), mismatchCount };
}

/** scale·Uᵀ·diag(1/(μ + λ²))·U: the weights with which pictures of single readings are combined. */
function dampedInverse(
	values: Float64Array,
	vectors: Float64Array,
	n: number,
	lambda: number,
	scale: number,
): Float64Array {
	// the transposed eigenvectors make both factors run along memory
	const left = new Float64Array(n * n);
	const right = new Float64Array(n * n);
	for (let i = 0; i < n; i++) {
		const damping = scale / (values[i]! + lambda * lambda);
		for (let k = 0; k < n; k++) {
			const v = vectors[i * n + k]!;
			left[k * n + i] = v * damping;
			right[k * n + i] = v;
		}
	}
	return rowProducts(left, n, right, n, n);
}

/** Each wanted row's mean of P·Aᵀ, as rows over the wanted ones. */
function averageInto(target: RowCombiner, source: MatrixProducts, n: number, rows: ImageRows): void {
	const { rowStart, cell, weight, count } = rows;
	const means = target.rows;
	const pictures = source.right;
	for (let i = 0; i < n; i++) {
		const from = i * source.stride;
		const to = i * target.stride;
		let entry = 0;
		for (let row = 0; row < count; row++) {
			const end = rowStart[row + 1]!;
			let sum = 0;
			for (; entry < end; entry++) sum += weight[entry]! * pictures[from + cell[entry]!]!;
			means[to + row] = sum;
		}
	}
}
