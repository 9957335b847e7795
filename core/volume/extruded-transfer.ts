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
	const matrix = mutualResistance(arcs, patches, currents, modes, responses);
	return transferFrom(matrix, currents);
}

/**
 * [N × N], lower triangle, over the currents of all electrodes in turn: potentials that one makes against another. An
 * electrode's own are orthonormal.
 */
function mutualResistance(
	arcs: readonly ElectrodeArc[],
	patches: readonly ElectrodePatch[],
	currents: readonly PatchCurrents[],
	modes: AxisModes,
	responses: readonly Float64Array[],
): Float64Array {
	const each = currents[0]!.count;
	const ring = arcs.length;
	const bandCount = patches.length / ring;
	const perArc = bandCount * each;
	const size = patches.length * each;
	const matrix = new Float64Array(size * size);
	const widest = Math.max(...arcs.map((arc) => arc.nodes.length));
	// currents of all bands by the nodes of one place of the ring, for one shape along the axis
	const parts = arcs.map((arc) => new Float64Array(perArc * arc.nodes.length));
	const potentials = new Float64Array(perArc * widest);
	const least = new Float64Array(ring * ring).fill(-1);
	for (const [j, response] of responses.entries()) {
		for (const [l, patch] of patches.entries()) {
			const from = Math.floor(l / ring) * each * patch.arc.nodes.length;
			partInto(parts[l % ring]!, from, patch, currents[l]!, modes, j);
		}
		for (let p = 0; p < ring; p++) {
			for (let q = 0; q <= p; q++) {
				const pair = p * ring + q;
				if (least[pair] === Infinity) continue;
				const { arcStart: row, arc: one } = patches[p]!;
				const { arcStart: column, arc: other } = patches[q]!;
				const strongest = largestOf(response, row, one.nodes.length, column, other.nodes.length);
				// the first shape's response holds a constant of no meaning, so that the second sets the scale
				if (j === 1) least[pair] = FADED * strongest;
				// responses fall with λ: what has faded stays faded
				if (strongest < least[pair]!) {
					least[pair] = Infinity;
					continue;
				}
				potentialsInto(
					potentials,
					parts[p]!,
					perArc,
					response,
					row,
					one.nodes.length,
					column,
					other.nodes.length,
				);
				addProducts(matrix, size, { ring, each, perArc, p, q }, potentials, parts[q]!, other.nodes.length);
			}
		}
	}
	for (let i = 0; i < size; i++) matrix[i * size + i] = 1;
	return matrix;
}

/** Shapes along the axis whose response between two electrodes is below this share of the longest one's are left out:
 *  short ones do not reach the neighbour. */
const FADED = 1e-10;

function partInto(
	part: Float64Array,
	from: number,
	{ arc, height }: ElectrodePatch,
	{ count, values }: PatchCurrents,
	modes: AxisModes,
	mode: number,
): void {
	const shape = mode * modes.count + height.first;
	const along = height.count;
	for (let at = 0; at < count * arc.nodes.length; at++) {
		let sum = 0;
		for (let s = 0; s < along; s++) sum += values[at * along + s]! * modes.shapes[shape + s]!;
		part[from + at] = sum;
	}
}

/** Place of (i, k) in a packed lower triangle, whichever of the two is larger. */
function packedAt(i: number, k: number): number {
	return i >= k ? (i * (i + 1)) / 2 + k : (k * (k + 1)) / 2 + i;
}

function largestOf(packed: Float64Array, row: number, rows: number, column: number, columns: number): number {
	let largest = 0;
	for (let i = 0; i < rows; i++)
		for (let k = 0; k < columns; k++)
			largest = Math.max(largest, Math.abs(packed[packedAt(row + i, column + k)]!));
	return largest;
}

/** potentials[perArc × columns] = part[perArc × rows] · responses[rows × columns] */
function potentialsInto(
	potentials: Float64Array,
	part: Float64Array,
	perArc: number,
	packed: Float64Array,
	row: number,
	rows: number,
	column: number,
	columns: number,
): void {
	potentials.fill(0, 0, perArc * columns);
	for (let i = 0; i < rows; i++)
		for (let k = 0; k < columns; k++) {
			const value = packed[packedAt(row + i, column + k)]!;
			for (let r = 0; r < perArc; r++) potentials[r * columns + k]! += part[r * rows + i]! * value;
		}
}

/** Adds potentials · partᵀ for the electrodes at places p and q of all bands, where they belong in the lower triangle. */
function addProducts(
	matrix: Float64Array,
	size: number,
	{ ring, each, perArc, p, q }: { ring: number; each: number; perArc: number; p: number; q: number },
	potentials: Float64Array,
	part: Float64Array,
	around: number,
): void {
	for (let r = 0; r < perArc; r++) {
		const l = Math.floor(r / each) * ring + p;
		const own = l * each + (r % each);
		for (let c = 0; c < perArc; c++) {
			const m = Math.floor(c / each) * ring + q;
			if (p === q && m >= l) break;
			let sum = 0;
			for (let i = 0; i < around; i++) sum += potentials[r * around + i]! * part[c * around + i]!;
			const other = m * each + (c % each);
			matrix[own > other ? own * size + other : other * size + own]! += sum;
		}
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
