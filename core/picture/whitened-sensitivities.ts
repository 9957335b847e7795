import type { FoldedReadings } from "./folded-readings.ts";
import { rowProducts } from "./kernel/row-products.ts";
import type { RowTarget, SensitivityRows } from "./sensitivity.ts";

/** Of folded readings, what their sensitivities follow from. */
export type WhitenedPart = Pick<FoldedReadings, "count" | "probes" | "mix">;

/** Writes the sensitivities of folded, whitened readings: `count` rows of nCells, overwritten. */
export type WhitenedRows = (target: RowTarget, part: WhitenedPart) => void;

/** @param cells as long as a row of `rowsInto` is */
export function createWhitenedRows(cells: number, rowsInto: SensitivityRows): WhitenedRows {
	return ({ values, stride }, { count, probes, mix }) => {
		if (mix.kind === "reciprocal") {
			rowsInto({ values, stride }, probes);
			for (let i = 0; i < count; i++) {
				const scale = mix.scale[i]!;
				for (let k = i * stride; k < i * stride + cells; k++) values[k]! *= scale;
			}
			return;
		}
		mixInto({ values, stride }, count, probes, mix.factor, cells, rowsInto);
	};
}

/** Those of `fold`'s rows that are picked; of reciprocal folds only. */
export function partOf({ probes, mix }: FoldedReadings, picks: Uint32Array): WhitenedPart {
	if (mix.kind !== "reciprocal") throw new RangeError("part of a fold: its rows hang together");
	const part = new Uint16Array(4 * picks.length);
	const scale = new Float64Array(picks.length);
	for (const [i, pick] of picks.entries()) {
		part.set(probes.subarray(4 * pick, 4 * pick + 4), 4 * i);
		scale[i] = mix.scale[pick]!;
	}
	return { count: picks.length, probes: part, mix: { kind: "reciprocal", scale } };
}

/** Cells that are mixed at a time. */
const STRIP = 1024;

/** factorᵀ · rows of the probes. */
function mixInto(
	{ values, stride }: RowTarget,
	count: number,
	probes: Uint16Array,
	factor: Float64Array,
	cells: number,
	rowsInto: SensitivityRows,
): void {
	const probeCount = probes.length / 4;
	const rows = new Float64Array(probeCount * cells);
	rowsInto({ values: rows, stride: cells }, probes);
	const shares = new Float64Array(count * probeCount);
	for (let p = 0; p < probeCount; p++) {
		for (let i = 0; i < count; i++) shares[i * probeCount + p] = factor[p * count + i]!;
	}
	// products take rows against rows, so the probes' are turned around
	const turned = new Float64Array(STRIP * probeCount);
	for (let start = 0; start < cells; start += STRIP) {
		const width = Math.min(STRIP, cells - start);
		for (let p = 0; p < probeCount; p++) {
			for (let k = 0; k < width; k++) turned[k * probeCount + p] = rows[p * cells + start + k]!;
		}
		const mixed = rowProducts(shares, count, turned, width, probeCount);
		for (let i = 0; i < count; i++) {
			values.set(mixed.subarray(i * width, (i + 1) * width), i * stride + start);
		}
	}
}
