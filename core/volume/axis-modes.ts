import { choleskyInPlace, invertedTransposed, transposedOf } from "../picture/dense.ts";
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
	const columns = transposedOf(inverse, n, n);
	const half = rowProducts(columns, n, stiffness, n, n);
	const matrix = rowProducts(half, n, columns, n, n, "symmetric");
	const { values, vectors } = symmetricEigen(matrix, n);
	const shapes = rowProducts(vectors, n, inverse, n, n);
	values[0] = 0;
	return { count: n, values, shapes };
}
