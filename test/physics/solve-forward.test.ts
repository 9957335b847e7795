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

	test("power fed in equals power lost in tissue and contacts, and each contact passes its current", () => {
		const { mesh, sigma, contactImpedance } = createSetup();
		const field = createMeshSolver(mesh).solve(sigma, contactImpedance);
		const nodeCount = mesh.nodes.length / 2;
		// 1 A into electrode 2, out of electrode 5
		const u = (v: number) =>
			field.nodePotentials[2 * nodeCount + v]! - field.nodePotentials[5 * nodeCount + v]!;
		const onElectrode = (l: number) => field.transfer[16 + l]! - field.transfer[40 + l]!;

		let lost = 0;
		for (let t = 0; t < sigma.length; t++) {
			const [a, b, c] = mesh.triangles.subarray(3 * t, 3 * t + 3) as unknown as [number, number, number];
			const at = (v: number) => [mesh.nodes[2 * v]!, mesh.nodes[2 * v + 1]!, u(v)] as const;
			const [xa, ya, ua] = at(a);
			const [xb, yb, ub] = at(b);
			const [xc, yc, uc] = at(c);
			const twice = (xb - xa) * (yc - ya) - (xc - xa) * (yb - ya);
			const gx = ((ub - ua) * (yc - ya) - (uc - ua) * (yb - ya)) / twice;
			const gy = ((uc - ua) * (xb - xa) - (ub - ua) * (xc - xa)) / twice;
			lost += (sigma[t]! * (gx * gx + gy * gy) * twice) / 2;
		}
		const current = new Float64Array(8);
		for (let e = 0; e < mesh.electrodeOfEdge.length; e++) {
			const l = mesh.electrodeOfEdge[e]!;
			const [a, b] = mesh.electrodeEdges.subarray(2 * e, 2 * e + 2) as unknown as [number, number];
			const length = Math.hypot(
				mesh.nodes[2 * a]! - mesh.nodes[2 * b]!,
				mesh.nodes[2 * a + 1]! - mesh.nodes[2 * b + 1]!,
			);
			const [p, q] = [onElectrode(l) - u(a), onElectrode(l) - u(b)];
			const z = contactImpedance[l]!;
			lost += ((length / z) * (p * p + p * q + q * q)) / 3;
			current[l]! += ((length / z) * (p + q)) / 2;
		}
		expect(lost / (onElectrode(2) - onElectrode(5))).toBeCloseTo(1, 11);
		for (let l = 0; l < 8; l++) expect(current[l]).toBeCloseTo(l === 2 ? 1 : l === 5 ? -1 : 0, 11);
	});

	test("is refused with one sentence when a conductivity or contact is not positive", () => {
		const { mesh, sigma, contactImpedance } = createSetup();
		const solver = createMeshSolver(mesh);
		expect(() => solver.solve(sigma.with(3, -1), contactImpedance)).toThrow(
			"sigma[3] must be positive and finite, got -1",
		);
		expect(() => solver.solve(sigma, contactImpedance.with(0, Number.NaN))).toThrow(
			"contactImpedance[0] must be positive and finite, got NaN",
		);
		expect(() => solver.solve(sigma.slice(1), contactImpedance)).toThrow("the mesh needs");
	});
});
