import type { Mesh } from "../../../core/mesh/mesh.ts";
import { triangleMatrices } from "../../../core/physics/elements.ts";
import type { ForwardField } from "../../../core/physics/forward.ts";
import { createMeshSolver } from "../../../core/physics/solve-forward.ts";

/** What a voltage model is made for. */
export interface VoltageModelOptions {
	readonly mesh: Mesh;
	/** [nTriangles] the tissue part that holds each triangle; parts 0 to nMuscles − 1 may change. */
	readonly partOf: Uint8Array;
	/** [nParts] S/m at rest. */
	readonly restConductivity: Float64Array;
	/** [nMuscles] largest change that is asked for, S/m: the model is most exact up to there. */
	readonly largestChange: Float64Array;
	/** [electrodeCount] Ω·m² */
	readonly restContact: Float64Array;
}

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
	readonly #muscles: number;
	readonly #perDrive: number;
	/** [1 + nMuscles][size²] reduced matrices, upper triangles filled: A₀ without contacts, then each Kₘ. */
	readonly #bulk: readonly Float64Array[];
	/** [size × nPoints] for each basis function (u − ūₑ)·√weight at the integration points along all contacts. */
	readonly #traces: Float64Array;
	/** [L drives × L electrodes × K²] Cₑ between the basis functions of one drive, lower triangles filled. */
	readonly #contactBlocks: Float64Array;
	/** [nPoints] the electrode of each integration point. */
	readonly #electrodeOfPoint: Uint16Array;
	/** [size × L] fₗ of each basis function, for each drive l. */
	readonly #load: Float64Array;
	/** [L] |Eₑ|, m. */
	readonly #contactLength: Float64Array;
	// Scratch of one evaluation.
	readonly #assembled: Float64Array;
	readonly #solution: Float64Array;
	readonly #solvedTraces: Float64Array;
	readonly #block: Float64Array;
	/** [nPoints] 1/z of each point's electrode. */
	readonly #pointWeight: Float64Array;

	constructor(options: VoltageModelOptions) {
		const { mesh, largestChange } = options;
		const fields = solveSnapshots(options);
		const L = mesh.electrodeCount;
		const K = fields.length;
		const size = L * K;
		this.electrodeCount = L;
		this.#muscles = largestChange.length;
		this.#perDrive = K;
		const basis = createBasis(fields, mesh.nodes.length / 2);
		this.#bulk = reduceBulk(options, basis);
		const { traces, electrodeOfPoint, load, contactLength } = reduceContacts(mesh, basis);
		this.#traces = traces;
		this.#electrodeOfPoint = electrodeOfPoint;
		this.#contactBlocks = createContactBlocks(traces, electrodeOfPoint, L, K);
		this.#load = load;
		this.#contactLength = contactLength;
		this.#assembled = new Float64Array(size * size);
		this.#solution = new Float64Array(size);
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
		for (let m = 0; m < this.#muscles; m++) {
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

/** Room beyond the largest change asked for, so that the model does not have to extrapolate. */
const beyond = 1.1;

/** Poor contacts at every third electrode tell apart, for each drive, what its own electrode's contact does to the
 *  field and what each neighbour's does. */
const poorContact = 4;

function solveSnapshots(options: VoltageModelOptions): ForwardField[] {
	const { mesh, partOf, restConductivity, largestChange, restContact } = options;
	const solver = createMeshSolver(mesh);
	const sigma = new Float64Array(partOf.length);
	const solveWith = (changes: (muscle: number) => boolean, contact: Float64Array) => {
		for (let t = 0; t < sigma.length; t++) {
			const part = partOf[t]!;
			const change = part < largestChange.length && changes(part) ? beyond * largestChange[part]! : 0;
			sigma[t] = restConductivity[part]! + change;
		}
		return solver.solve(sigma, contact);
	};
	const fields = [solveWith(() => false, restContact)];
	for (let m = 0; m < largestChange.length; m++)
		fields.push(solveWith((muscle) => muscle === m, restContact));
	fields.push(solveWith(() => true, restContact));
	for (let third = 0; third < 3; third++) {
		const contact = restContact.map((z, e) => (e % 3 === third ? poorContact * z : z));
		fields.push(solveWith(() => false, contact));
	}
	return fields;
}

interface Basis {
	/** L × K */
	readonly size: number;
	readonly electrodeCount: number;
	/** [nNodes × size] V for 1 A, scaled. */
	readonly nodes: Float64Array;
}

/** Rest first, then what each other snapshot adds to it, scaled to a like size: small differences of large
 *  numbers would make the reduced matrices ill conditioned. */
function createBasis(fields: readonly ForwardField[], nodeCount: number): Basis {
	const L = fields[0]!.electrodeCount;
	const K = fields.length;
	const size = L * K;
	const nodes = new Float64Array(nodeCount * size);
	const rest = fields[0]!;
	for (let l = 0; l < L; l++) {
		const own = rest.transfer[l * L + l]!;
		for (let k = 0; k < K; k++) {
			const field = fields[k]!;
			const column = l * K + k;
			const change = Math.abs(field.transfer[l * L + l]! - own);
			const scale = k === 0 ? 1 : Math.sqrt(own / Math.max(change, 1e-12 * own));
			for (let v = 0; v < nodeCount; v++) {
				const base = k === 0 ? 0 : rest.nodePotentials[l * nodeCount + v]!;
				nodes[v * size + column] = scale * (field.nodePotentials[l * nodeCount + v]! - base);
			}
		}
	}
	return { size, electrodeCount: L, nodes };
}

/** [1 + nMuscles][size²]: the matrix at rest without contacts, then each muscle's for 1 S/m. */
function reduceBulk(options: VoltageModelOptions, basis: Basis): Float64Array[] {
	const { mesh, restConductivity, largestChange } = options;
	const { size } = basis;
	const rest = new Float64Array(size * size);
	const muscles = Array.from(largestChange, () => new Float64Array(size * size));
	const elements = triangleMatrices({ nodes: mesh.nodes, triangles: mesh.triangles, order: 1 });
	const product = new Float64Array(basis.nodes.length);
	for (let part = 0; part < restConductivity.length; part++) {
		const isMuscle = part < muscles.length;
		const weight = isMuscle ? 1 : restConductivity[part]!;
		const touched = multiplyPart(options, elements, part, weight, basis, product);
		addProducts(isMuscle ? muscles[part]! : rest, basis.nodes, product, touched, size);
		for (const node of touched) product.fill(0, node * size, (node + 1) * size);
	}
	for (const [m, muscle] of muscles.entries()) {
		for (let i = 0; i < rest.length; i++) rest[i]! += restConductivity[m]! * muscle[i]!;
	}
	const parts = [rest, ...muscles];
	for (const matrix of parts) mirror(matrix, size);
	return parts;
}

/** Adds to `product` [nNodes × size] the part's stiffness matrix times the basis. @returns the nodes it touches. */
function multiplyPart(
	{ mesh, partOf }: VoltageModelOptions,
	elements: Float64Array,
	part: number,
	weight: number,
	{ size, nodes }: Basis,
	product: Float64Array,
): Uint32Array {
	const touched = new Set<number>();
	for (let t = 0; t < partOf.length; t++) {
		if (partOf[t] !== part) continue;
		const k10 = weight * elements[6 * t + 1]!;
		const k20 = weight * elements[6 * t + 3]!;
		const k21 = weight * elements[6 * t + 4]!;
		const n0 = mesh.triangles[3 * t]!;
		const n1 = mesh.triangles[3 * t + 1]!;
		const n2 = mesh.triangles[3 * t + 2]!;
		touched.add(n0).add(n1).add(n2);
		const at0 = n0 * size;
		const at1 = n1 * size;
		const at2 = n2 * size;
		for (let i = 0; i < size; i++) {
			// Rows sum to zero: only differences of the corners count.
			const d10 = k10 * (nodes[at1 + i]! - nodes[at0 + i]!);
			const d20 = k20 * (nodes[at2 + i]! - nodes[at0 + i]!);
			const d21 = k21 * (nodes[at2 + i]! - nodes[at1 + i]!);
			product[at0 + i]! += d10 + d20;
			product[at1 + i]! += d21 - d10;
			product[at2 + i]! -= d20 + d21;
		}
	}
	return Uint32Array.from(touched);
}

/** Adds Σ x yᵀ over the given nodes' rows to the upper triangle of `sum`, four nodes at a time so that the sum is
 *  read and written less often. */
function addProducts(
	sum: Float64Array,
	x: Float64Array,
	y: Float64Array,
	rows: Uint32Array,
	size: number,
): void {
	for (let r = 0; r < rows.length; r += 4) {
		const p = rows[r]! * size;
		// Past the end the first row is taken again, times zero.
		const q = r + 1 < rows.length ? rows[r + 1]! * size : p;
		const s = r + 2 < rows.length ? rows[r + 2]! * size : p;
		const t = r + 3 < rows.length ? rows[r + 3]! * size : p;
		const hasQ = r + 1 < rows.length ? 1 : 0;
		const hasS = r + 2 < rows.length ? 1 : 0;
		const hasT = r + 3 < rows.length ? 1 : 0;
		for (let i = 0; i < size; i++) {
			const a = x[p + i]!;
			const b = hasQ * x[q + i]!;
			const c = hasS * x[s + i]!;
			const d = hasT * x[t + i]!;
			const at = i * size;
			for (let j = i; j < size; j++) {
				sum[at + j]! += a * y[p + j]! + b * y[q + j]! + c * y[s + j]! + d * y[t + j]!;
			}
		}
	}
}

function mirror(matrix: Float64Array, size: number): void {
	for (let i = 0; i < size; i++) for (let j = 0; j < i; j++) matrix[i * size + j] = matrix[j * size + i]!;
}

/** Two points per contact edge (Gauss–Legendre, exact for products of linear functions), weights drawn in. */
function reduceContacts(mesh: Mesh, { size, electrodeCount: L, nodes }: Basis) {
	const edges = mesh.electrodeOfEdge.length;
	const points = 2 * edges;
	const traces = new Float64Array(size * points);
	const electrodeOfPoint = new Uint16Array(points);
	const means = new Float64Array(size * L);
	const contactLength = new Float64Array(L);
	const lengths = new Float64Array(edges);
	for (let edge = 0; edge < edges; edge++) {
		const a = mesh.electrodeEdges[2 * edge]!;
		const b = mesh.electrodeEdges[2 * edge + 1]!;
		const electrode = mesh.electrodeOfEdge[edge]!;
		const dx = mesh.nodes[2 * b]! - mesh.nodes[2 * a]!;
		const dy = mesh.nodes[2 * b + 1]! - mesh.nodes[2 * a + 1]!;
		lengths[edge] = Math.hypot(dx, dy);
		contactLength[electrode]! += lengths[edge]!;
		for (let i = 0; i < size; i++) {
			means[i * L + electrode]! += (lengths[edge]! * (nodes[a * size + i]! + nodes[b * size + i]!)) / 2;
		}
	}
	for (let i = 0; i < size; i++) for (let e = 0; e < L; e++) means[i * L + e]! /= contactLength[e]!;
	const near = (1 - 1 / Math.sqrt(3)) / 2;
	for (let p = 0; p < points; p++) {
		const edge = p >> 1;
		const share = p % 2 === 0 ? near : 1 - near;
		const a = mesh.electrodeEdges[2 * edge]! * size;
		const b = mesh.electrodeEdges[2 * edge + 1]! * size;
		const electrode = mesh.electrodeOfEdge[edge]!;
		electrodeOfPoint[p] = electrode;
		const root = Math.sqrt(lengths[edge]! / 2);
		for (let i = 0; i < size; i++) {
			const u = (1 - share) * nodes[a + i]! + share * nodes[b + i]!;
			traces[i * points + p] = root * (u - means[i * L + electrode]!);
		}
	}
	const load = new Float64Array(size * L);
	for (let i = 0; i < size; i++) {
		let sum = 0;
		for (let e = 0; e < L; e++) sum += means[i * L + e]!;
		for (let l = 0; l < L; l++) load[i * L + l] = means[i * L + l]! - sum / L;
	}
	return { traces, electrodeOfPoint, load, contactLength };
}

function createContactBlocks(
	traces: Float64Array,
	electrodeOfPoint: Uint16Array,
	L: number,
	K: number,
): Float64Array {
	const points = electrodeOfPoint.length;
	const blocks = new Float64Array(L * L * K * K);
	for (let l = 0; l < L; l++) {
		for (let i = 0; i < K; i++) {
			for (let j = 0; j <= i; j++) {
				const row = (l * K + i) * points;
				const column = (l * K + j) * points;
				for (let p = 0; p < points; p++) {
					const at = (l * L + electrodeOfPoint[p]!) * K * K + i * K + j;
					blocks[at]! += traces[row + p]! * traces[column + p]!;
				}
			}
		}
	}
	return blocks;
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
