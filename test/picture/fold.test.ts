import { expect, test } from "vitest";
import type { ReadingPattern } from "../../core/band/band.ts";
import { createPattern, patternFromRows } from "../../core/band/patterns.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { foldInto, foldReadings } from "../../core/picture/fold.ts";
import { everyCell } from "../../core/picture/image-rows.ts";
import { createReconstruction } from "../../core/picture/reconstruction.ts";
import { sensitivity } from "../../core/picture/sensitivity.ts";
import { createDiscMesh, createDiscSubject, trianglesOf } from "./create-disc.ts";
import { createRandom, multiply, relativeDifference, solve, transpose } from "./plain-algebra.ts";

// Adjacent drive and reading on L electrodes: L(L − 3) readings, of which reciprocity leaves L(L − 3)/2 independent.
test.each([
	[16, "adjacent", 208, 104],
	[32, "adjacent", 928, 464],
	[16, "skip-2", 208, 104],
	[8, "adjacent", 40, 20],
] as const)("%i electrodes, %s: %i readings fold to %i", (electrodes, drive, readings, folded) => {
	const { terminals } = createPattern(electrodes, drive);
	expect(terminals.length / 4).toBe(readings);
	expect(foldReadings(terminals, electrodes, new Float64Array(readings).fill(1)).count).toBe(folded);
});

/** Many drives over few electrodes: more readings than an 8-electrode ring has independent ones. */
function createCrowdedPattern(): ReadingPattern {
	const rows: number[][] = [];
	for (let source = 0; source < 8; source++) {
		for (let sink = 0; sink < 8; sink++) {
			for (let plus = 0; plus < 8; plus++) {
				const minus = (plus + 1) % 8;
				if (source === sink || [plus, minus].some((e) => e === source || e === sink)) continue;
				rows.push([source, sink, plus, minus]);
			}
		}
	}
	return patternFromRows("crowded", 8, rows);
}

function createNoise(count: number, seed: number): Float64Array {
	const random = createRandom(seed);
	return Float64Array.from({ length: count }, () => 1e-3 * 10 ** random());
}

/** x = P·Jᵀ·(J·P·Jᵀ + λ²·Σ)⁻¹·y reading by reading, nothing folded. */
function unfolded(
	jacobian: Float64Array,
	cells: number,
	noise: Float64Array,
	lambda: number,
	count: number,
	y: Float64Array,
): Float64Array {
	const kept = Array.from(noise.keys()).filter((r) => noise[r] !== Infinity);
	const n = kept.length;
	const rows = new Float64Array(n * cells);
	for (const [i, r] of kept.entries()) rows.set(jacobian.subarray(r * cells, (r + 1) * cells), i * cells);
	const variance = new Float64Array(cells);
	for (const [i, r] of kept.entries()) {
		for (let k = 0; k < cells; k++) variance[k]! += (rows[i * cells + k]! / noise[r]!) ** 2;
	}
	const weighted = rows.map((value, i) => value / Math.sqrt(variance[i % cells]!));
	const data = multiply(rows, transpose(weighted, n, cells), n, cells, n);
	// λ is relative to the mean variance of the folded, whitened readings
	let trace = 0;
	for (const [i, r] of kept.entries()) trace += data[i * n + i]! / noise[r]! ** 2;
	for (const [i, r] of kept.entries())
		data[i * n + i]! += lambda ** 2 * (trace / count) * noise[r]! * noise[r]!;
	const answer = solve(
		data,
		Float64Array.from(kept, (r) => y[r]!),
	);
	return multiply(transpose(weighted, n, cells), answer, cells, n, 1);
}

