import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { sensitivity, sensitivityInto } from "../../core/picture/sensitivity.ts";
import { createDiscMesh, createDiscSubject, trianglesOf } from "./create-disc.ts";
import { createRandom, norm, relativeDifference } from "./plain-algebra.ts";

function createInhomogeneous(count: number): Float64Array {
	const random = createRandom(7);
	return Float64Array.from({ length: count }, () => 0.3 * Math.exp(random()));
}

// The reference is the definition: central differences of the forward solution.
test.each([
	["four-terminal adjacent", "adjacent", "four-terminal"],
	["four-terminal skip-3", "skip-3", "four-terminal"],
	["two-terminal", "adjacent", "two-terminal"],
] as const)("%s sensitivities equal central differences of the readings", (_, drive, terminals) => {
	const mesh = createDiscMesh({ triangles: 400 });
	const { contactImpedance } = createDiscSubject();
	const solver = createMeshSolver(mesh);
	const pattern = createPattern(16, drive, terminals);
	const sigma = createInhomogeneous(trianglesOf(mesh));
	const rows = sensitivity(mesh, solver.solve(sigma, contactImpedance), pattern.terminals);
	const cells = trianglesOf(mesh);
	const readingCount = pattern.terminals.length / 4;
	for (const cell of [0, 57, Math.floor(cells / 2), cells - 1]) {
		const step = 1e-4 * sigma[cell]!;
		const shifted = [step, -step].map((change) => {
			const moved = sigma.slice();
			moved[cell]! += change;
			return readingsFrom(solver.solve(moved, contactImpedance), pattern, 1);
		});
		const difference = shifted[0]!.map((up, r) => (up - shifted[1]![r]!) / (2 * step));
		const column = Float64Array.from({ length: readingCount }, (__, r) => rows[r * cells + cell]!);
		expect(relativeDifference(column, difference)).toBeLessThan(1e-6);
	}
});

test("swapping or turning the pairs leaves the row as it is, up to sign (reciprocity)", () => {
	const mesh = createDiscMesh();
	const field = createMeshSolver(mesh).solve(
		createInhomogeneous(trianglesOf(mesh)),
		createDiscSubject().contactImpedance,
	);
	const cells = trianglesOf(mesh);
	const rows = sensitivity(mesh, field, Uint16Array.of(0, 1, 6, 7, 6, 7, 0, 1, 1, 0, 6, 7, 7, 6, 1, 0));
	const row = (i: number) => rows.subarray(i * cells, (i + 1) * cells);
	expect(relativeDifference(row(1), row(0))).toBeLessThan(1e-14);
	expect(
		relativeDifference(
			row(2).map((v) => -v),
			row(0),
		),
	).toBeLessThan(1e-14);
	expect(relativeDifference(row(3), row(0))).toBeLessThan(1e-14);
});

// Voltages of a homogeneous medium are proportional to 1/σ where contact does not matter, so Σ σ ∂V/∂σ = −V
// (Euler's theorem for homogeneous functions; with contact impedance scaled along).
test("a change of all conductivities together changes readings by Euler's theorem", () => {
	const mesh = createDiscMesh();
	const cells = trianglesOf(mesh);
	const sigma = new Float64Array(cells).fill(0.3);
	const field = createMeshSolver(mesh).solve(sigma, new Float64Array(16).fill(1e-7));
	const pattern = createPattern(16, "adjacent");
	const rows = sensitivity(mesh, field, pattern.terminals);
	const readings = readingsFrom(field, pattern, 1);
	const sums = readings.map(
		(_, r) => -0.3 * rows.subarray(r * cells, (r + 1) * cells).reduce((a, b) => a + b),
	);
	expect(relativeDifference(sums, readings)).toBeLessThan(1e-4);
	expect(norm(readings)).toBeGreaterThan(0);
});

test("refuses a field of another mesh and a target that is too small", () => {
	const mesh = createDiscMesh();
	const other = createDiscMesh({ triangles: 1200 });
	const field = createMeshSolver(mesh).solve(
		createInhomogeneous(trianglesOf(mesh)),
		createDiscSubject().contactImpedance,
	);
	const terminals = Uint16Array.of(0, 1, 2, 3);
	expect(() => sensitivity(other, field, terminals)).toThrow(/another mesh/);
	expect(() => sensitivityInto({ values: new Float64Array(10), stride: 10 }, mesh, field, terminals)).toThrow(
		RangeError,
	);
});
