/**
 * The complete electrode model on a disc of concentric layers without any mesh: Fourier modes on the circle,
 * Legendre polynomials for the current under each electrode. It shares no code with the product.
 *
 * A boundary current density cos nθ gives the potential λₙ cos nθ, with λₙ of the layered disc from Isaacson,
 * IEEE Trans. Med. Imaging 5:91 (1986): λₙ = a/(n·s), s carried outwards through the layers. On electrode l,
 * u + z·j = U (Somersalo, Cheney & Isaacson, SIAM J. Appl. Math. 52:1023, 1992) is tested against each polynomial;
 * ∫ P_p(s) e^(−inhs) ds = 2(−i)^p·j_p(nh) with the spherical Bessel function j_p.
 */
import { sphericalBessel } from "./spherical-bessel.ts";

export interface LayeredDisc {
	readonly radius: number;
	/** S/m of the outermost layer. */
	readonly sigma: number;
	/** Inner discs from the largest to the smallest. */
	readonly layers: readonly { readonly radius: number; readonly sigma: number }[];
	readonly electrodeCount: number;
	readonly electrodeWidth: number;
	/** Ω·m² per electrode. */
	readonly contactImpedance: readonly number[];
}

/** λₙ (Ω·m²) of the layered disc. */
export function discEigenvalue(disc: Pick<LayeredDisc, "radius" | "sigma" | "layers">, n: number): number {
	const outwards = [...disc.layers].reverse();
	let s = outwards[0]?.sigma ?? disc.sigma;
	outwards.forEach((layer, k) => {
		const next = outwards[k + 1] ?? { radius: disc.radius, sigma: disc.sigma };
		const mu = (s - next.sigma) / (s + next.sigma);
		const q = (layer.radius / next.radius) ** (2 * n);
		s = (next.sigma * (1 + mu * q)) / (1 - mu * q);
	});
	return disc.radius / (n * s);
}

/**
 * @param degree polynomials per electrode; the error falls fast with it unless σz is far below the width
 * @param modes Fourier modes summed
 * @returns [L × L] like `ForwardField.transfer`
 */
export function solveDisc(disc: LayeredDisc, degree = 24, modes = 60_000): Float64Array {
	const L = disc.electrodeCount;
	const half = disc.electrodeWidth / 2 / disc.radius;
	// sums over n of one remainder modulo L, because electrodes are one L-th of a turn apart
	const sums = new Float64Array(L * degree * degree);
	const bessel = new Float64Array(degree);
	for (let n = 1; n <= modes; n++) {
		sphericalBessel(n * half, bessel);
		const weight = (4 * half * half * discEigenvalue(disc, n)) / Math.PI;
		const at = (n % L) * degree * degree;
		for (let q = 0; q < degree; q++)
			for (let p = 0; p <= q; p++) sums[at + q * degree + p]! += weight * bessel[p]! * bessel[q]!;
	}
	const coupling = (l: number, q: number, m: number, p: number): number => {
		const low = Math.min(p, q);
		const high = Math.max(p, q);
		let sum = 0;
		for (let r = 0; r < L; r++) {
			const phase = (2 * Math.PI * ((r * (l - m + L)) % L)) / L + ((q - p) * Math.PI) / 2;
			sum += sums[(r * degree + high) * degree + low]! * Math.cos(phase);
		}
		return sum;
	};
	const blocks = new Float64Array(L * degree * degree);
	for (let d = 0; d < L; d++)
		for (let q = 0; q < degree; q++)
			for (let p = 0; p < degree; p++) blocks[(d * degree + q) * degree + p] = coupling(d, q, 0, p);
	const block = (l: number, q: number, m: number, p: number) =>
		blocks[(((l - m + L) % L) * degree + q) * degree + p]!;

	// unknown: coefficients of degree 1 and up; those of degree 0 are the currents
	const size = L * (degree - 1);
	const matrix = new Float64Array(size * size);
	const right = new Float64Array(size * L);
	const constant = 1 / (disc.radius * 2 * half);
	for (let l = 0; l < L; l++)
		for (let q = 1; q < degree; q++) {
			const row = l * (degree - 1) + q - 1;
			for (let m = 0; m < L; m++) {
				for (let p = 1; p < degree; p++) matrix[row * size + m * (degree - 1) + p - 1] = block(l, q, m, p);
				right[row * L + m] = -block(l, q, m, 0) * constant;
			}
			matrix[row * size + row]! += (disc.contactImpedance[l]! * 2 * half) / (2 * q + 1);
		}
	solveDense(matrix, right, size, L);

	// raw[m * L + l]: electrode l's potential for a current into m, up to a constant per m
	const raw = new Float64Array(L * L);
	for (let m = 0; m < L; m++)
		for (let l = 0; l < L; l++) {
			let sum = block(l, 0, m, 0) * constant;
			if (l === m) sum += disc.contactImpedance[l]! * 2 * half * constant;
			for (let k = 0; k < L; k++)
				for (let p = 1; p < degree; p++)
					sum += block(l, 0, k, p) * right[(k * (degree - 1) + p - 1) * L + m]!;
			raw[m * L + l] = sum / (2 * half);
		}
	return centred(raw, L);
}

/** Takes the mean off rows and columns: currents leave through all electrodes, potentials sum to zero. */
function centred(raw: Float64Array, L: number): Float64Array {
	const rows = new Float64Array(L);
	const columns = new Float64Array(L);
	let all = 0;
	for (let m = 0; m < L; m++)
		for (let l = 0; l < L; l++) {
			rows[m]! += raw[m * L + l]! / L;
			columns[l]! += raw[m * L + l]! / L;
			all += raw[m * L + l]! / L / L;
		}
	return raw.map((value, i) => value - rows[Math.floor(i / L)]! - columns[i % L]! + all);
}

/** Symmetric positive definite, in place, by Cholesky. */
function solveDense(matrix: Float64Array, right: Float64Array, size: number, count: number): void {
	for (let i = 0; i < size; i++)
		for (let j = 0; j <= i; j++) {
			let sum = matrix[i * size + j]!;
			for (let k = 0; k < j; k++) sum -= matrix[i * size + k]! * matrix[j * size + k]!;
			if (i === j && !(sum > 0)) throw new RangeError("the oracle's matrix is not positive definite");
			matrix[i * size + j] = i === j ? Math.sqrt(sum) : sum / matrix[j * size + j]!;
		}
	for (let c = 0; c < count; c++) {
		for (let i = 0; i < size; i++) {
			let sum = right[i * count + c]!;
			for (let k = 0; k < i; k++) sum -= matrix[i * size + k]! * right[k * count + c]!;
			right[i * count + c] = sum / matrix[i * size + i]!;
		}
		for (let i = size - 1; i >= 0; i--) {
			let sum = right[i * count + c]!;
			for (let k = i + 1; k < size; k++) sum -= matrix[k * size + i]! * right[k * count + c]!;
			right[i * count + c] = sum / matrix[i * size + i]!;
		}
	}
}