test.each([
	["reciprocal pairs", createPattern(16, "adjacent"), 16, false],
	["reciprocal pairs, some readings left out", createPattern(16, "adjacent"), 16, true],
	["more readings than independent ones", createCrowdedPattern(), 8, false],
	["the same, some readings left out", createCrowdedPattern(), 8, true],
] as const)(
	"folding %s gives exactly the picture of the unfolded formula",
	(_, pattern, electrodes, leaveOut) => {
		const mesh = createDiscMesh({ electrodeCount: electrodes, triangles: 300 });
		const cells = trianglesOf(mesh);
		const sigma = new Float64Array(cells).fill(0.3);
		const field = createMeshSolver(mesh).solve(sigma, createDiscSubject(electrodes).contactImpedance);
		const count = pattern.terminals.length / 4;
		const noise = createNoise(count, 11);
		if (leaveOut) for (const r of [0, 5, 17]) noise[r] = Infinity;
		const options = {
			mesh,
			sigma,
			field,
			pattern,
			ohmPerUnit: new Float64Array(count).fill(1),
			deviation: noise,
			prior: "diagonal",
			rule: "noise-figure",
		} as const;
		const reconstruction = createReconstruction(options);
		const { fold } = reconstruction;
		expect(fold.mix.kind).toBe(electrodes === 8 ? "independent" : "reciprocal");
		const random = createRandom(3);
		const y = Float64Array.from({ length: count }, random);
		const whitened = new Float64Array(fold.count);
		foldInto(fold, y, whitened);
		const { values, rowStride } = reconstruction.matrixOf(everyCell(cells));
		const folded = new Float64Array(cells);
		for (let j = 0; j < fold.count; j++) {
			for (let k = 0; k < cells; k++) folded[k]! += values[j * rowStride + k]! * whitened[j]!;
		}
		const jacobian = sensitivity(mesh, field, pattern.terminals);
		const plain = unfolded(jacobian, cells, noise, reconstruction.strength.lambda, fold.count, y);
		expect(relativeDifference(folded, plain)).toBeLessThan(1e-5);
	},
);

test("whitened values have unit variance and the readings' information", () => {
	const pattern = createCrowdedPattern();
	const count = pattern.terminals.length / 4;
	const noise = createNoise(count, 4);
	const fold = foldReadings(pattern.terminals, 8, noise);
	// covariance of the whitened values = F·Σ·Fᵀ, built column by column
	const f = new Float64Array(fold.count * count);
	const unit = new Float64Array(count);
	const whitened = new Float64Array(fold.count);
	for (let r = 0; r < count; r++) {
		unit.fill(0);
		unit[r] = noise[r]!;
		foldInto(fold, unit, whitened);
		for (let i = 0; i < fold.count; i++) f[i * count + r] = whitened[i]!;
	}
	const covariance = multiply(f, transpose(f, fold.count, count), fold.count, count, fold.count);
	for (let i = 0; i < fold.count ** 2; i++) {
		expect(covariance[i]).toBeCloseTo(i % (fold.count + 1) === 0 ? 1 : 0, 8);
	}
	// a reciprocal medium's readings lose nothing: the energy of the whitened values is that of the readings
	const mesh = createDiscMesh({ electrodeCount: 8, triangles: 300 });
	const field = createMeshSolver(mesh).solve(
		new Float64Array(trianglesOf(mesh)).fill(0.3),
		createDiscSubject(8).contactImpedance,
	);
	const readings = readingsFrom(field, pattern, 1);
	foldInto(fold, readings, whitened);
	const energy = readings.reduce((sum, v, r) => sum + (v / noise[r]!) ** 2, 0);
	expect(whitened.reduce((sum, v) => sum + v * v, 0) / energy).toBeCloseTo(1, 10);
});

test("refuses noise that is not above zero, and a frame with nothing left", () => {
	const { terminals } = createPattern(8, "adjacent");
	const noise = new Float64Array(40).fill(1);
	noise[3] = 0;
	expect(() => foldReadings(terminals, 8, noise)).toThrow(/deviation 3/);
	expect(() => foldReadings(terminals, 8, new Float64Array(40).fill(Infinity))).toThrow(/no reading is left/);
	expect(() => foldReadings(terminals, 8, new Float64Array(39).fill(1))).toThrow(RangeError);
});
