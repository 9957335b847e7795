/**
 * The complete electrode model on a cylinder, if wanted with a rod along its axis, without any mesh: a Fourier series
 * around and a cosine series along the side, modified Bessel functions in between, Legendre polynomials in both
 * directions for the current under each electrode. It shares no code with the product.
 *
 * In a cylinder of height H whose ends are insulated, potentials Iₙ(κr)·cos nθ·cos κz with κ = kπ/H solve Laplace's
 * equation (Jackson, Classical Electrodynamics, 3.7–3.8), and beside a rod Iₙ + β·Kₙ. A current density
 * cos nθ·cos κz through the side then gives the potential λₙₖ·cos nθ·cos κz there. On electrodes u + z·j = U
 * (Somersalo, Cheney & Isaacson, SIAM J. Appl. Math. 52:1023, 1992) is tested against each polynomial;
 * ∫ P_p(s)·e^(−ixs) ds = 2(−i)^p·j_p(x) with the spherical Bessel function j_p.
 */
import { sphericalBessel } from "../physics/spherical-bessel.ts";

export interface Cylinder {
	readonly radius: number;
	readonly height: number;
	/** S/m */
	readonly sigma: number;
	readonly rod?: { readonly radius: number; readonly sigma: number };
	/** Heights of the bands' middles, m. */
	readonly bands: readonly number[];
	/** Of each band. */
	readonly electrodeCount: number;
	readonly electrodeWidth: number;
	readonly electrodeHeight: number;
	/** Ω·m² */
	readonly contactImpedance: number;
}

/** @returns [L × L] as `ForwardField.transfer` */
export function solveCylinder(
	cylinder: Cylinder,
	degree: number,
	orders: number,
	waves: number,
): Float64Array {
	const { radius, height, bands, electrodeCount: ring } = cylinder;
	const half = cylinder.electrodeWidth / 2 / radius;
	const halfHeight = cylinder.electrodeHeight / 2;
	const rows = bands.length * degree;
	const pairs = degree * degree;

	// around[r]: sums over orders n ≡ r modulo the ring, weighted along the axis; all for one wave number k at a time
	const around = new Float64Array(ring * pairs);
	const along = new Float64Array(rows);
	const bessel = new Float64Array(degree);
	const table = Array.from({ length: orders + 1 }, (_, n) => {
		sphericalBessel(n * half, bessel);
		return bessel.slice();
	});
	/** [r][p·degree + p′][row·rows + row′] */
	const sums = new Float64Array(ring * pairs * rows * rows);
	for (let k = 0; k < waves; k++) {
		const kappa = (k * Math.PI) / height;
		const lambda = sideResponses(cylinder, kappa, orders);
		around.fill(0);
		for (let n = k === 0 ? 1 : 0; n <= orders; n++) {
			const weight = ((n === 0 ? 1 : 2) / (2 * Math.PI)) * lambda[n]!;
			const at = (n % ring) * pairs;
			const j = table[n]!;
			for (let p = 0; p < degree; p++)
				for (let q = 0; q < degree; q++) around[at + p * degree + q]! += weight * j[p]! * j[q]!;
		}
		sphericalBessel(kappa * halfHeight, bessel);
		for (const [b, z] of bands.entries())
			for (let d = 0; d < degree; d++)
				// ∫ P_d(t)·cos κ(z + ht) dt
				along[b * degree + d] = 2 * bessel[d]! * Math.cos(kappa * z + (d * Math.PI) / 2);
		const norm = (k === 0 ? 1 : 2) / height;
		for (let i = 0; i < ring * pairs; i++) {
			const value = around[i]! * norm;
			if (value === 0) continue;
			for (let a = 0; a < rows; a++)
				for (let c = 0; c <= a; c++) sums[(i * rows + a) * rows + c]! += value * along[a]! * along[c]!;
		}
	}

	// potentials of a unit density P_p·P_d on electrode m tested with P_q·P_e on electrode l, both per half sizes
	const L = bands.length * ring;
	const each = degree * degree;
	const size = L * each;
	const area = half * halfHeight;
	const matrix = new Float64Array(size * size);
	const cosine = new Float64Array(ring);
	for (let turn = 0; turn < ring; turn++) {
		for (let p = 0; p < degree; p++)
			for (let q = 0; q < degree; q++) {
				for (let r = 0; r < ring; r++)
					cosine[r] = Math.cos((2 * Math.PI * r * turn) / ring + ((q - p) * Math.PI) / 2);
				for (let a = 0; a < rows; a++)
					for (let c = 0; c < rows; c++) {
						let sum = 0;
						const [high, low] = a > c ? [a, c] : [c, a];
						for (let r = 0; r < ring; r++)
							sum += sums[((r * pairs + p * degree + q) * rows + high) * rows + low]! * cosine[r]!;
						// 2·2 from the transforms around; along it is in already
						const value = 4 * sum * area * area;
						const [bandL, e] = [Math.floor(a / degree), a % degree];
						const [bandM, d] = [Math.floor(c / degree), c % degree];
						for (let m = 0; m < ring; m++) {
							const l = bandL * ring + ((m + turn) % ring);
							const row = l * each + q * degree + e;
							const column = (bandM * ring + m) * each + p * degree + d;
							matrix[row * size + column] = value;
						}
					}
			}
	}
	// the test's integral is over length around, that of the series over the angle
	for (let i = 0; i < matrix.length; i++) matrix[i]! *= radius;
	const side = radius * half * halfHeight;
	for (let l = 0; l < L; l++)
		for (let p = 0; p < degree; p++)
			for (let d = 0; d < degree; d++) {
				const i = l * each + p * degree + d;
				matrix[i * size + i]! += (cylinder.contactImpedance * side * 4) / ((2 * p + 1) * (2 * d + 1));
			}
	return transferOf(matrix, L, each, 4 * side);
}

