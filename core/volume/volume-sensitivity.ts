import type { ForwardField } from "../physics/forward.ts";
import type { SensitivityRows } from "../picture/sensitivity.ts";
import { scaledSlopes } from "./volume-elements.ts";
import { tetrahedronVolume, type VolumeMesh } from "./volume-mesh.ts";

/** Of each cell: three tetrahedra, three directions. */
const PER_CELL = 9;

/**
 * How much each reading changes for a change of each cell's conductivity, at one ampere, Ω per S/m, by the adjoint formula
 * ∂V/∂σ_k = −∫_k ∇u_drive · ∇u_read dV (Geselowitz, IEEE Trans. Biomed. Eng. 18:38, 1971). Exact for the linear
 * tetrahedra of the mesh, contact impedance included.
 *
 * @throws RangeError when the field is of another mesh
 */
export function createVolumeSensitivityRows(mesh: VolumeMesh, field: ForwardField): SensitivityRows {
	const cellCount = mesh.tetrahedra.length / 12;
	const { electrodeCount } = field;
	if (field.nodePotentials.length !== (electrodeCount * mesh.nodes.length) / 3)
		throw new RangeError("sensitivity: the field belongs to another volume");
	const gradients = Array.from({ length: electrodeCount }, () => new Float64Array(PER_CELL * cellCount));
	const slopes = new Float64Array(12);
	const nodeCount = mesh.nodes.length / 3;
	for (let t = 0; t < 3 * cellCount; t++) {
		scaledSlopes(mesh.nodes, mesh.tetrahedra, 4 * t, slopes);
		// ∇φ = slopes / (6V); times √V, so that the product of two gradients is an integral
		const scale = 1 / (6 * Math.sqrt(tetrahedronVolume(mesh.nodes, mesh.tetrahedra, 4 * t)));
		for (let l = 0; l < electrodeCount; l++) {
			const u = l * nodeCount;
			const to = gradients[l]!;
			for (let axis = 0; axis < 3; axis++) {
				let sum = 0;
				for (let i = 0; i < 4; i++)
					sum += slopes[3 * i + axis]! * field.nodePotentials[u + mesh.tetrahedra[4 * t + i]!]!;
				to[3 * t + axis] = scale * sum;
			}
		}
	}
	const drive = new Float64Array(PER_CELL * cellCount);
	return ({ values, stride }, terminals) => {
		const rowCount = terminals.length / 4;
		if (stride < cellCount || values.length < rowCount * stride)
			throw new RangeError(`sensitivity: ${values.length} values cannot take ${rowCount} × ${cellCount}`);
		let [source, sink] = [-1, -1];
		for (let row = 0; row < rowCount; row++) {
			// rows of one drive mostly follow each other
			if (terminals[4 * row] !== source || terminals[4 * row + 1] !== sink) {
				source = terminals[4 * row]!;
				sink = terminals[4 * row + 1]!;
				const [a, b] = [gradients[source]!, gradients[sink]!];
				for (let i = 0; i < drive.length; i++) drive[i] = a[i]! - b[i]!;
			}
			const plus = gradients[terminals[4 * row + 2]!]!;
			const minus = gradients[terminals[4 * row + 3]!]!;
			negativeProductInto(values, row * stride, drive, plus, minus, cellCount);
		}
	};
}

function negativeProductInto(
	values: Float64Array,
	to: number,
	drive: Float64Array,
	plus: Float64Array,
	minus: Float64Array,
	count: number,
): void {
	for (let k = 0; k < count; k++) {
		const from = PER_CELL * k;
		let sum = 0;
		for (let i = from; i < from + PER_CELL; i++) sum += drive[i]! * (plus[i]! - minus[i]!);
		values[to + k] = -sum;
	}
}
