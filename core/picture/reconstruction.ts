import type { ReadingPattern } from "../band/band.ts";
import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "../physics/forward.ts";
import type { DataSpace } from "./data-space.ts";
import { transposedOf } from "./dense.ts";
import { type PictureDomain, sectionDomain } from "./domain.ts";
import { symmetricEigen } from "./eigen.ts";
import { foldInto, foldReadings } from "./fold.ts";
import type { FoldedReadings } from "./folded-readings.ts";
import { type ImageRows, meansOver } from "./image-rows.ts";
import { drownedComponents, keepComponents, seenByComponents } from "./kept-components.ts";
import { MatrixProducts, RowCombiner } from "./kernel/matrix-products.ts";
import { rowProducts } from "./kernel/row-products.ts";
import { addNuisance, type Nuisance } from "./nuisance.ts";
import { addSquares, type PriorName } from "./prior.ts";
import { createReadingBasis, type ReadingBasis } from "./reading-basis.ts";
import { answersOfRegions, partsInRegions, withRegions } from "./region-prior.ts";
import { sketchRows } from "./sketch.ts";
import { chooseStrength, type Strength, type StrengthProblem, type StrengthRule } from "./strength.ts";
import { partOf, type WhitenedPart } from "./whitened-sensitivities.ts";

export interface ReconstructionOptions extends InverseOptions {
	readonly mesh: Mesh;
	/** [nTriangles] S/m at rest. */
	readonly sigma: Float64Array;
	/** Of the rest state. */
	readonly field: ForwardField;
}

export interface InverseOptions {
	readonly pattern: ReadingPattern;
	/** [nReadings] Ω (in a section Ω·m) for each unit of a reading: 1 / current for volts. */
	readonly ohmPerUnit: Float64Array;
	/** [nReadings] noise of a reading's change, in the reading's unit; Infinity leaves the reading out. Only the
	 *  ratios matter for the picture. */
	readonly deviation: Float64Array;
	readonly prior: PriorName;
	/** Regions that may change as a whole; none where left out. */
	readonly regions?: ImageRows;
	/** What moves readings beside conductivity; nothing where left out. */
	readonly nuisance?: Nuisance;
	readonly rule: StrengthRule;
	/** λ by hand instead of by the rule. */
	readonly lambda?: number;
	/** Changes [nReadings] that `gcv` and `l-curve` judge by. Where there are none, what is to be expected stands
	 *  in: the answer to a small central change at ten times the noise, plus the noise. */
	readonly frames?: readonly Float64Array[];
	/** Whether many readings may be brought down to the fewer values that say as much, see `ReadingBasis`; by default
	 *  they may. */
	readonly mayReduce?: boolean;
	/** Components of the readings from which the picture would get less than this share of its square in all are left
	 *  out: those that noise drowns. Of what a picture holds by expectation, signal as the prior believes and noise
	 *  alike. The matrix then has fewer columns and frames cost less; zero where left out. */
	readonly negligible?: number;
	/** Called between the longer pieces of work with the share that is done; what it throws is passed on. */
	readonly onProgress?: (share: number) => void;
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
	/** From whitened readings [fold.count] to fewer, still whitened values that say as much; null where the readings
	 *  are taken as they are. See `ReadingBasis`: pictures then differ from exact ones by at most 1e-4. */
	readonly projection: TransposedMatrix | null;
	readonly cellCount: number;
	/** What the readings say, see `DataSpace`. */
	readonly dataSpace: DataSpace;
	/** Matrix from whitened (and projected) values to the wanted rows, transposed: [values × rowStride], S/m, see
	 *  `createStreamingProduct`. */
	matrixOf(rows: ImageRows): PictureMatrix;
	/** The same to the modes of a nuisance, in standard deviations of each; null where they are not wanted. */
	readonly modes: TransposedMatrix | null;
}

