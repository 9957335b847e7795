import type { ReadingPattern } from "../band/band.ts";
import { readingsFrom } from "../physics/solve-forward.ts";
import { createBandMoves, heldApart } from "./band-moves.ts";
import { inverseOf } from "./dense-solve.ts";
import { meshVolume, restSigmaOf } from "./mesh-volume.ts";
import { createVolumeSolver } from "./volume-forward.ts";
import { bandStretches, type VolumeSubject } from "./volume-subject.ts";

/** How readings go with the moves p of all bands, in units of `MoveRange`. */
export interface MovedReadings {
	/** For each band its slide and its twist: [L × L] ∂Z/∂p at no move, Z as `ForwardField.transfer`, V/A. */
	readonly straight: readonly Float64Array[];
	/** For each term φ what it adds to the change of readings at one ampere beside what `straight` does: [nReadings] V. */
	readonly bends: readonly Float64Array[];
	/** [nForms × moves] sums and differences of moves; φ are products of them. */
	readonly forms: Float64Array;
	/** [nTerms × 4] numbers of the forms that a term is the product of, then −1. */
	readonly factors: Int16Array;
}

/** What moves are counted in, and how far the polynomials reach to both sides: m and rad. */
export interface MoveRange {
	readonly slide: number;
	readonly twist: number;
}

/** Of two bands: half the sum of their slides, half the difference, and the same of their twists. */
type Form = "sum of slides" | "slide apart" | "sum of twists" | "twist apart";
const forms: readonly Form[] = ["sum of slides", "slide apart", "sum of twists", "twist apart"];

/** What bands do to each other goes to the fourth order, what both do alike to the first: on simulated thighs the changes
 *  of readings are then met within 4 % over the whole range (without what is beyond the second order within 17 %). */
const terms: readonly (readonly Form[])[] = [
	["sum of slides", "slide apart"],
	["sum of slides", "twist apart"],
	["sum of twists", "slide apart"],
	["sum of twists", "twist apart"],
	...[2, 3, 4].flatMap((order) =>
		Array.from({ length: order + 1 }, (_, twists): Form[] => [
			...new Array<Form>(order - twists).fill("slide apart"),
			...new Array<Form>(twists).fill("twist apart"),
		]),
	),
];

/** Positions of bands that are solved, for a pair's four straight terms and the others, and some to spare. */
const SOLVED = 24;

/** Of the mesh that is solved again and again. What it is off by is alike at all positions, and only differences count. */
const CELLS = 12_000;
/** Thickness of its layers at electrodes' edges, as a share of their height: with 0.15 the change of readings by a slide is
 *  9 % off a solution that is exact along the limb, half of that in size alone; with 0.2 it is 13 %. */
const LAYER = 0.15;

/**
 * Solved with bands at many positions, and polynomials laid through what comes out: what two bands see of each other goes
 * with the moves of those two, for a third one is near them at most as a few spots of better contact.
 *
 * @param onSolved told how much of it is done, 0 to 1
 * @throws RangeError in one sentence for one band alone, or when the subject cannot be meshed
 */
export function readingsByMoves(
	subject: VolumeSubject,
	pattern: ReadingPattern,
	range: MoveRange,
	onSolved: (share: number) => void = () => {},
): MovedReadings {
	const bandCount = subject.bands.length;
	if (bandCount < 2) throw new RangeError("movement: it can be told apart only with two bands or more");
	const mesh = meshVolume(subject, CELLS, LAYER);
	const sigma = restSigmaOf(subject, mesh);
	const { count, nodesAfter } = createBandMoves(subject, mesh, sigma);
	const solver = createVolumeSolver(mesh);
	const L = mesh.electrodeCount;
	const still = solver.transfer(sigma, subject.contactImpedance);
	const read = (transfer: Float64Array) => readingsFrom({ electrodeCount: L, transfer }, pattern, 1);
	const positions = heldApart(spread(SOLVED, count), subject, range.slide);
	const transfers: Float64Array[] = [];
	for (const moves of positions) {
		onSolved(transfers.length / SOLVED);
		const nodes = nodesAfter(moves.map((p, m) => p * (m % 2 === 0 ? range.slide : range.twist)));
		const transfer = solver.transfer(sigma, subject.contactImpedance, nodes);
		transfers.push(transfer.map((z, at) => z - still[at]!));
	}
	const changes = transfers.map(read);

	const bandOf = subject.bands.flatMap(({ band }, b) => new Array<number>(band.electrodeCount).fill(b));
	const neighbours = nearestBands(subject);
	const pairs = pairsOf(bandCount);
	const pairOf = (l: number, k: number): number => {
		const one = bandOf[l]!;
		const other = one === bandOf[k]! ? neighbours[one]! : bandOf[k]!;
		return pairs.findIndex(([a, b]) => a === Math.min(one, other) && b === Math.max(one, other));
	};
	const pairOfEntry = Int16Array.from(still, (_, at) => pairOf(Math.floor(at / L), at % L));
	// of a drive across, the electrode farther from where is read
	const pairOfReading = Int16Array.from(changes[0]!, (_, r) => {
		const [source, sink, plus] = pattern.terminals.subarray(4 * r, 4 * r + 3) as unknown as [
			number,
			number,
			number,
		];
		return pairOf(bandOf[source] === bandOf[plus] ? sink : source, plus);
	});
	const pick = (values: Float64Array, pairOfValue: Int16Array, p: number): Float64Array =>
		values.map((value, at) => (pairOfValue[at] === p ? value : 0));
	const straight = Array.from({ length: count }, () => new Float64Array(still.length));
	const allForms = new Float64Array(pairs.length * forms.length * count);
	const factors = new Int16Array(pairs.length * terms.length * 4).fill(-1);
	const lines = forms.map((form): readonly Form[] => [form]);
	for (const [p, bands] of pairs.entries()) {
		const own = formsOf(bands, count);
		allForms.set(own, p * own.length);
		for (const [j, term] of terms.entries())
			for (const [i, form] of term.entries())
				factors[4 * (p * terms.length + j) + i] = p * forms.length + forms.indexOf(form);
		const shares = leastSquares(positions, own, [...lines, ...terms]);
		for (const [f] of forms.entries()) {
			const along = pick(combined(shares[f]!, transfers), pairOfEntry, p);
			for (const [m, target] of straight.entries())
				for (let at = 0; at < target.length; at++) target[at]! += own[f * count + m]! * along[at]!;
		}
	}
	const inReadings = straight.map(read);
	const left = changes.map((change, k) =>
		change.map((y, r) => inReadings.reduce((sum, line, m) => sum - positions[k]![m]! * line[r]!, y)),
	);
	const bends = pairs.flatMap((bands, p) =>
		leastSquares(positions, formsOf(bands, count), terms).map((shares) =>
			pick(combined(shares, left), pairOfReading, p),
		),
	);
	return { straight, bends, forms: allForms, factors };
}

