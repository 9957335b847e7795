import type { DataSpace } from "./data-space.ts";

/** Values that the matrix takes, changed so that it pictures them at another strength. */
export interface StrengthFilter {
	/** Overwrites values [n]. Allocates nothing. */
	apply(values: Float64Array): void;
}

/**
 * The picture at λ′ is the matrix made for λ times (M + λ²)·(M + λ′²)⁻¹·z: no model is made again.
 * @param lambda λ′, relative as in `strength.ts`; above zero
 * @throws RangeError on another λ′
 */
export function createStrengthFilter(
	{ eigenvalues, vectors, lambda: own }: DataSpace,
	lambda: number,
): StrengthFilter {
	if (!(lambda > 0 && lambda < Number.POSITIVE_INFINITY)) {
		throw new RangeError(`strength: λ must be a positive number, got ${lambda}`);
	}
	const n = eigenvalues.length;
	const factor = eigenvalues.map((mu) => (mu + own * own) / (mu + lambda * lambda));
	const components = new Float64Array(n);
	return {
		apply(values) {
			if (vectors === null) {
				for (let i = 0; i < n; i++) values[i]! *= factor[i]!;
				return;
			}
			for (let i = 0; i < n; i++) {
				let sum = 0;
				for (let k = 0; k < n; k++) sum += vectors[i * n + k]! * values[k]!;
				components[i] = factor[i]! * sum;
			}
			values.fill(0);
			for (let i = 0; i < n; i++) {
				const component = components[i]!;
				for (let k = 0; k < n; k++) values[k]! += component * vectors[i * n + k]!;
			}
		},
	};
}