export interface PictureMatrix extends TransposedMatrix {
	/** [rowCount] variance of each row's value over all changes that the prior believes in: what the picture can show
	 *  there of them. In the unit of a row's square times the variance of the values it takes. */
	readonly seen: Float64Array;
	/** [regions × rowCount] B: each row's value by one deviation of each region that may change as a whole, in the same
	 *  unit. */
	readonly regionParts: Float32Array;
}

export interface TransposedMatrix {
	/** [columnCount × rowStride] */
	readonly values: Float32Array;
	readonly rowCount: number;
	readonly columnCount: number;
	readonly rowStride: number;
}

const EXPECTED_SIGNAL_TO_NOISE = 10;

/** @throws RangeError on lengths that do not fit, or when no reading is left */
export function createReconstruction(options: ReconstructionOptions): Reconstruction {
	return reconstructOver(sectionDomain(options.mesh, options.field, options.sigma), options);
}

/** @throws RangeError on lengths that do not fit, or when no reading is left */
export function reconstructOver(domain: PictureDomain, options: InverseOptions): Reconstruction {
	const { pattern, ohmPerUnit, deviation, prior, rule } = options;
	const readingCount = pattern.terminals.length / 4;
	if (ohmPerUnit.length !== readingCount || deviation.length !== readingCount) {
		throw new RangeError(`reconstruction: one factor and one deviation for each of ${readingCount} readings`);
	}
	const inOhm = deviation.map((s, i) => s * Math.abs(ohmPerUnit[i]!));
	const fold = foldReadings(pattern.terminals, pattern.electrodeCount, inOhm);
	const problem = {
		domain,
		fold,
		prior,
		regions: options.regions ?? NO_REGIONS,
		nuisance: options.nuisance ?? null,
		rule,
		lambda: options.lambda ?? null,
		ohmPerUnit,
		inOhm,
		frames: options.frames ?? [],
		negligible: options.negligible ?? 0,
		onProgress: options.onProgress ?? (() => {}),
	};
	const isWorth = fold.count >= WORTH_REDUCING && fold.mix.kind === "reciprocal";
	const mayReduce = options.mayReduce !== false && options.nuisance?.wanted === undefined;
	const basis = isWorth && mayReduce ? reduce(problem) : null;
	const reduced = basis && solve(problem, basis);
	return reduced !== null && reduced.error <= REDUCED_ERROR ? reduced : solve(problem, null);
}

const NO_REGIONS = meansOver([], new Float64Array(0));

/** Fewer readings than this are solved as they are in less time than it takes to reduce them. */
const WORTH_REDUCING = 250;

interface Problem {
	readonly domain: PictureDomain;
	readonly fold: FoldedReadings;
	readonly prior: PriorName;
	readonly regions: ImageRows;
	readonly nuisance: Nuisance | null;
	readonly rule: StrengthRule;
	readonly lambda: number | null;
	readonly ohmPerUnit: Float64Array;
	/** [nReadings] noise, Ω */
	readonly inOhm: Float64Array;
	readonly frames: readonly Float64Array[];
	readonly negligible: number;
	readonly onProgress: (share: number) => void;
}

interface Reduction extends ReadingBasis {
	/** [nCells] see `createPrior` */
	readonly squares: Float64Array;
}

function reduce({ domain, fold, prior, regions }: Problem): Reduction | null {
	const { whitened } = domain;
	const cellCount = domain.measures.length;
	const squares = new Float64Array(cellCount);
	const block = new Float64Array(64 * cellCount);
	for (let first = 0; first < fold.count; first += 64) {
		const rowCount = Math.min(64, fold.count - first);
		const picks = Uint32Array.from({ length: rowCount }, (_, i) => first + i);
		const rows = { rowCount, left: block, stride: cellCount };
		whitened({ values: block, stride: cellCount }, partOf(fold, picks));
		addSquares(rows, squares);
	}
	const metric = withRegions(domain.prior(prior, squares), regions, cellCount);
	// the basis takes a part of the rows; what the sketch is wider than that keeps it from distorting them
	const width = Math.ceil(fold.count / 2) + 300;
	const basis = createReadingBasis(sketchRows(fold, whitened, metric, cellCount, width));
	return basis && { ...basis, squares };
}

