import { createJitter } from "../mesh/jitter.ts";
import type { FoldedReadings } from "./folded-readings.ts";
import { MatrixProducts } from "./kernel/matrix-products.ts";
import type { Prior } from "./prior.ts";
import { partOf, type WhitenedRows } from "./whitened-sensitivities.ts";

/** Rows that are made at a time, so that no more of the sensitivities than these is ever held. */
const BLOCK = 64;

/** Where a column of F goes: this many columns of the sketch, each with a random sign. */
const COPIES = 2;

/**
 * F·Ω, where F are the whitened sensitivities in the metric of the prior and Ω has two entries ±1/√2 in each row:
 * inner products of rows are kept on average (sparse embedding: Clarkson & Woodruff, J. ACM 63:54, 2017; Nelson &
 * Nguyên, FOCS 2013). The signs come from a fixed seed: the same readings always give the same sketch.
 *
 * @returns [fold.count × width] in `left`
 */
export function sketchRows(
	fold: FoldedReadings,
	whitened: WhitenedRows,
	prior: Prior,
	cellCount: number,
	width: number,
): MatrixProducts {
	const { rootLength } = prior;
	const random = createJitter(1);
	const bucket = new Uint32Array(COPIES * rootLength);
	const sign = new Float64Array(COPIES * rootLength);
	for (let e = 0; e < bucket.length; e++) {
		bucket[e] = Math.floor(((random() + 1) / 2) * width);
		sign[e] = (random() < 0 ? -1 : 1) / Math.sqrt(COPIES);
	}
	const sketch = new MatrixProducts(fold.count, width);
	const left = new Float64Array(BLOCK * cellCount);
	const root = new Float64Array(BLOCK * rootLength);
	for (let first = 0; first < fold.count; first += BLOCK) {
		const rowCount = Math.min(BLOCK, fold.count - first);
		const picks = Uint32Array.from({ length: rowCount }, (_, i) => first + i);
		whitened({ values: left, stride: cellCount }, partOf(fold, picks));
		prior.rootInto({ rowCount, stride: cellCount, left }, root);
		for (let i = 0; i < rowCount; i++) {
			scatter(root, i * rootLength, rootLength, bucket, sign, sketch.left, (first + i) * sketch.stride);
		}
	}
	return sketch;
}

function scatter(
	root: Float64Array,
	from: number,
	length: number,
	bucket: Uint32Array,
	sign: Float64Array,
	target: Float64Array,
	to: number,
): void {
	for (let k = 0; k < length; k++) {
		const value = root[from + k]!;
		target[to + bucket[2 * k]!]! += sign[2 * k]! * value;
		target[to + bucket[2 * k + 1]!]! += sign[2 * k + 1]! * value;
	}
}
