import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "../physics/forward.ts";
import type { FoldedReadings } from "./folded-readings.ts";
import { type RowTarget, sensitivityInto } from "./sensitivity.ts";

/** Sensitivities of folded, whitened readings. @param target `fold.count` rows of nTriangles, zero, overwritten */
export function whitenedSensitivities(
	{ values, stride }: RowTarget,
	{ count, probes, mix }: FoldedReadings,
	mesh: Mesh,
	field: ForwardField,
): void {
	if (mix.kind === "reciprocal") {
		sensitivityInto({ values, stride }, mesh, field, probes);
		for (let i = 0; i < count; i++) {
			const scale = mix.scale[i]!;
			for (let k = i * stride; k < (i + 1) * stride; k++) values[k]! *= scale;
		}
		return;
	}
	const probeCount = probes.length / 4;
	const cells = mesh.triangles.length / 3;
	// three rows more, so that four can always be read
	const rows = new Float64Array((probeCount + 3) * cells);
	sensitivityInto({ values: rows, stride: cells }, mesh, field, probes);
	const { factor } = mix;
	for (let i = 0; i < count; i++) {
		// the factor is zero above its diagonal; four probes at a time pass over the row less often
		for (let p = i; p < probeCount; p += 4) {
			const share = (q: number) => (p + q < probeCount ? factor[(p + q) * count + i]! : 0);
			addRows(values, i * stride, rows, p * cells, cells, share(0), share(1), share(2), share(3));
		}
	}
}

function addRows(
	target: Float64Array,
	to: number,
	rows: Float64Array,
	from: number,
	cells: number,
	a: number,
	b: number,
	c: number,
	d: number,
): void {
	if (d === 0 && c === 0 && b === 0) {
		if (a === 0) return;
		for (let k = 0; k < cells; k++) target[to + k]! += a * rows[from + k]!;
		return;
	}
	let at = from;
	for (let k = to; k < to + cells; k++) {
		target[k]! +=
			a * rows[at]! + b * rows[at + cells]! + c * rows[at + 2 * cells]! + d * rows[at + 3 * cells]!;
		at++;
	}
}