function solve(problem: Problem, basis: Reduction | null): Reconstruction & { readonly error: number } {
	const { domain, fold, prior, regions, rule, ohmPerUnit, inOhm, frames, negligible, onProgress } = problem;
	const { measures, whitened } = domain;
	const part: WhitenedPart = basis === null ? fold : partOf(fold, basis.rows);
	const n = part.count;
	const products = new MatrixProducts(n, measures.length);
	whitened({ values: products.left, stride: products.stride }, part);
	const squares = basis?.squares ?? new Float64Array(measures.length);
	if (basis === null) addSquares(products, squares);
	const metric = withRegions(domain.prior(prior, squares), regions, measures.length);
	metric.apply(products);
	onProgress(0.2);
	const gram = products.symmetricProduct();
	onProgress(0.5);
	const data = basis === null ? gram : similar(gram, transposedOf(basis.mix, n, n), n);
	let trace = 0;
	for (let i = 0; i < n; i++) trace += data[i * n + i]!;
	const scale = fold.count / trace;
	const { nuisance } = problem;
	const answers = nuisance && addNuisance(data, trace, nuisance, fold, products, basis);
	const wanted = answers && nuisance?.wanted ? firstModes(answers, n, nuisance.wanted.count) : null;
	for (let i = 0; i < data.length; i++) data[i]! *= scale;
	const eigen = symmetricEigen(data, n);
	// round-off can push the smallest below zero, where λ alone must hold
	for (let i = 0; i < n; i++) eigen.values[i] = Math.max(0, eigen.values[i]!);
	// the same eigenvectors, as sums of the rows that the products hold
	const sums = basis === null ? eigen.vectors : rowProducts(eigen.vectors, n, basis.mix, n, n);

	onProgress(0.7);
	const central = inBasis(sums, n, centralChange(products, n, domain.central));
	const wholeRegions = answersOfRegions(products, n, regions, metric.deviation, Math.sqrt(scale));
	const strengthProblem: StrengthProblem = {
		readingCount: fold.count,
		eigenvalues: eigen.values,
		central,
		imageGram: imageGram(products, sums, n, measures),
		...dataEnergies(frames, fold, ohmPerUnit, inOhm, componentsBy(eigen.vectors, n, basis), central),
	};
	const strength = chooseStrength(rule, strengthProblem, problem.lambda);
	const dataSpace: DataSpace & { readonly vectors: Float64Array } = {
		eigenvalues: eigen.values,
		vectors: eigen.vectors,
		lambda: strength.lambda,
		shares: basis === null ? null : transposedOf(basis.projection, n, fold.count),
		regionAnswers:
			basis === null
				? wholeRegions
				: rowProducts(wholeRegions, regions.count, transposedOf(basis.mix, n, n), n, n),
	};
	const common = {
		prior,
		strength,
		fold,
		cellCount: measures.length,
		error: basis === null ? 0 : reducedError(eigen.values, basis.lost * fold.count, strength.lambda),
	};
	const averagesOf = (rows: ImageRows): RowCombiner => {
		const combined = new RowCombiner(n, rows.count);
		averageInto(combined, products, n, rows);
		return combined;
	};
	const partsOf = (rows: ImageRows) =>
		partsInRegions(rows, regions, metric.deviation, measures.length, Math.sqrt(scale));
	const drowned = drownedComponents(eigen.values, strengthProblem.imageGram, strength.lambda, negligible);
	// values that are mixed anyway may as well be the components, which are the easiest to change later
	if (drowned > 0 || basis !== null) {
		const kept = keepComponents(dataSpace, sums, drowned, scale);
		return {
			...common,
			projection: transposedMatrix(kept.dataSpace.shares!, fold.count),
			dataSpace: kept.dataSpace,
			matrixOf(rows) {
				const combined = averagesOf(rows);
				const values = combined.combine(kept.weights);
				return {
					values,
					rowCount: rows.count,
					columnCount: n - drowned,
					rowStride: combined.stride,
					seen: seenByComponents(values, combined.stride, rows.count, kept.dataSpace),
					regionParts: partsOf(rows),
				};
			},
			modes: wanted && modesBy(kept.weights, wanted, n),
		};
	}

	const weights = dampedInverse(eigen.values, eigen.vectors, sums, n, strength.lambda, scale);
	return {
		...common,
		projection: null,
		dataSpace,
		matrixOf(rows) {
			const combined = averagesOf(rows);
			const values = combined.combine(weights);
			return {
				values,
				rowCount: rows.count,
				columnCount: n,
				rowStride: combined.stride,
				seen: seenVariance(values, combined, rows.count, scale),
				regionParts: partsOf(rows),
			};
		},
		modes: wanted && modesBy(weights, wanted, n),
	};
}

