import { type AxisElements, massBetween } from "./axis-elements.ts";
import type { AxisModes } from "./axis-modes.ts";
import { inverseOf } from "./dense-solve.ts";
import type { ElectrodeArc } from "./electrode-arc.ts";

/** The height of one row of electrodes on the axis. */
export interface BandHeight {
	/** Nodes of the axis from the lower edge to the upper. */
	readonly first: number;
	readonly count: number;
	/** [count] −1 at the lower edge to 1 at the upper. */
	readonly positions: Float64Array;
	/** [count × count] ∫ ψᵢ·ψⱼ dz, m */
	readonly mass: Float64Array;
}

/** @param from and `to` number the breaks at the edges */
export function bandHeight(axis: AxisElements, from: number, to: number): BandHeight {
	const part = massBetween(axis, from, to);
	const low = axis.breaks[from]!;
	const height = axis.breaks[to]! - low;
	const positions = axis.nodes
		.slice(part.first, part.first + part.count)
		.map((z) => (2 * (z - low)) / height - 1);
	return { ...part, positions };
}

/** Products of functions around and along the skin under one electrode: node (i, s) has number i·count + s, where i
 *  counts the arc's nodes and s the height's. */
export interface ElectrodePatch {
	readonly arc: ElectrodeArc;
	readonly height: BandHeight;
	/** Where the arc's nodes begin among those under all electrodes of the cross-section. */
	readonly arcStart: number;
}

/**
 * Potentials under one electrode for currents through it alone, contact included: Σ q·qᵀ ⊗ G over the shapes along the
 * axis, plus z times the inverse of the mass.
 *
 * @param responses [nModes] packed, of `SkinResponses`
 * @param contactImpedance Ω·m²
 * @returns [n × n] V/A, only the lower triangle
 */
export function ownResistance(
	{ arc, height, arcStart }: ElectrodePatch,
	modes: AxisModes,
	responses: readonly Float64Array[],
	contactImpedance: number,
): Float64Array {
	const around = arc.nodes.length;
	const along = height.count;
	const n = around * along;
	const matrix = new Float64Array(n * n);
	for (const [j, response] of responses.entries()) {
		const shape = modes.shapes.subarray(
			j * modes.count + height.first,
			j * modes.count + height.first + along,
		);
		for (let i = 0; i < around; i++) {
			const row = arcStart + i;
			const packed = (row * (row + 1)) / 2 + arcStart;
			for (let s = 0; s < along; s++) {
				const to = (i * along + s) * n;
				for (let k = 0; k <= i; k++) {
					const value = response[packed + k]! * shape[s]!;
					const block = to + k * along;
					for (let t = 0; t < along; t++) matrix[block + t]! += value * shape[t]!;
				}
			}
		}
	}
	const aroundInverse = inverseOf(arc.mass, around);
	const alongInverse = inverseOf(height.mass, along);
	for (let i = 0; i < around; i++)
		for (let k = 0; k <= i; k++) {
			const value = contactImpedance * aroundInverse[i * around + k]!;
			for (let s = 0; s < along; s++) {
				const to = (i * along + s) * n + k * along;
				for (let t = 0; t < along; t++) matrix[to + t]! += value * alongInverse[s * along + t]!;
			}
		}
	return matrix;
}
