/**
 * The data-space matrix M = A·P·Aᵀ = Vᵀ·diag(μ)·V of the values z that the reconstruction matrix takes, in units in which
 * their noise is λ². Since the picture is x = P·Aᵀ·(M + λ²)⁻¹·z, every other one-step picture with the same prior
 * (readings left out, another λ) is the same matrix times another z: the model need not be made again.
 */
export interface DataSpace {
	/** [n] μ, ascending. */
	readonly eigenvalues: Float64Array;
	/** [n × n] row i is the unit eigenvector of μᵢ; null where the values are the components along them already. */
	readonly vectors: Float64Array | null;
	readonly lambda: number;
	/** [fold.count × n] rows of C with z = Cᵀ·(whitened readings), CᵀC = 1; null where z are the whitened readings. */
	readonly shares: Float64Array | null;
	/** [regions × n] G: what the values z are by one deviation of each region that the prior lets change as a whole, see
	 *  `region-prior.ts`; empty where it knows none. M holds G·Gᵀ. */
	readonly regionAnswers: Float64Array;
}

/** How much of a component along eigenvector i the picture explains: μᵢ/(μᵢ + λ²). */
export function explainedShare({ eigenvalues, lambda }: DataSpace, i: number): number {
	return eigenvalues[i]! / (eigenvalues[i]! + lambda * lambda);
}