/** @returns [n × count] */
function firstModes(answers: Float64Array, n: number, count: number): Float64Array {
	const modeCount = answers.length / n;
	return Float64Array.from(
		{ length: n * count },
		(_, i) => answers[Math.floor(i / count) * modeCount + (i % count)]!,
	);
}

/** @param answers [n × modeCount] see `addNuisance` */
function modesBy(weights: Float64Array, answers: Float64Array, n: number): TransposedMatrix {
	const rowCount = answers.length / n;
	const combined = new RowCombiner(n, rowCount);
	for (let i = 0; i < n; i++)
		combined.rows.set(answers.subarray(i * rowCount, (i + 1) * rowCount), i * combined.stride);
	return {
		values: combined.combine(weights).slice(),
		rowCount,
		columnCount: weights.length / n,
		rowStride: combined.stride,
	};
}

/** diag(R·(M + λ²)·Rᵀ), as R·(M + λ²) is the rows that R combines. */
function seenVariance(
	values: Float32Array,
	{ rows, rowCount, stride }: RowCombiner,
	count: number,
	scale: number,
) {
	const seen = new Float64Array(count);
	for (let i = 0; i < rowCount; i++) {
		const at = i * stride;
		for (let k = 0; k < count; k++) seen[k]! += scale * values[at + k]! * rows[at + k]!;
	}
	return seen;
}

/** Of the reconstruction matrix by a reduction, in the Frobenius norm over the prior. */
const REDUCED_ERROR = 1e-4;

/**
 * Bound on how far a reduction moves the matrix R = Fᵀ(F·Fᵀ + λ²)⁻¹, as a share of its norm. With E = F − T·F_S and the
 * same for F̂, R − R̂ = (F̂ᵀF̂ + λ²)⁻¹·Eᵀ·(I − F·R) − R̂·E·R, so ‖R − R̂‖ ≤ (1 + ¼)·‖E‖/λ².
 */
function reducedError(eigenvalues: Float64Array, lost: number, lambda: number): number {
	const lambda2 = lambda * lambda;
	let square = 0;
	for (const mu of eigenvalues) square += mu / (mu + lambda2) ** 2;
	return (1.25 * Math.sqrt(lost)) / (lambda2 * Math.sqrt(square));
}

/** @param shares [readingCount × n] */
function transposedMatrix(shares: Float64Array, readingCount: number): TransposedMatrix {
	const n = shares.length / readingCount;
	return { values: Float32Array.from(shares), rowCount: n, columnCount: readingCount, rowStride: n };
}

/** Answer of the whitened readings to one unit over the central cells. */
function centralChange({ left, stride }: MatrixProducts, n: number, central: Uint32Array): Float64Array {
	const answer = new Float64Array(n);
	for (const k of central) for (let i = 0; i < n; i++) answer[i]! += left[i * stride + k]!;
	return answer;
}