/** λₙ (Ω·m²) for n = 0 … orders: potential at the side for a unit density of current through it. */
function sideResponses({ radius, sigma, rod }: Cylinder, kappa: number, orders: number): Float64Array {
	const lambda = new Float64Array(orders + 1);
	if (kappa === 0) {
		for (let n = 1; n <= orders; n++) {
			const mu = rod === undefined ? 0 : (rod.sigma - sigma) / (rod.sigma + sigma);
			const q = rod === undefined ? 0 : mu * (rod.radius / radius) ** (2 * n);
			lambda[n] = ((radius / (n * sigma)) * (1 - q)) / (1 + q);
		}
		return lambda;
	}
	const outer = besselLogs(kappa * radius, orders);
	const inner = rod === undefined ? null : besselLogs(kappa * rod.radius, orders);
	for (let n = 0; n <= orders; n++) {
		// u = Iₙ(κr) / Iₙ(κa) + β·Kₙ(κr) / Kₙ(κa), β from the flux through the rod's surface
		let beta = 0;
		if (rod !== undefined && inner !== null) {
			const jump = (rod.sigma / sigma) * inner.slopeI[n]!;
			const ratio = Math.exp(inner.logI[n]! - outer.logI[n]! - (inner.logK[n]! - outer.logK[n]!));
			beta = (-ratio * (jump - inner.slopeI[n]!)) / (jump - inner.slopeK[n]!);
		}
		lambda[n] = (1 + beta) / (sigma * kappa * (outer.slopeI[n]! + beta * outer.slopeK[n]!));
	}
	return lambda;
}

/** ln Iₙ, ln Kₙ and the logarithmic slopes Iₙ′/Iₙ, Kₙ′/Kₙ at x > 0 for n = 0 … orders, by the recurrences of
 *  Abramowitz & Stegun 9.6.26 in their stable directions. */
