import type { ImageRows } from "./image-rows.ts";
import type { Prior, PriorRows } from "./prior.ts";

const REGION_SHARE = 4;

export interface RegionPrior extends Prior {
	/** [regions.count] sᵣ */
	readonly deviation: Float64Array;
}

/**
 * A prior that also believes in changes of whole regions, as muscles work as a whole: P + Σ sᵣ²·1ᵣ·1ᵣᵀ, where sᵣ² is
 * `REGION_SHARE` times the variance that P gives the region's mean (anatomical priors: Vauhkonen, Kaipio, Somersalo &
 * Karjalainen, Inverse Problems 13:523, 1997). A change of a part of a region, or beside it, is not ruled out: P is all
 * there still.
 *
 * The share was chosen on simulated thighs with 3 to 20 mm of fat, where each muscle changed as a whole or in a patch of
 * at most 24 mm: from 0 to 4 what leaks into another muscle's mean falls from at most 0.43 to at most 0.12 of the changed
 * one's where all of it changes, and from 0.50 to 0.23 for a patch (band turned by 8°: whole muscles from 0.60 to 0.26);
 * with more, patches begin to be taken for other muscles.
 *
 * @param regions rows of means over each region, by area
 */
export function withRegions(prior: Prior, regions: ImageRows, cellCount: number): RegionPrior {
	const { count, rowStart, cell, weight } = regions;
	if (count === 0) return { ...prior, deviation: new Float64Array(0) };
	const means = new Float64Array(count * cellCount);
	for (let r = 0; r < count; r++) {
		for (let e = rowStart[r]!; e < rowStart[r + 1]!; e++) means[r * cellCount + cell[e]!] = weight[e]!;
	}
	const spread = new Float64Array(count * cellCount);
	prior.apply({ rowCount: count, stride: cellCount, left: means, right: spread });
	const deviation = Float64Array.from({ length: count }, (_, r) => {
		let variance = 0;
		for (let k = r * cellCount; k < (r + 1) * cellCount; k++) variance += means[k]! * spread[k]!;
		return Math.sqrt(REGION_SHARE * variance);
	});
	/** [count] a row's answer to one deviation of each region. */
	const answers = new Float64Array(count);
	const answer = (left: Float64Array, row: number): void => {
		for (let r = 0; r < count; r++) {
			let sum = 0;
			for (let e = rowStart[r]!; e < rowStart[r + 1]!; e++) sum += left[row + cell[e]!]!;
			answers[r] = deviation[r]! * sum;
		}
	};
	return {
		deviation,
		apply(rows) {
			prior.apply(rows);
			const { rowCount, stride, left, right } = rows;
			for (let i = 0; i < rowCount; i++) {
				answer(left, i * stride);
				for (let r = 0; r < count; r++) {
					const value = deviation[r]! * answers[r]!;
					for (let e = rowStart[r]!; e < rowStart[r + 1]!; e++) right[i * stride + cell[e]!]! += value;
				}
			}
		},
		rootLength: prior.rootLength + count,
		rootInto(rows, root) {
			const { rowCount, stride, left } = rows;
			const inner = prior.rootLength;
			const own = new Float64Array(rowCount * inner);
			prior.rootInto(rows, own);
			for (let i = 0; i < rowCount; i++) {
				const to = i * (inner + count);
				root.set(own.subarray(i * inner, (i + 1) * inner), to);
				answer(left, i * stride);
				root.set(answers, to + inner);
			}
		},
	};
}

/** [regions.count × n] rows of A against whole regions that change by their deviation, times `factor`. */
export function answersOfRegions(
	{ left, stride }: Pick<PriorRows, "left" | "stride">,
	n: number,
	{ count, rowStart, cell }: ImageRows,
	deviation: Float64Array,
	factor: number,
): Float64Array {
	const answers = new Float64Array(count * n);
	for (let r = 0; r < count; r++) {
		for (let i = 0; i < n; i++) {
			let sum = 0;
			for (let e = rowStart[r]!; e < rowStart[r + 1]!; e++) sum += left[i * stride + cell[e]!]!;
			answers[r * n + i] = factor * deviation[r]! * sum;
		}
	}
	return answers;
}

/** [regions.count × rows.count] share of a row that lies in each region, times the region's deviation and `factor`. */
export function partsInRegions(
	rows: ImageRows,
	regions: ImageRows,
	deviation: Float64Array,
	cellCount: number,
	factor: number,
): Float32Array {
	const regionOf = new Int32Array(cellCount).fill(-1);
	for (let r = 0; r < regions.count; r++) {
		for (let e = regions.rowStart[r]!; e < regions.rowStart[r + 1]!; e++) regionOf[regions.cell[e]!] = r;
	}
	const parts = new Float32Array(regions.count * rows.count);
	for (let i = 0; i < rows.count; i++) {
		for (let e = rows.rowStart[i]!; e < rows.rowStart[i + 1]!; e++) {
			const r = regionOf[rows.cell[e]!]!;
			if (r >= 0) parts[r * rows.count + i]! += factor * deviation[r]! * rows.weight[e]!;
		}
	}
	return parts;
}
