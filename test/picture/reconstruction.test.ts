import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createMeshSolver } from "../../core/physics/solve-forward.ts";
import { foldInto } from "../../core/picture/fold.ts";
import {
	cellAreas,
	cellCentres,
	everyCell,
	meansOver,
	nodeRows,
	stackRows,
} from "../../core/picture/image-rows.ts";
import { addSquares, createPrior, type PriorName } from "../../core/picture/prior.ts";
import { createReconstruction, type Reconstruction } from "../../core/picture/reconstruction.ts";
import { sensitivity } from "../../core/picture/sensitivity.ts";
import { createDiscMesh, createDiscSubject, trianglesOf } from "./create-disc.ts";
import { createRandom, multiply, relativeDifference, solve, transpose } from "./plain-algebra.ts";

function createProblem(prior: PriorName, triangles = 300) {
	const mesh = createDiscMesh({ electrodeCount: 8, triangles });
	const sigma = new Float64Array(trianglesOf(mesh)).fill(0.3);
	const field = createMeshSolver(mesh).solve(sigma, createDiscSubject(8).contactImpedance);
	const pattern = createPattern(8, "adjacent");
	const deviation = Float64Array.from({ length: 40 }, (_, r) => 1e-3 * (1 + (r % 5)));
	const reconstruction = createReconstruction({
		mesh,
		sigma,
		field,
		pattern,
		ohmPerUnit: new Float64Array(40).fill(1),
		deviation,
		prior,
		rule: "noise-figure",
	});
	return { mesh, sigma, field, pattern, deviation, reconstruction };
}

function apply(reconstruction: Reconstruction, y: Float64Array, rows = everyCell(reconstruction.cellCount)) {
	const { values, rowStride, rowCount } = reconstruction.matrixOf(rows);
	const whitened = new Float64Array(reconstruction.fold.count);
	foldInto(reconstruction.fold, y, whitened);
	const result = new Float64Array(rowCount);
	for (let j = 0; j < whitened.length; j++) {
		for (let k = 0; k < rowCount; k++) result[k]! += values[j * rowStride + k]! * whitened[j]!;
	}
	return result;
}

function createChange(): Float64Array {
	return Float64Array.from({ length: 40 }, createRandom(9));
}

// The data-space form equals the normal equations (JᵀWJ + λ²·P⁻¹)·x = JᵀW·y: the standard identity.
test("the data-space form equals the normal equations over cells", () => {
	const { mesh, field, pattern, deviation, reconstruction } = createProblem("diagonal");
	const cells = trianglesOf(mesh);
	const whitened = sensitivity(mesh, field, pattern.terminals).map(
		(value, i) => value / deviation[Math.floor(i / cells)]!,
	);
	const y = createChange();
	const normal = multiply(transpose(whitened, 40, cells), whitened, cells, 40, cells);
	const variance = Float64Array.from({ length: cells }, (_, k) => 1 / Math.sqrt(normal[k * cells + k]!));
	let trace = 0;
	for (let i = 0; i < whitened.length; i++) trace += whitened[i]! ** 2 * variance[i % cells]!;
	const strength = (reconstruction.strength.lambda ** 2 * trace) / reconstruction.fold.count;
	for (let k = 0; k < cells; k++) normal[k * cells + k]! += strength / variance[k]!;
	const right = multiply(
		transpose(whitened, 40, cells),
		y.map((v, r) => v / deviation[r]!),
		cells,
		40,
		1,
	);
	expect(relativeDifference(apply(reconstruction, y), solve(normal, right))).toBeLessThan(1e-5);
});

test("only the ratios of the noise matter", () => {
	const { mesh, sigma, field, pattern, deviation, reconstruction } = createProblem("diagonal");
	const louder = createReconstruction({
		mesh,
		sigma,
		field,
		pattern,
		ohmPerUnit: new Float64Array(40).fill(1),
		deviation: deviation.map((s) => 1e4 * s),
		prior: "diagonal",
		rule: "noise-figure",
	});
	const y = createChange();
	expect(louder.strength.lambda).toBeCloseTo(reconstruction.strength.lambda, 8);
	expect(relativeDifference(apply(louder, y), apply(reconstruction, y))).toBeLessThan(1e-6);
});

test("readings in another unit give the same picture", () => {
	const { mesh, sigma, field, pattern, deviation, reconstruction } = createProblem("laplace");
	const inMillivolts = createReconstruction({
		mesh,
		sigma,
		field,
		pattern,
		ohmPerUnit: new Float64Array(40).fill(1e-3),
		deviation: deviation.map((s) => 1e3 * s),
		prior: "laplace",
		rule: "noise-figure",
	});
	const y = createChange();
	expect(relativeDifference(apply(inMillivolts, y), apply(reconstruction, y))).toBeLessThan(1e-6);
});

