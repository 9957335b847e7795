import { reduceModel, type VoltageModelOptions } from "./reduced-basis.ts";

/**
 * Electrode voltages for any conductivity of each muscle and any contact impedance, fast enough for every frame,
 * as exact as solving the whole finite element model again.
 *
 * In the complete electrode model an electrode's potential is the mean of the skin under it plus the drop of its
 * current over its contact, Uₑ = ūₑ + Iₑzₑ/|Eₑ|. Put in, the potentials inside obey A(s, z) u = f with
 * A = A₀ + Σ sₘKₘ + Σ Cₑ/zₑ: affine in the muscles' changes s and the contacts' admittances, Cₑ = ∫(u − ūₑ)(v − v̄ₑ)
 * along electrode e, and fₗ = v̄ₗ − (Σ v̄ₑ)/L for one ampere into l and out evenly. Each drive's u is sought in the
 * span of a few solved ones (rest, each muscle alone, all muscles, other contacts) by Galerkin's method; the transfer
 * impedance of drives l and m is then fₗ·uₘ + fₘ·uₗ − uₗᵀA uₘ plus the drops, and its error is the product of both
 * solutions' errors. Reduced basis with dual correction, after Prud'homme et al., J. Fluids Eng. 124:70 (2002);
 * the bilinear form of the correction follows because the problem is its own dual.
 */
export class VoltageModel {
	readonly electrodeCount: number;
	// See `ReducedModel`.
	readonly #perDrive: number;
	readonly #bulk: readonly Float64Array[];
	readonly #traces: Float64Array;
	readonly #contactBlocks: Float64Array;
	readonly #electrodeOfPoint: Uint16Array;
	readonly #load: Float64Array;
	readonly #contactLength: Float64Array;
	// Scratch of one evaluation.
	readonly #assembled: Float64Array;
	readonly #solution: Float64Array;
	readonly #solvedTraces: Float64Array;
	readonly #block: Float64Array;
	/** [nPoints] 1/z of each point's electrode. */
	readonly #pointWeight: Float64Array;

	constructor(options: VoltageModelOptions) {
		const reduced = reduceModel(options);
		const { electrodeCount: L, perDrive: K, electrodeOfPoint } = reduced;
		this.electrodeCount = L;
		this.#perDrive = K;
		this.#bulk = reduced.bulk;
		this.#traces = reduced.traces;
		this.#electrodeOfPoint = electrodeOfPoint;
		this.#contactBlocks = reduced.contactBlocks;
		this.#load = reduced.load;
		this.#contactLength = reduced.contactLength;
		this.#assembled = new Float64Array((L * K) ** 2);
		this.#solution = new Float64Array(L * K);
		this.#solvedTraces = new Float64Array(L * electrodeOfPoint.length);
		this.#block = new Float64Array(K * K);
		this.#pointWeight = new Float64Array(electrodeOfPoint.length);
	}

	/** @param change [nMuscles] S/m @param contact [L] Ω·m² @param transfer [L × L] as in `ForwardField`, overwritten */
	transferInto(change: Float64Array, contact: Float64Array, transfer: Float64Array): void {
		this.#assemble(change);
		this.#solveDrives(contact);
		this.#correct(contact, transfer);
	}

	#assemble(change: Float64Array): void {
		const sum = this.#assembled;
		sum.set(this.#bulk[0]!);
		for (let m = 0; m < change.length; m++) {
			const s = change[m]!;
			const part = this.#bulk[m + 1]!;
			if (s === 0) continue;
			for (let i = 0; i < sum.length; i++) sum[i]! += s * part[i]!;
		}
	}

