import type { ReadingPattern } from "../band/band.ts";
import { type DataSpace, explainedShare } from "./data-space.ts";
import { choleskyInPlace } from "./dense.ts";
import { foldInto } from "./fold.ts";
import { rowProducts } from "./kernel/row-products.ts";
import type { PictureModel } from "./picture-model.ts";
import { createRestReadings, differenceInto, setRestReadings } from "./reading-difference.ts";

/**
 * Which electrodes' readings do not follow from what all the others show (Asfaw & Adler, Physiol. Meas. 26:S175, 2005:
 * leave an electrode out, predict its readings from a picture of the rest, compare). A change of conductivity, wherever
 * it is, is consistent over all electrodes; a fault is not. One electrode at a time is found. For patterns of which few
 * readings have a reciprocal partner; the model must have been made with the noise of the readings.
 */
export interface ElectrodeMisfit {
	setBaseline(readings: Float64Array): void;
	/** [electrodeCount] 1 where an electrode stands out; overwritten by each call. Allocates nothing.
	 *  @param readings [nReadings] in the model's unit, none missing */
	judge(readings: Float64Array): Uint8Array;
	/** [electrodeCount] of the last frame: what of its misfit goes away without each electrode, 0 to 1. */
	readonly shares: Float64Array;
}

/** A fault explains nearly all of what does not fit; a contraction's misfit is spread over the ring. */
const STANDS_OUT = 0.85;
/** Root mean square of the misfit of an electrode's readings in deviations of their noise, at least. */
const LEAST_DEVIATIONS = 6;

/** @throws RangeError for models whose readings are not reciprocal pairs in double precision (many drives, or reduced) */
export function createElectrodeMisfit(model: PictureModel, pattern: ReadingPattern): ElectrodeMisfit {
	const { fold, dataSpace, readingCount, ohmMetrePerUnit } = model;
	const { vectors } = dataSpace;
	if (fold.mix.kind !== "reciprocal" || dataSpace.shares !== null || vectors === null) {
		throw new RangeError("electrode misfit: the model's readings are mixed");
	}
	const n = fold.count;
	const residualOf = complement(dataSpace, vectors);
	const { electrodeCount } = pattern;
	const members = Array.from({ length: electrodeCount }, (_, e) =>
		Array.from({ length: n }, (_, i) => i).filter((i) => fold.probes.subarray(4 * i, 4 * i + 4).includes(e)),
	);
	const factors = members.map((list) => {
		const block = new Float64Array(list.length ** 2);
		for (const [a, i] of list.entries()) {
			for (const [b, j] of list.entries()) block[a * list.length + b] = residualOf[i * n + j]!;
		}
		choleskyInPlace(block, list.length);
		return block;
	});
	const rest = createRestReadings(new Float64Array(readingCount));
	const change = new Float64Array(readingCount);
	const whitened = new Float64Array(n);
	const residual = new Float64Array(n);
	const solved = new Float64Array(n);
	const shares = new Float64Array(electrodeCount);
	const standing = new Uint8Array(electrodeCount);
	return {
		shares,
		setBaseline(readings) {
			setRestReadings(rest, readings);
		},
		judge(readings) {
			differenceInto(rest, readings, change);
			for (let r = 0; r < readingCount; r++) change[r]! *= ohmMetrePerUnit[r]!;
			foldInto(fold, change, whitened);
			let misfit = 0;
			for (let i = 0; i < n; i++) {
				let sum = 0;
				for (let k = 0; k < n; k++) sum += residualOf[i * n + k]! * whitened[k]!;
				residual[i] = sum;
				misfit += sum * whitened[i]!;
			}
			standing.fill(0);
			let worst = 0;
			for (let e = 0; e < electrodeCount; e++) {
				const list = members[e]!;
				const factor = factors[e]!;
				const d = list.length;
				let gone = 0;
				for (let a = 0; a < d; a++) {
					let sum = residual[list[a]!]!;
					for (let b = 0; b < a; b++) sum -= factor[a * d + b]! * solved[b]!;
					solved[a] = sum / factor[a * d + a]!;
					gone += solved[a]! ** 2;
				}
				shares[e] = misfit === 0 ? 0 : gone / misfit;
				if (shares[e]! > shares[worst]!) worst = e;
			}
			const readingsOfWorst = members[worst]!.length;
			const deviations = Math.sqrt((shares[worst]! * misfit) / Math.max(1, readingsOfWorst));
			if (shares[worst]! > STANDS_OUT && deviations > LEAST_DEVIATIONS) standing[worst] = 1;
			return standing;
		},
	};
}

/** [n × n] 1 − H, see `DataSpace`. */
function complement(dataSpace: DataSpace, vectors: Float64Array): Float64Array {
	const n = dataSpace.eigenvalues.length;
	const turned = new Float64Array(n * n);
	const weighted = new Float64Array(n * n);
	for (let i = 0; i < n; i++) {
		const unexplained = 1 - explainedShare(dataSpace, i);
		for (let k = 0; k < n; k++) {
			turned[k * n + i] = vectors[i * n + k]!;
			weighted[k * n + i] = unexplained * vectors[i * n + k]!;
		}
	}
	return rowProducts(weighted, n, turned, n, n, "symmetric");
}
