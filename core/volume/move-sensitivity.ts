import type { ForwardField } from "../physics/forward.ts";
import { rowProducts } from "../picture/kernel/row-products.ts";
import { faceMatrices, tetrahedronMatrices } from "./volume-elements.ts";
import type { VolumeSolver } from "./volume-forward.ts";
import type { VolumeMesh } from "./volume-mesh.ts";

/** What was solved last with its solver. */
export interface SolvedVolume {
	readonly mesh: VolumeMesh;
	readonly solver: VolumeSolver;
	readonly field: ForwardField;
	/** [nCells] S/m */
	readonly sigma: Float64Array;
	/** [electrodeCount] Ω·m² */
	readonly contactImpedance: Float64Array;
}

/** How the electrodes' potentials answer when the nodes of a mesh move: Z(p) = Z + Σ first·p + ½·Σ second·p·p. Each is
 *  [L × L] as `ForwardField.transfer`, V/A. */
export interface TransferByMoves {
	/** For each mode. */
	readonly first: readonly Float64Array[];
	/** For each pair of modes (a, b), b ≤ a, by rows: ∂²Z/∂p_a∂p_b. */
	readonly second: readonly Float64Array[];
}

/** Of a unit of a mode: the model's matrix is taken at so much of it on both sides. Far above round-off, while what is left
 *  of the next order is 1e-3 of it. */
const STEP = 0.03;

/**
 * By the adjoint, with U the fields of unit currents and A the complete electrode model's matrix (movement beside
 * conductivity: Soleimani, Gómez-Laberge & Adler, Physiol. Meas. 27:S103, 2006):
 *
 *   ∂Z/∂a = −Uᵀ·A_a·U,  ∂²Z/∂a∂b = (A_a·U)ᵀ·A⁻¹·(A_b·U) + (A_b·U)ᵀ·A⁻¹·(A_a·U) − Uᵀ·A_ab·U.
 *
 * Conductivity is carried along by the cells.
 *
 * @param velocities of each mode [nNodes × 3], m for each unit
 */
export function transferByMoves(volume: SolvedVolume, velocities: readonly Float64Array[]): TransferByMoves {
	const { solver, field } = volume;
	const L = field.electrodeCount;
	const forms = createForms(volume);
	const size = forms.potentials.length / L;
	const products = (x: Float64Array, y: Float64Array) => rowProducts(x, L, y, L, size);
	const loads = velocities.map((velocity) => forms.loads(velocity, "first"));
	const answers = loads.map((load) => solver.respond(load));
	const curvature = (velocity: Float64Array) => products(forms.potentials, forms.loads(velocity, "second"));
	const own = velocities.map(curvature);
	return {
		first: loads.map((load) => products(forms.potentials, load).map((work) => -work)),
		second: velocities.flatMap((one, a) =>
			velocities.slice(0, a + 1).map((other, b) => {
				const mixed = products(loads[a]!, answers[b]!);
				const sum = a === b ? null : curvature(one.map((v, i) => v + other[i]!));
				return mixed.map((value, i) => {
					const back = mixed[(i % L) * L + Math.floor(i / L)]!;
					const bend = sum === null ? own[a]![i]! : (sum[i]! - own[a]![i]! - own[b]![i]!) / 2;
					return value + back - bend;
				});
			}),
		),
	};
}

interface MatrixForms {
	/** [L × (nNodes + L)] U: of the nodes, then of the electrodes. */
	readonly potentials: Float64Array;
	/** [L × (nNodes + L)] the first or second derivative of A along a velocity, times U. */
	loads(velocity: Float64Array, order: "first" | "second"): Float64Array;
}

function createForms({ mesh, field, sigma, contactImpedance }: SolvedVolume): MatrixForms {
	const { tetrahedra, electrodeFaces, electrodeOfFace } = mesh;
	const { nodePotentials, transfer, electrodeCount: L } = field;
	const nodeCount = mesh.nodes.length / 3;
	const size = nodeCount + L;
	const potentials = new Float64Array(L * size);
	for (let l = 0; l < L; l++) {
		potentials.set(nodePotentials.subarray(l * nodeCount, (l + 1) * nodeCount), l * size);
		potentials.set(transfer.subarray(l * L, (l + 1) * L), l * size + nodeCount);
	}
	const still = { bulk: tetrahedronMatrices(mesh), contact: faceMatrices(mesh) };
	const change = new Float64Array(10);
	const members = new Int32Array(4);

	function addInto(loads: Float64Array): void {
		for (let l = 0; l < L; l++) {
			const from = l * size;
			let at = 0;
			for (let i = 0; i < 4; i++) {
				const row = from + members[i]!;
				const own = potentials[row]!;
				let sum = 0;
				for (let j = 0; j < i; j++) {
					const value = change[at++]!;
					sum += value * potentials[from + members[j]!]!;
					loads[from + members[j]!]! += value * own;
				}
				loads[row]! += sum + change[at++]! * own;
			}
		}
	}

	return {
		potentials,
		loads(velocity, order) {
			const moved = [-STEP, STEP].map((step) => ({
				...mesh,
				nodes: mesh.nodes.map((x, i) => x + step * velocity[i]!),
			}));
			const isMoving = (node: number) =>
				velocity[3 * node] !== 0 || velocity[3 * node + 1] !== 0 || velocity[3 * node + 2] !== 0;
			const derive = (
				below: Float64Array,
				at: Float64Array,
				above: Float64Array,
				k: number,
				weight: number,
			) => {
				for (let i = 10 * k; i < 10 * k + 10; i++)
					change[i - 10 * k] =
						order === "first"
							? (weight * (above[i]! - below[i]!)) / (2 * STEP)
							: (weight * (above[i]! + below[i]! - 2 * at[i]!)) / (STEP * STEP);
			};
			const loads = new Float64Array(L * size);
			const [bulkBelow, bulkAbove] = moved.map(tetrahedronMatrices) as [Float64Array, Float64Array];
			for (let t = 0; t < tetrahedra.length / 4; t++) {
				for (let i = 0; i < 4; i++) members[i] = tetrahedra[4 * t + i]!;
				if (!members.some(isMoving)) continue;
				derive(bulkBelow, still.bulk, bulkAbove, t, sigma[Math.floor(t / 3)]!);
				addInto(loads);
			}
			const [contactBelow, contactAbove] = moved.map(faceMatrices) as [Float64Array, Float64Array];
			for (const [f, electrode] of electrodeOfFace.entries()) {
				for (let i = 0; i < 3; i++) members[i] = electrodeFaces[3 * f + i]!;
				members[3] = nodeCount + electrode;
				derive(contactBelow, still.contact, contactAbove, f, 1 / contactImpedance[electrode]!);
				addInto(loads);
			}
			return loads;
		},
	};
}
