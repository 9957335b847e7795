import type { Mesh } from "../mesh/mesh.ts";
import type { ForwardField } from "../physics/forward.ts";
import type { SensitivityRows } from "./sensitivity.ts";

/** What the field was solved with. */
export interface SolvedSection {
	readonly mesh: Mesh;
	readonly field: ForwardField;
	/** [nTriangles] S/m */
	readonly sigma: Float64Array;
	/** [electrodeCount] Ω·m² */
	readonly contactImpedance: Float64Array;
}

/**
 * How readings answer when the mesh's nodes move, at one ampere, as `sensitivityInto` for conductivity: by the adjoint,
 * ∂V = −wᵀ·∂A·u with u the field of the drive, w that of the reading pair and ∂A the change of the model's matrix. Of a
 * triangle that moves with velocity v it is σ·∫ (div v)·∇u·∇w − ∇uᵀ(∇v + ∇vᵀ)∇w, and an electrode's edge counts by how
 * much longer it gets. Exact for the linear triangles of the mesh: conductivity is carried along by them.
 *
 * Movement beside conductivity: Soleimani, Gómez-Laberge & Adler, Physiol. Meas. 27:S103, 2006.
 *
 * @param velocities [nModes × nNodes × 2] m for each unit of a mode
 * @returns writes rows of nModes, Ω·m (in 2D) for each unit of a mode
 */
export function createDisplacementRows(section: SolvedSection, velocities: Float64Array): SensitivityRows {
	const { mesh, field } = section;
	const nodeCount = mesh.nodes.length / 2;
	const modeCount = velocities.length / (2 * nodeCount);
	if (!Number.isInteger(modeCount)) throw new RangeError("displacements: two numbers for each node and mode");
	const modes = Array.from({ length: modeCount }, (_, m) =>
		partsThatMove(section, velocities.subarray(m * 2 * nodeCount, (m + 1) * 2 * nodeCount)),
	);
	const pairs = new Map<number, PairField>();
	const pairOf = (a: number, b: number): PairField => {
		const key = a * field.electrodeCount + b;
		let found = pairs.get(key);
		if (found === undefined) {
			found = pairField(section, a, b);
			pairs.set(key, found);
		}
		return found;
	};
	return ({ values, stride }, terminals) => {
		for (let row = 0; row < terminals.length / 4; row++) {
			const drive = pairOf(terminals[4 * row]!, terminals[4 * row + 1]!);
			const read = pairOf(terminals[4 * row + 2]!, terminals[4 * row + 3]!);
			for (const [m, mode] of modes.entries()) values[row * stride + m] = -workOf(mode, drive, read);
		}
	};
}

/** Triangles and electrode edges that a mode changes. */
interface MovingParts {
	readonly triangles: Uint32Array;
	/** [nTriangles × 3] xx, xy, yy of σ·area·(div v − ∇v − ∇vᵀ) */
	readonly tensors: Float64Array;
	readonly edges: Uint32Array;
	/** [nEdges] growth of length / (6·z) */
	readonly growth: Float64Array;
}

interface PairField {
	/** [nTriangles × 2] ∇u */
	readonly gradients: Float64Array;
	/** [nEdges × 2] u − U at both ends of each electrode edge */
	readonly drops: Float64Array;
}

function workOf(
	{ triangles, tensors, edges, growth }: MovingParts,
	drive: PairField,
	read: PairField,
): number {
	const u = drive.gradients;
	const w = read.gradients;
	let work = 0;
	for (let i = 0; i < triangles.length; i++) {
		const k = 2 * triangles[i]!;
		const xy = tensors[3 * i + 1]!;
		work +=
			u[k]! * (tensors[3 * i]! * w[k]! + xy * w[k + 1]!) +
			u[k + 1]! * (xy * w[k]! + tensors[3 * i + 2]! * w[k + 1]!);
	}
	const p = drive.drops;
	const q = read.drops;
	for (let i = 0; i < edges.length; i++) {
		const e = 2 * edges[i]!;
		const product = p[e]! * (2 * q[e]! + q[e + 1]!) + p[e + 1]! * (q[e]! + 2 * q[e + 1]!);
		work += growth[i]! * product;
	}
	return work;
}

