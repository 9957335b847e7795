import { describe, expect, test } from "vitest";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { createDiscMesh } from "./disc-mesh.ts";

function createSetup() {
	const mesh = createDiscMesh({
		radius: 0.08,
		electrodeCount: 8,
		electrodeWidth: 0.02,
		perElectrode: 4,
		perGap: 6,
		coarsest: 0.08,
	});
	// no symmetry left: every triangle and every contact differs
	const sigma = Float64Array.from(mesh.regionOf, (_, t) => 0.2 + 0.3 * Math.sin(t) ** 2);
	const contactImpedance = Float64Array.from({ length: 8 }, (_, l) => 1e-3 * (l + 1));
	return { mesh, sigma, contactImpedance };
}

describe("the complete electrode model's conservation laws (Somersalo, Cheney & Isaacson 1992)", () => {
	test("potentials of the electrodes sum to zero for every current", () => {
		const { mesh, sigma, contactImpedance } = createSetup();
		const { transfer } = createMeshSolver(mesh).solve(sigma, contactImpedance);
		for (let l = 0; l < 8; l++) {
			const row = transfer.subarray(8 * l, 8 * l + 8);
			expect(Math.abs(row.reduce((sum, v) => sum + v, 0))).toBeLessThan(1e-12 * row[l]!);
		}
	});

	test("what electrode m sees of a current into l equals what l sees of one into m", () => {
		const { mesh, sigma, contactImpedance } = createSetup();
		const { transfer } = createMeshSolver(mesh).solve(sigma, contactImpedance);
		for (let l = 0; l < 8; l++)
			for (let m = 0; m < l; m++)
				expect(Math.abs(transfer[8 * l + m]! - transfer[8 * m + l]!)).toBeLessThan(1e-12 * transfer[9 * l]!);
	});

	test("a reading scales with the current and with a common scale of all resistances", () => {
		const { mesh, sigma, contactImpedance } = createSetup();
		const pattern = { name: "one", electrodeCount: 8, terminals: Uint16Array.of(0, 1, 4, 5) };
		const solver = createMeshSolver(mesh);
		const once = readingsFrom(solver.solve(sigma, contactImpedance), pattern, 1)[0]!;
		const scaled = readingsFrom(
			solver.solve(
				sigma.map((s) => s / 7),
				contactImpedance.map((z) => z * 7),
			),
			pattern,
			2e-3,
		)[0]!;
		expect(scaled / once).toBeCloseTo(14e-3, 12);
	});
});
