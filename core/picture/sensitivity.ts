import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "../physics/forward.ts";

/** Where rows of sensitivities are written: row i begins at `i * stride`. */
export interface RowTarget {
	readonly values: Float64Array;
	/** Values from one row to the next, at least nTriangles. */
	readonly stride: number;
}

/**
 * How much each reading changes for a change of each triangle's conductivity, at one ampere, by the adjoint
 * formula ∂V/∂σ_k = −∫_k ∇u_drive · ∇u_read dA (Geselowitz, IEEE Trans. Biomed. Eng. 18:38, 1971; Polydorides &
 * Lionheart, Meas. Sci. Technol. 13:1871, 2002), where u_read is the field of one ampere through the reading
 * pair. Exact for the linear triangles of the mesh, contact impedance included.
 *
 * @param terminals [nRows × 4] source, sink, plus, minus electrode
 * @param target rows of nTriangles, Ω·m per S/m in 2D; overwritten
 * @throws RangeError when the field is of another mesh or the target is too small
 */
export function sensitivityInto(
	target: RowTarget,
	mesh: Mesh,
	field: ForwardField,
	terminals: Uint16Array,
): void {
	createSensitivityRows(mesh, field)(target, terminals);
}

/** Rows of sensitivities, as many calls as one likes: fields of pairs are kept from call to call. */
export type SensitivityRows = (target: RowTarget, terminals: Uint16Array) => void;

/** As `sensitivityInto`. @throws RangeError when the field is of another mesh */
export function createSensitivityRows(mesh: Mesh, field: ForwardField): SensitivityRows {
	const triangleCount = mesh.triangles.length / 3;
	if (field.nodePotentials.length !== (field.electrodeCount * mesh.nodes.length) / 2) {
		throw new RangeError("sensitivity: the field belongs to another mesh");
	}
	const pairs = new Map<number, Float64Array>();
	const gradientsOf = (a: number, b: number): Float64Array => {
		const key = a * field.electrodeCount + b;
		let found = pairs.get(key);
		if (found === undefined) {
			found = scaledGradients(mesh, field, a, b);
			pairs.set(key, found);
		}
		return found;
	};
	return ({ values, stride }, terminals) => {
		const rowCount = terminals.length / 4;
		if (stride < triangleCount || values.length < rowCount * stride) {
			throw new RangeError(`sensitivity: ${values.length} values cannot take ${rowCount} × ${triangleCount}`);
		}
		for (let row = 0; row < rowCount; row++) {
			const drive = gradientsOf(terminals[4 * row]!, terminals[4 * row + 1]!);
			const read = gradientsOf(terminals[4 * row + 2]!, terminals[4 * row + 3]!);
			negativeProduct(values, row * stride, drive, read, triangleCount);
		}
	};
}

function negativeProduct(
	values: Float64Array,
	start: number,
	drive: Float64Array,
	read: Float64Array,
	count: number,
): void {
	for (let k = 0; k < count; k++) {
		values[start + k] = -(drive[k]! * read[k]! + drive[count + k]! * read[count + k]!);
	}
}

/** @returns [nReadings × nTriangles] row-major, as `sensitivityInto`. */
export function sensitivity(mesh: Mesh, field: ForwardField, terminals: Uint16Array): Float64Array {
	const stride = mesh.triangles.length / 3;
	const values = new Float64Array((terminals.length / 4) * stride);
	sensitivityInto({ values, stride }, mesh, field, terminals);
	return values;
}

/** [2 × nTriangles] ∇(u_a − u_b)·√area, first all x, then all y: a product of two is then an integral. */
function scaledGradients(mesh: Mesh, field: ForwardField, a: number, b: number): Float64Array {
	const { nodes, triangles } = mesh;
	const nodeCount = nodes.length / 2;
	const triangleCount = triangles.length / 3;
	const u = field.nodePotentials;
	const fromA = a * nodeCount;
	const fromB = b * nodeCount;
	const gradients = new Float64Array(2 * triangleCount);
	for (let k = 0; k < triangleCount; k++) {
		const i0 = triangles[3 * k]!;
		const i1 = triangles[3 * k + 1]!;
		const i2 = triangles[3 * k + 2]!;
		const x0 = nodes[2 * i0]!;
		const y0 = nodes[2 * i0 + 1]!;
		const dx1 = nodes[2 * i1]! - x0;
		const dy1 = nodes[2 * i1 + 1]! - y0;
		const dx2 = nodes[2 * i2]! - x0;
		const dy2 = nodes[2 * i2 + 1]! - y0;
		const u0 = u[fromA + i0]! - u[fromB + i0]!;
		const du1 = u[fromA + i1]! - u[fromB + i1]! - u0;
		const du2 = u[fromA + i2]! - u[fromB + i2]! - u0;
		const twiceArea = dx1 * dy2 - dx2 * dy1;
		const scale = Math.sqrt(0.5 / twiceArea);
		gradients[k] = (du1 * dy2 - du2 * dy1) * scale;
		gradients[triangleCount + k] = (du2 * dx1 - du1 * dx2) * scale;
	}
	return gradients;
}
