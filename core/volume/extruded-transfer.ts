import { choleskyInPlace } from "../picture/dense.ts";
import { rowProducts } from "../picture/kernel/row-products.ts";
import type { AxisModes } from "./axis-modes.ts";
import { inverseOf, solveLower } from "./dense-solve.ts";
import type { ElectrodeArc } from "./electrode-arc.ts";
import { type BandHeight, type ElectrodePatch, ownResistance } from "./electrode-patch.ts";
import { type PatchCurrents, patchCurrents } from "./patch-currents.ts";
import type { SkinResponses } from "./skin-responses.ts";

/**
 * The complete electrode model (Somersalo, Cheney & Isaacson, SIAM J. Appl. Math. 52:1023, 1992) of a body of one
 * cross-section all along. Its fields fall apart into shapes along the axis that do not mix (fast diagonalisation:
 * Lynch, Rice & Thomas, Numer. Math. 6:185, 1964), so that for each shape a problem in the plane remains; what comes
 * out are the potentials of the tensor-product finite elements in space, by Galerkin's method over the currents of
 * `patchCurrents`.
 *
 * @param arcs one for each electrode of a band
 * @param heights one for each band; electrode i of band b has number b·arcs.length + i
 * @param contactImpedance [heights.length · arcs.length] Ω·m²
 * @returns [L × L] as `ForwardField.transfer`, V/A
 */
export function extrudedTransfer(
	arcs: readonly ElectrodeArc[],
	heights: readonly BandHeight[],
	modes: AxisModes,
	skin: SkinResponses,
	contactImpedance: Float64Array,
): Float64Array {
	const responses = Array.from(modes.values, (lambda) => skin.at(lambda));
	const patches: ElectrodePatch[] = [];
	for (const height of heights) {
		let arcStart = 0;
		for (const arc of arcs) {
			patches.push({ arc, height, arcStart });
			arcStart += arc.nodes.length;
		}
	}
	const currents = patches.map((patch, l) =>
		patchCurrents(patch, ownResistance(patch, modes, responses, contactImpedance[l]!)),
	);
	const matrix = mutualResistance(patches, currents, modes, responses, skin.count);
	return transferFrom(matrix, currents);
}

/** [N × N], lower triangle, over the currents of all electrodes in turn: potentials that one makes against another.
 *  An electrode's own are orthonormal. */
function mutualResistance(
	patches: readonly ElectrodePatch[],
	currents: readonly PatchCurrents[],
	modes: AxisModes,
	responses: readonly Float64Array[],
	skinCount: number,
): Float64Array {
	const each = currents[0]!.count;
	const size = patches.length * each;
	const matrix = new Float64Array(size * size);
	// currents by skin node, shape by shape: each electrode's rows are zero but at its own nodes
	const parts = patches.map(({ arc }) => new Float64Array(each * arc.nodes.length));
	const square = new Float64Array(skinCount * skinCount);
	for (const [j, response] of responses.entries()) {
		unpack(response, skinCount, square);
		for (const [l, { arc, height }] of patches.entries()) {
			const shape = modes.shapes.subarray(
				j * modes.count + height.first,
				j * modes.count + height.first + height.count,
			);
			const { values } = currents[l]!;
			const part = parts[l]!;
			for (let at = 0; at < each * arc.nodes.length; at++) {
				let sum = 0;
				for (let s = 0; s < height.count; s++) sum += values[at * height.count + s]! * shape[s]!;
				part[at] = sum;
			}
		}
		for (const [l, patch] of patches.entries()) {
			const potentials = potentialsOf(patch, parts[l]!, each, square, skinCount);
			for (let m = 0; m < l; m++) {
				const { arc, arcStart } = patches[m]!;
				addProducts(
					potentials,
					arcStart,
					skinCount,
					parts[m]!,
					arc.nodes.length,
					each,
					matrix,
					l * each * size + m * each,
					size,
				);
			}
		}
	}
	for (let i = 0; i < size; i++) matrix[i * size + i] = 1;
	return matrix;
}

function unpack(packed: Float64Array, n: number, square: Float64Array): void {
	let from = 0;
	for (let i = 0; i < n; i++)
		for (let k = 0; k <= i; k++) {
			const value = packed[from++]!;
			square[i * n + k] = value;
			square[k * n + i] = value;
		}
}

/** [each × skinCount] */
function potentialsOf(
	{ arc, arcStart }: ElectrodePatch,
	part: Float64Array,
	each: number,
	square: Float64Array,
	skinCount: number,
): Float64Array {
	const around = arc.nodes.length;
	const potentials = new Float64Array(each * skinCount);
	for (let r = 0; r < each; r++)
		for (let i = 0; i < around; i++) {
			const weight = part[r * around + i]!;
			const row = (arcStart + i) * skinCount;
			for (let k = 0; k < skinCount; k++) potentials[r * skinCount + k]! += weight * square[row + k]!;
		}
	return potentials;
}

function addProducts(
	potentials: Float64Array,
	from: number,
	stride: number,
	part: Float64Array,
	around: number,
	each: number,
	matrix: Float64Array,
	to: number,
	size: number,
): void {
	for (let r = 0; r < each; r++)
		for (let q = 0; q < each; q++) {
			let sum = 0;
			for (let i = 0; i < around; i++) sum += part[q * around + i]! * potentials[r * stride + from + i]!;
			matrix[to + r * size + q]! += sum;
		}
}

/** Overwrites the matrix. Potentials of electrodes follow from Σ of each one's currents being what flows into it. */
function transferFrom(matrix: Float64Array, currents: readonly PatchCurrents[]): Float64Array {
	const L = currents.length;
	const each = currents[0]!.count;
	const size = L * each;
	choleskyInPlace(matrix, size);
	const halves = new Float64Array(L * size);
	for (const [l, { totals }] of currents.entries()) {
		const half = halves.subarray(l * size, (l + 1) * size);
		half.set(totals, l * each);
		solveLower(matrix, size, half);
	}
	const transfer = inverseOf(rowProducts(halves, L, halves, L, size, "symmetric"), L);
	// currents leave through all electrodes alike and potentials sum to zero: that takes rows' and columns' means off
	const means = new Float64Array(L);
	let mean = 0;
	for (let l = 0; l < L; l++) for (let m = 0; m < L; m++) means[l]! += transfer[l * L + m]! / L;
	for (let l = 0; l < L; l++) mean += means[l]! / L;
	for (let l = 0; l < L; l++)
		for (let m = 0; m < L; m++) transfer[l * L + m]! += mean - means[l]! - means[m]!;
	return transfer;
}
