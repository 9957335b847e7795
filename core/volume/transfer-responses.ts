import type { ForwardField } from "../physics/forward.ts";
import { rowProducts } from "../picture/kernel/row-products.ts";
import { scaledSlopes } from "./volume-elements.ts";
import { tetrahedronVolume, type VolumeMesh } from "./volume-mesh.ts";

/** How the electrodes' potentials answer when tissue conducts otherwise, [L × L] as `ForwardField.transfer`. */
export interface TissueResponses {
	/** For each tissue and each of its stretches along the limb, V/A for each S/m. */
	readonly of: readonly (readonly Float64Array[])[];
}

/**
 * ∂Z/∂σ = −∫ w·∇u_l·∇u_k dV for tissues that change all along the limb, weighted by where (adjoint: Geselowitz, IEEE Trans.
 * Biomed. Eng. 18:38, 1971).
 *
 * @param field of unit currents on the mesh
 * @param tissueOf [trianglesPerLayer] which tissue each triangle of the section is of, from 0; −1 for none
 * @param weights what each stretch is weighted with at a height z, m; a stretch's response is to a change of 1 S/m times that
 */
export function tissueResponses(
	mesh: VolumeMesh,
	field: ForwardField,
	tissueOf: Int16Array,
	weights: readonly ((z: number) => number)[],
): TissueResponses {
	const { nodes, tetrahedra, levels, regionOf } = mesh;
	const { electrodeCount: L, nodePotentials } = field;
	const nodeCount = nodes.length / 3;
	const perLayer = regionOf.length;
	const tissueCount = Math.max(-1, ...tissueOf) + 1;
	const members = Array.from({ length: tissueCount }, (_, tissue) =>
		Uint32Array.from(tissueOf.keys()).filter((t) => tissueOf[t] === tissue),
	);
	const of = members.map(() => weights.map(() => new Float64Array(L * L)));
	const slopes = new Float64Array(12);
	for (let layer = 0; layer + 1 < levels.length; layer++) {
		const z = (levels[layer]! + levels[layer + 1]!) / 2;
		for (const [tissue, triangles] of members.entries()) {
			// three tetrahedra of three directions each; a row for each electrode
			const length = 9 * triangles.length;
			const gradients = new Float64Array(L * length);
			for (let c = 0; c < 3 * triangles.length; c++) {
				const cell = layer * perLayer + triangles[Math.floor(c / 3)]!;
				const at = 12 * cell + 4 * (c % 3);
				scaledSlopes(nodes, tetrahedra, at, slopes);
				// ∇φ = slopes / 6V; times √V, so that the product of two gradients is an integral
				const scale = 1 / (6 * Math.sqrt(tetrahedronVolume(nodes, tetrahedra, at)));
				for (let l = 0; l < L; l++) {
					const u = l * nodeCount;
					const to = l * length + 3 * c;
					for (let i = 0; i < 4; i++) {
						const value = scale * nodePotentials[u + tetrahedra[at + i]!]!;
						gradients[to]! += value * slopes[3 * i]!;
						gradients[to + 1]! += value * slopes[3 * i + 1]!;
						gradients[to + 2]! += value * slopes[3 * i + 2]!;
					}
				}
			}
			const work = rowProducts(gradients, L, gradients, L, length, "symmetric");
			for (const [s, weight] of weights.entries()) {
				const w = weight(z);
				if (w === 0) continue;
				const sum = of[tissue]![s]!;
				for (let i = 0; i < sum.length; i++) sum[i]! -= w * work[i]!;
			}
		}
	}
	return { of };
}

/** How the electrodes' potentials answer to contacts, Z(z) = Z(z₀) − Σ (1/zₑ − 1/z₀ₑ)·Cₑ + what currents drop over them. */
export interface ContactResponses {
	/** For each electrode Cₑ = ∫ (u_l − ū_l)(u_k − ū_k) dA over its contact, [L × L] V²m²/A² */
	readonly of: readonly Float64Array[];
	/** [L] m² */
	readonly area: Float64Array;
}

/**
 * Put into the complete electrode model, an electrode's potential is the mean of the skin under it plus the drop of its
 * current, Uₑ = ūₑ + Iₑ·zₑ/|Eₑ|; potentials inside then answer to the contacts' admittances by Cₑ alone, of which the
 * difference of potentials from their mean under the electrode is left.
 */
export function contactResponses(mesh: VolumeMesh, field: ForwardField): ContactResponses {
	const { nodes, electrodeFaces, electrodeOfFace } = mesh;
	const { electrodeCount: L, nodePotentials } = field;
	const nodeCount = nodes.length / 3;
	const area = new Float64Array(L);
	const of = Array.from({ length: L }, (_, electrode) => {
		const faces = Uint32Array.from(electrodeOfFace.keys()).filter((f) => electrodeOfFace[f] === electrode);
		const length = 3 * faces.length;
		const traces = new Float64Array(L * length);
		const roots = new Float64Array(length);
		for (const [i, f] of faces.entries()) {
			const own = faceArea(nodes, electrodeFaces, 3 * f);
			area[electrode]! += own;
			// the middles of the sides, with a third of the area each, are exact for squares of linear functions
			for (let side = 0; side < 3; side++) {
				const a = electrodeFaces[3 * f + side]!;
				const b = electrodeFaces[3 * f + ((side + 1) % 3)]!;
				roots[3 * i + side] = Math.sqrt(own / 3);
				for (let l = 0; l < L; l++) {
					const u = l * nodeCount;
					traces[l * length + 3 * i + side] = (nodePotentials[u + a]! + nodePotentials[u + b]!) / 2;
				}
			}
		}
		for (let l = 0; l < L; l++) {
			const row = traces.subarray(l * length, (l + 1) * length);
			let mean = 0;
			for (let p = 0; p < length; p++) mean += (roots[p]! ** 2 * row[p]!) / area[electrode]!;
			for (let p = 0; p < length; p++) row[p] = roots[p]! * (row[p]! - mean);
		}
		return rowProducts(traces, L, traces, L, length, "symmetric");
	});
	return { of, area };
}

function faceArea(nodes: Float64Array, faces: Uint32Array, at: number): number {
	const [a, b, c] = [0, 1, 2].map((i) => 3 * faces[at + i]!) as [number, number, number];
	const one = [0, 1, 2].map((axis) => nodes[b + axis]! - nodes[a + axis]!) as [number, number, number];
	const two = [0, 1, 2].map((axis) => nodes[c + axis]! - nodes[a + axis]!) as [number, number, number];
	return (
		Math.hypot(
			one[1] * two[2] - one[2] * two[1],
			one[2] * two[0] - one[0] * two[2],
			one[0] * two[1] - one[1] * two[0],
		) / 2
	);
}