test.each(["diagonal", "laplace"] as const)(
	"region and node means equal the means over a %s picture",
	(prior) => {
		const { mesh, reconstruction } = createProblem(prior);
		const areas = cellAreas(mesh);
		const centres = cellCentres(mesh);
		const regions = [-1, 1].map((side) =>
			Array.from(areas.keys()).filter((k) => side * centres[2 * k]! > 0.02),
		);
		const nodes = nodeRows(mesh, areas);
		const rows = stackRows(nodes, meansOver(regions, areas));
		const y = createChange();
		const cells = apply(reconstruction, y);
		const direct = apply(reconstruction, y, rows);
		const meanOf = (set: readonly number[]) =>
			set.reduce((sum, k) => sum + areas[k]! * cells[k]!, 0) / set.reduce((sum, k) => sum + areas[k]!, 0);
		const around = Array.from({ length: nodes.count }, (_, node) =>
			Array.from(areas.keys()).filter((k) => mesh.triangles.subarray(3 * k, 3 * k + 3).includes(node)),
		);
		const means = [...around, ...regions].map(meanOf);
		expect(relativeDifference(direct, means)).toBeLessThan(1e-6);
	},
);

// Cheney, Isaacson, Newell et al. 1990 with exponent ½, of sensitivities to shares of σ: P = S·diag(SAᵀAS)^−½·S.
test("the diagonal prior is the sensitivities' column norm, inverted, in shares of the conductivity", () => {
	const mesh = createDiscMesh({ electrodeCount: 8, triangles: 300 });
	const areas = cellAreas(mesh);
	const cells = areas.length;
	const left = Float64Array.from({ length: 3 * cells }, createRandom(2));
	const right = new Float64Array(3 * cells);
	const rows = { rowCount: 3, stride: cells, left, right };
	const squares = new Float64Array(cells);
	addSquares(rows, squares);
	const sigma = areas.map((_, k) => (k % 3 === 0 ? 0.02 : 0.35));
	createPrior("diagonal", mesh, areas, sigma, squares).apply(rows);
	for (const k of [0, 100, cells - 1]) {
		const norm = sigma[k]! * Math.hypot(left[k]!, left[cells + k]!, left[2 * cells + k]!);
		for (let i = 0; i < 3; i++)
			expect(right[i * cells + k]! / left[i * cells + k]!).toBeCloseTo(sigma[k]! ** 2 / norm, 10);
	}
});

// P = S·(LᵀL)⁻¹·S with L = 1/ℓ² − ∇². For a share that is even everywhere ∇² vanishes, so ∫(LᵀL)⁻¹ = ℓ⁴ there.
test("the Laplace prior turns an even share into ℓ⁴ times itself, and is symmetric", () => {
	const mesh = createDiscMesh({ electrodeCount: 8, triangles: 300 });
	const areas = cellAreas(mesh);
	const cells = areas.length;
	const left = new Float64Array(3 * cells);
	const sigma = areas.map((_, k) => (k % 3 === 0 ? 0.02 : 0.35));
	left.set(areas.map((area, k) => area / sigma[k]!));
	left[cells + 20] = 1;
	left[2 * cells + 200] = 1;
	const right = new Float64Array(3 * cells);
	createPrior("laplace", mesh, areas, sigma, areas).apply({ rowCount: 3, stride: cells, left, right });
	const total = areas.reduce((sum, a) => sum + a, 0);
	const length4 = 0.3 ** 4 * (total / Math.PI) ** 2;
	for (const k of [0, 20, 200, cells - 1]) expect(right[k]! / sigma[k]! / length4).toBeCloseTo(1, 8);
	expect(right[cells + 200]! / right[2 * cells + 20]!).toBeCloseTo(1, 10);
	expect(right[cells + 20]!).toBeGreaterThan(Math.abs(right[cells + 200]!));
});

test.each(["diagonal", "laplace"] as const)(
	"a %s picture hardly depends on how fine the mesh is",
	(prior) => {
		const means = [2000, 8000].map((triangles) => {
			const { mesh, field, reconstruction } = createProblem(prior, triangles);
			const areas = cellAreas(mesh);
			const centres = cellCentres(mesh);
			const within = (x: number, y: number) =>
				Array.from(areas.keys()).filter(
					(k) => Math.hypot(centres[2 * k]! - x, centres[2 * k + 1]! - y) < 0.025,
				);
			const pattern = createPattern(8, "adjacent");
			const rows = sensitivity(mesh, field, pattern.terminals);
			const change = new Float64Array(40);
			for (const k of within(0.04, 0.02)) {
				for (let r = 0; r < 40; r++) change[r]! += 0.01 * rows[r * areas.length + k]!;
			}
			const places = [within(0.04, 0.02), within(-0.04, 0), within(0, 0), within(0, 0.06)];
			return apply(reconstruction, change, meansOver(places, areas));
		});
		expect(relativeDifference(means[0]!, means[1]!)).toBeLessThan(0.03);
	},
);