function partsThatMove(
	{ mesh, sigma, contactImpedance }: SolvedSection,
	velocity: Float64Array,
): MovingParts {
	const { nodes, triangles, electrodeEdges, electrodeOfEdge } = mesh;
	const moves = (node: number) => velocity[2 * node] !== 0 || velocity[2 * node + 1] !== 0;
	const moving: number[] = [];
	const tensors: number[] = [];
	for (let k = 0; k < sigma.length; k++) {
		const corners = [triangles[3 * k]!, triangles[3 * k + 1]!, triangles[3 * k + 2]!] as const;
		if (!corners.some(moves)) continue;
		const { twiceArea, shape } = shapeGradients(nodes, corners);
		let xx = 0;
		let xy = 0;
		let yx = 0;
		let yy = 0;
		for (const [c, node] of corners.entries()) {
			xx += velocity[2 * node]! * shape[2 * c]!;
			xy += velocity[2 * node]! * shape[2 * c + 1]!;
			yx += velocity[2 * node + 1]! * shape[2 * c]!;
			yy += velocity[2 * node + 1]! * shape[2 * c + 1]!;
		}
		const weight = (sigma[k]! * twiceArea) / 2;
		moving.push(k);
		tensors.push(weight * (yy - xx), -weight * (xy + yx), weight * (xx - yy));
	}
	const edges: number[] = [];
	const growth: number[] = [];
	for (let e = 0; e < electrodeOfEdge.length; e++) {
		const a = electrodeEdges[2 * e]!;
		const b = electrodeEdges[2 * e + 1]!;
		const dx = nodes[2 * b]! - nodes[2 * a]!;
		const dy = nodes[2 * b + 1]! - nodes[2 * a + 1]!;
		const stretch =
			(dx * (velocity[2 * b]! - velocity[2 * a]!) + dy * (velocity[2 * b + 1]! - velocity[2 * a + 1]!)) /
			Math.hypot(dx, dy);
		if (stretch === 0) continue;
		edges.push(e);
		growth.push(stretch / (6 * contactImpedance[electrodeOfEdge[e]!]!));
	}
	return {
		triangles: Uint32Array.from(moving),
		tensors: Float64Array.from(tensors),
		edges: Uint32Array.from(edges),
		growth: Float64Array.from(growth),
	};
}

/** Gradients of the three linear functions of a triangle. */
function shapeGradients(nodes: Float64Array, [a, b, c]: readonly [number, number, number]) {
	const dx1 = nodes[2 * b]! - nodes[2 * a]!;
	const dy1 = nodes[2 * b + 1]! - nodes[2 * a + 1]!;
	const dx2 = nodes[2 * c]! - nodes[2 * a]!;
	const dy2 = nodes[2 * c + 1]! - nodes[2 * a + 1]!;
	const twiceArea = dx1 * dy2 - dx2 * dy1;
	const bx = dy2 / twiceArea;
	const by = -dx2 / twiceArea;
	const cx = -dy1 / twiceArea;
	const cy = dx1 / twiceArea;
	return { twiceArea, shape: [-bx - cx, -by - cy, bx, by, cx, cy] as const };
}

function pairField({ mesh, field }: SolvedSection, a: number, b: number): PairField {
	const { nodes, triangles, electrodeEdges, electrodeOfEdge } = mesh;
	const nodeCount = nodes.length / 2;
	const { nodePotentials, transfer, electrodeCount } = field;
	const at = (node: number) => nodePotentials[a * nodeCount + node]! - nodePotentials[b * nodeCount + node]!;
	const gradients = new Float64Array((2 * triangles.length) / 3);
	for (let k = 0; k < gradients.length / 2; k++) {
		const corners = [triangles[3 * k]!, triangles[3 * k + 1]!, triangles[3 * k + 2]!] as const;
		const { shape } = shapeGradients(nodes, corners);
		for (const [c, node] of corners.entries()) {
			gradients[2 * k]! += at(node) * shape[2 * c]!;
			gradients[2 * k + 1]! += at(node) * shape[2 * c + 1]!;
		}
	}
	const drops = Float64Array.from(electrodeEdges, (node, i) => {
		const m = electrodeOfEdge[i >> 1]!;
		return at(node) - (transfer[a * electrodeCount + m]! - transfer[b * electrodeCount + m]!);
	});
	return { gradients, drops };
}
