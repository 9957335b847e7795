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

/** The finite element model in the span of the basis: L drives with K functions each, size = L·K, drive by drive. */
export interface ReducedModel {
	readonly electrodeCount: number;
	/** K */
	readonly perDrive: number;
	/** [1 + nMuscles][size²] A₀ without contacts, then each Kₘ. */
	readonly bulk: readonly Float64Array[];
	/** [size × nPoints] for each basis function (u − ūₑ)·√weight at the integration points along all contacts. */
	readonly traces: Float64Array;
	/** [nPoints] the electrode of each integration point. */
	readonly electrodeOfPoint: Uint16Array;
	/** [L drives × L electrodes × K²] Cₑ between the basis functions of one drive, lower triangles filled. */
	readonly contactBlocks: Float64Array;
	/** [size × L] fₗ of each basis function, for each drive l. */
	readonly load: Float64Array;
	/** [L] |Eₑ|, m. */
	readonly contactLength: Float64Array;
}

/** Solves the model for the basis and projects it; symbols as in `VoltageModel`. */
export function reduceModel(options: VoltageModelOptions): ReducedModel {
	const { mesh } = options;
	const fields = solveSnapshots(options);
	const electrodeCount = mesh.electrodeCount;
	const perDrive = fields.length;
	const basis = createBasis(fields, mesh.nodes.length / 2);
	const contacts = reduceContacts(mesh, basis);
	return {
		electrodeCount,
		perDrive,
		bulk: reduceBulk(options, basis),
		contactBlocks: createContactBlocks(contacts.traces, contacts.electrodeOfPoint, electrodeCount, perDrive),
		...contacts,
	};
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

/** Cₑ between the basis functions of one drive. */
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