function besselLogs(x: number, orders: number) {
	const logI = new Float64Array(orders + 1);
	const logK = new Float64Array(orders + 1);
	const slopeI = new Float64Array(orders + 1);
	const slopeK = new Float64Array(orders + 1);
	const ratio = new Float64Array(orders + 1);
	let r = 0;
	for (let n = orders + 60 + Math.ceil(x); n >= 1; n--) {
		// Iₙ / Iₙ₋₁
		r = 1 / ((2 * n) / x + r);
		if (n <= orders + 1) ratio[n - 1] = r;
	}
	// K₀ and K₁ without e^−x: ∫ e^(−x(cosh t − 1))·cosh νt dt by the trapezoidal rule, which converges exponentially
	const step = 0.02;
	let k0 = step / 2;
	let k1 = step / 2;
	for (let t = step; x * (Math.cosh(t) - 1) < 40; t += step) {
		const weight = step * Math.exp(-x * (Math.cosh(t) - 1));
		k0 += weight;
		k1 += weight * Math.cosh(t);
	}
	let s = k1 / k0;
	// Wronskian: Iₙ·Kₙ₊₁ + Iₙ₊₁·Kₙ = 1/x
	logK[0] = Math.log(k0) - x;
	logI[0] = -Math.log(x * (s + ratio[0]!)) - logK[0];
	for (let n = 0; n <= orders; n++) {
		slopeI[n] = n / x + ratio[n]!;
		slopeK[n] = n / x - s;
		if (n === orders) break;
		logI[n + 1] = logI[n]! + Math.log(ratio[n]!);
		logK[n + 1] = logK[n]! + Math.log(s);
		s = 1 / s + (2 * (n + 1)) / x;
	}
	return { logI, logK, slopeI, slopeK };
}

/** Each electrode's first unknown is its mean density. @param matrix overwritten */
function transferOf(matrix: Float64Array, L: number, each: number, area: number): Float64Array {
	const size = L * each;
	// H·f = U on the mean, 0 else. With no net current the constant potential, which the series leave out, is free:
	// a large resistance to it, common to all, changes nothing but makes the matrix definite.
	let largest = 0;
	for (let i = 0; i < size; i++) largest = Math.max(largest, matrix[i * size + i]!);
	for (let l = 0; l < L; l++) for (let m = 0; m < L; m++) matrix[l * each * size + m * each]! += largest;
	for (let i = 0; i < size; i++)
		for (let j = 0; j <= i; j++) {
			let sum = matrix[i * size + j]!;
			for (let k = 0; k < j; k++) sum -= matrix[i * size + k]! * matrix[j * size + k]!;
			if (i === j && !(sum > 0)) throw new RangeError("the oracle's matrix is not positive definite");
			matrix[i * size + j] = i === j ? Math.sqrt(sum) : sum / matrix[j * size + j]!;
		}
	// admittance between electrodes: area² · (first rows and columns of the inverse)
	const halves = new Float64Array(L * size);
	for (let l = 0; l < L; l++) {
		const x = halves.subarray(l * size, (l + 1) * size);
		x[l * each] = area;
		for (let i = l * each; i < size; i++) {
			let sum = x[i]!;
			for (let k = l * each; k < i; k++) sum -= matrix[i * size + k]! * x[k]!;
			x[i] = sum / matrix[i * size + i]!;
		}
	}
	const admittance = new Float64Array(L * L);
	for (let l = 0; l < L; l++)
		for (let m = 0; m < L; m++) {
			let sum = 0;
			for (let i = 0; i < size; i++) sum += halves[l * size + i]! * halves[m * size + i]!;
			admittance[l * L + m] = sum;
		}
	return centred(inverted(admittance, L), L);
}

/** By Gauss and Jordan. */
function inverted(matrix: Float64Array, n: number): Float64Array {
	const inverse = new Float64Array(n * n);
	for (let i = 0; i < n; i++) inverse[i * n + i] = 1;
	for (let k = 0; k < n; k++) {
		const pivot = matrix[k * n + k]!;
		for (let j = 0; j < n; j++) {
			matrix[k * n + j]! /= pivot;
			inverse[k * n + j]! /= pivot;
		}
		for (let i = 0; i < n; i++) {
			const factor = matrix[i * n + k]!;
			if (i === k || factor === 0) continue;
			for (let j = 0; j < n; j++) {
				matrix[i * n + j]! -= factor * matrix[k * n + j]!;
				inverse[i * n + j]! -= factor * inverse[k * n + j]!;
			}
		}
	}
	return inverse;
}

function centred(raw: Float64Array, L: number): Float64Array {
	const means = new Float64Array(L);
	let all = 0;
	for (let m = 0; m < L; m++)
		for (let l = 0; l < L; l++) {
			means[m]! += raw[m * L + l]! / L;
			all += raw[m * L + l]! / L / L;
		}
	return raw.map((value, i) => value - means[Math.floor(i / L)]! - means[i % L]! + all);
}
