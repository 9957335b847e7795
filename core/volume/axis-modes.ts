import { choleskyInPlace, invertedTransposed } from "../picture/dense.ts";
import { symmetricEigen } from "../picture/eigen.ts";
import { rowProducts } from "../picture/kernel/row-products.ts";
import type { AxisElements } from "./axis-elements.ts";

/** Shapes along the axis that do not mix in an extruded body: K·q = λ·M·q, orthonormal in M. */
export interface AxisModes {
	readonly count: number;
	/** [count] λ ascending, 1/m²; the first is 0 */
	readonly values: Float64Array;
	/** [count × nodeCount] row j is mode j at the nodes */
	readonly shapes: Float64Array;
}

export function axisModes({ nodeCount: n, stiffness, mass }: AxisElements): AxisModes {
	const root = mass.slice();
	choleskyInPlace(root, n);
	// rows of L⁻ᵀ; L⁻¹·K·L⁻ᵀ has the same values, and q = L⁻ᵀ·v
	const inverse = invertedTransposed(root, n);
	const columns = transposed(inverse, n);
	const half = rowProducts(columns, n, stiffness, n, n);
	const matrix = rowProducts(half, n, columns, n, n, "symmetric");
	const { values, vectors } = symmetricEigen(matrix, n);
	const shapes = rowProducts(vectors, n, inverse, n, n);
	values[0] = 0;
	return { count: n, values, shapes };
}

function transposed(matrix: Float64Array, n: number): Float64Array {
	const result = new Float64Array(n * n);
	for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) result[j * n + i] = matrix[i * n + j]!;
	return result;
}