	/** Galerkin's method for each drive in its own basis, by Cholesky's. */
	#solveDrives(contact: Float64Array): void {
		const K = this.#perDrive;
		const L = this.electrodeCount;
		const size = L * K;
		const block = this.#block;
		const assembled = this.#assembled;
		const contactBlocks = this.#contactBlocks;
		const solution = this.#solution;
		for (let l = 0; l < L; l++) {
			const first = l * K;
			for (let i = 0; i < K; i++) {
				for (let j = 0; j <= i; j++) block[i * K + j] = assembled[(first + i) * size + first + j]!;
			}
			for (let e = 0; e < L; e++) {
				const perOhm = 1 / contact[e]!;
				const at = (l * L + e) * K * K;
				for (let i = 0; i < K * K; i++) block[i]! += perOhm * contactBlocks[at + i]!;
			}
			for (let i = 0; i < K; i++) solution[first + i] = this.#load[(first + i) * L + l]!;
			solveSmall(block, solution.subarray(first, first + K), K);
			this.#traceDrive(l);
		}
	}

	/** The solution of drive l along all contacts. */
	#traceDrive(l: number): void {
		const K = this.#perDrive;
		const solved = this.#solvedTraces;
		const traces = this.#traces;
		const points = this.#electrodeOfPoint.length;
		const at = l * points;
		solved.fill(0, at, at + points);
		for (let i = 0; i < K; i++) {
			const c = this.#solution[l * K + i]!;
			const row = (l * K + i) * points;
			for (let p = 0; p < points; p++) solved[at + p]! += c * traces[row + p]!;
		}
	}

	/** fₗ·uₘ + fₘ·uₗ − uₗᵀA uₘ and the drops, for each pair of drives. */
	#correct(contact: Float64Array, transfer: Float64Array): void {
		const L = this.electrodeCount;
		const weight = this.#pointWeight;
		for (let p = 0; p < weight.length; p++) weight[p] = 1 / contact[this.#electrodeOfPoint[p]!]!;
		for (let l = 0; l < L; l++) {
			for (let m = l; m < L; m++) {
				// fₗ and fₘ applied to the drops: −1/L everywhere, 1 more where the drive's own current enters.
				let drops = 0;
				for (let e = 0; e < L; e++) {
					const both = ((e === l ? 1 : 0) - 1 / L) * ((e === m ? 1 : 0) - 1 / L);
					drops += (both * contact[e]!) / this.#contactLength[e]!;
				}
				const value = this.#inside(l, m) - this.#alongContacts(l, m) + drops;
				transfer[l * L + m] = value;
				transfer[m * L + l] = value;
			}
		}
	}

	/** fₗ·uₘ + fₘ·uₗ − uₗᵀA uₘ without the contacts' part of A. */
	#inside(l: number, m: number): number {
		const K = this.#perDrive;
		const L = this.electrodeCount;
		const assembled = this.#assembled;
		const load = this.#load;
		const c = this.#solution;
		let value = 0;
		for (let i = 0; i < K; i++) {
			const at = (l * K + i) * L * K + m * K;
			let product = 0;
			for (let j = 0; j < K; j++) product += assembled[at + j]! * c[m * K + j]!;
			value += c[l * K + i]! * (load[(l * K + i) * L + m]! - product);
			value += c[m * K + i]! * load[(m * K + i) * L + l]!;
		}
		return value;
	}

	/** uₗᵀ(Σ Cₑ/zₑ) uₘ */
	#alongContacts(l: number, m: number): number {
		const solved = this.#solvedTraces;
		const weight = this.#pointWeight;
		const points = weight.length;
		let sum = 0;
		for (let p = 0; p < points; p++) sum += solved[l * points + p]! * solved[m * points + p]! * weight[p]!;
		return sum;
	}
}

/** Solves the symmetric positive definite n × n system whose lower triangle is in `matrix`, both in place. */
function solveSmall(matrix: Float64Array, x: Float64Array, n: number): void {
	for (let j = 0; j < n; j++) {
		let pivot = matrix[j * n + j]!;
		for (let k = 0; k < j; k++) pivot -= matrix[j * n + k]! ** 2;
		// A direction that the others span already gets the coefficient 0: dividing by infinity sees to that.
		const root = pivot > 1e-11 * matrix[j * n + j]! ? Math.sqrt(pivot) : Number.POSITIVE_INFINITY;
		matrix[j * n + j] = root;
		for (let i = j + 1; i < n; i++) {
			let sum = matrix[i * n + j]!;
			for (let k = 0; k < j; k++) sum -= matrix[i * n + k]! * matrix[j * n + k]!;
			matrix[i * n + j] = sum / root;
		}
	}
	for (let i = 0; i < n; i++) {
		let sum = x[i]!;
		for (let k = 0; k < i; k++) sum -= matrix[i * n + k]! * x[k]!;
		x[i] = sum / matrix[i * n + i]!;
	}
	for (let i = n - 1; i >= 0; i--) {
		let sum = x[i]!;
		for (let k = i + 1; k < n; k++) sum -= matrix[k * n + i]! * x[k]!;
		x[i] = sum / matrix[i * n + i]!;
	}
}