/** @returns for each term the shares [positions] with which what was found at the positions makes up its factor */
function leastSquares(
	positions: readonly Float64Array[],
	own: Float64Array,
	wanted: readonly (readonly Form[])[],
): Float64Array[] {
	const n = wanted.length;
	const rows = positions.map((moves) => {
		const values = forms.map((_, f) => moves.reduce((sum, p, m) => sum + own[f * moves.length + m]! * p, 0));
		return wanted.map((term) => term.reduce((product, form) => product * values[forms.indexOf(form)]!, 1));
	});
	const normal = new Float64Array(n * n);
	for (const row of rows)
		for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) normal[i * n + j]! += row[i]! * row[j]!;
	const inverse = inverseOf(normal, n);
	return wanted.map((_, i) =>
		Float64Array.from(rows, (row) => row.reduce((sum, value, j) => sum + inverse[i * n + j]! * value, 0)),
	);
}

function combined(shares: Float64Array, values: readonly Float64Array[]): Float64Array {
	const sum = new Float64Array(values[0]!.length);
	for (const [k, share] of shares.entries())
		for (let at = 0; at < sum.length; at++) sum[at]! += share * values[k]![at]!;
	return sum;
}

function pairsOf(bandCount: number): [number, number][] {
	const bands = Array.from({ length: bandCount }, (_, b) => b);
	return bands.flatMap((b) => bands.slice(0, b).map((a): [number, number] => [a, b]));
}

/** [nBands] */
function nearestBands(subject: VolumeSubject): number[] {
	const middles = bandStretches(subject).map(({ from, to }) => (from + to) / 2);
	return middles.map((z, b) =>
		middles.reduce(
			(best, other, k) =>
				k !== b && (best < 0 || Math.abs(other - z) < Math.abs(middles[best]! - z)) ? k : best,
			-1,
		),
	);
}

/** [forms × moves] of two bands. */
function formsOf([a, b]: readonly [number, number], count: number): Float64Array {
	const own = new Float64Array(forms.length * count);
	for (const [f, form] of forms.entries()) {
		const way = form.includes("slide") ? 0 : 1;
		own[f * count + 2 * a + way] = 0.5;
		own[f * count + 2 * b + way] = form.startsWith("sum") ? 0.5 : -0.5;
	}
	return own;
}

/**
 * Positions in [−1, 1] of each move: a Kronecker sequence (Niederreiter, Random Number Generation and Quasi-Monte Carlo
 * Methods, SIAM 1992, ch. 3), by cosines denser towards the ends, as polynomials want (Trefethen, Approximation Theory and
 * Approximation Practice, SIAM 2013, ch. 2).
 */
function spread(count: number, moves: number): Float64Array[] {
	// the root of x^(moves + 1) = x + 1, whose powers are far from all fractions
	let root = 1;
	for (let i = 0; i < 60; i++) root = (1 + root) ** (1 / (moves + 1));
	return Array.from({ length: count }, (_, i) =>
		Float64Array.from({ length: moves }, (_move, m) => {
			const at = 0.5 + (i + 1) * root ** -(m + 1);
			return -Math.cos(Math.PI * (at - Math.floor(at)));
		}),
	);
}