/** From whitened values [fold.count] to components along the eigenvectors. */
function componentsBy(vectors: Float64Array, n: number, basis: ReadingBasis | null) {
	return (whitened: Float64Array): Float64Array => {
		if (basis === null) return inBasis(vectors, n, whitened);
		return inBasis(vectors, n, inBasis(basis.projection, n, whitened));
	};
}

/** Uᵀ-side coordinates: [n] components of a vector along the eigenvectors (rows). */
function inBasis(vectors: Float64Array, n: number, vector: Float64Array): Float64Array {
	const length = vector.length;
	const components = new Float64Array(n);
	for (let i = 0; i < n; i++) {
		let sum = 0;
		for (let k = 0; k < length; k++) sum += vectors[i * length + k]! * vector[k]!;
		components[i] = sum;
	}
	return components;
}

/** Overwrites left: U·(A·P·diag(measure)·P·Aᵀ)·Uᵀ. */
function imageGram(
	products: MatrixProducts,
	vectors: Float64Array,
	n: number,
	measures: Float64Array,
): Float64Array {
	const { left, right, stride } = products;
	for (let i = 0; i < n; i++) {
		const row = i * stride;
		for (let k = 0; k < measures.length; k++) left[row + k] = right[row + k]! * measures[k]!;
	}
	return similar(products.symmetricProduct(), vectors, n);
}

/** V·S·Vᵀ for symmetric S and rows V. */
function similar(symmetric: Float64Array, vectors: Float64Array, n: number): Float64Array {
	const half = rowProducts(vectors, n, symmetric, n, n);
	return rowProducts(vectors, n, half, n, n, "symmetric");
}

function dataEnergies(
	frames: readonly Float64Array[],
	fold: FoldedReadings,
	ohmPerUnit: Float64Array,
	deviation: Float64Array,
	componentsOf: (whitened: Float64Array) => Float64Array,
	central: Float64Array,
): Pick<StrengthProblem, "dataEnergy" | "mismatchEnergy" | "mismatchCount"> {
	const n = central.length;
	const used = deviation.reduce((sum, s) => sum + (s === Infinity ? 0 : 1), 0);
	const mismatchCount = used - n;
	if (frames.length === 0) {
		let energy = 0;
		for (const c of central) energy += c * c;
		const signal = (fold.count * EXPECTED_SIGNAL_TO_NOISE ** 2) / energy;
		return {
			dataEnergy: central.map((c) => signal * c * c + 1),
			mismatchEnergy: mismatchCount,
			mismatchCount,
		};
	}
	const dataEnergy = new Float64Array(n);
	let mismatchEnergy = 0;
	const ohm = new Float64Array(deviation.length);
	const whitened = new Float64Array(fold.count);
	for (const frame of frames) {
		for (let r = 0; r < ohm.length; r++) {
			ohm[r] = deviation[r] === Infinity ? 0 : frame[r]! * ohmPerUnit[r]!;
			mismatchEnergy += (ohm[r]! / deviation[r]!) ** 2 / frames.length;
		}
		foldInto(fold, ohm, whitened);
		const components = componentsOf(whitened);
		for (let i = 0; i < n; i++) {
			dataEnergy[i]! += components[i]! ** 2 / frames.length;
			mismatchEnergy -= components[i]! ** 2 / frames.length;
		}
	}
	return { dataEnergy, mismatchEnergy: Math.max(0, mismatchEnergy), mismatchCount };
}

/** scale·Vᵀ·diag(1/(μ + λ²))·U: the weights with which pictures of single readings are combined. */
function dampedInverse(
	values: Float64Array,
	vectors: Float64Array,
	sums: Float64Array,
	n: number,
	lambda: number,
	scale: number,
): Float64Array {
	// turned around, both factors run along memory
	const left = transposedOf(vectors, n, n);
	const right = transposedOf(sums, n, n);
	for (let i = 0; i < n; i++) {
		const damping = scale / (values[i]! + lambda * lambda);
		for (let k = 0; k < n; k++) left[k * n + i]! *= damping;
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
