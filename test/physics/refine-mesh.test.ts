import { describe, expect, test } from "vitest";
import { createOutline } from "../../core/limb/outline.ts";
import type { Mesh } from "../../core/mesh/mesh.ts";
import { createMiddleOfSide } from "../../core/physics/curved-sides.ts";
import { triangleMatrices } from "../../core/physics/elements.ts";
import { findEdges } from "../../core/physics/mesh-edges.ts";
import { createQuadraticMesh } from "../../core/physics/quadratic-mesh.ts";
import { refineAtNodes } from "../../core/physics/refine-mesh.ts";
import { createDiscMesh } from "./disc-mesh.ts";

const inner = { center: [0, 0], radius: 0.6 } as const;

function createDisc(scale = 1) {
	const mesh = createDiscMesh({
		radius: 1,
		electrodeCount: 8,
		electrodeWidth: 0.3,
		layerRadii: [inner.radius],
		perElectrode: 3 * scale,
		perGap: 4 * scale,
		coarsest: 0.15 / scale,
	});
	return { mesh, middleOfSide: createMiddleOfSide(createOutline({ type: "circle", radius: 1 }), [inner]) };
}

/** What any mesh must satisfy, however it was made. */
function validate(mesh: Mesh): { smallestAngle: number; area: number; innerArea: number } {
	const { nodes, triangles } = mesh;
	const edges = findEdges(triangles, nodes.length / 2);
	let smallestAngle = Math.PI;
	let area = 0;
	let innerArea = 0;
	for (let t = 0; t < triangles.length / 3; t++) {
		const [a, b, c] = [0, 1, 2].map((i) => {
			const v = triangles[3 * t + i]!;
			return [nodes[2 * v]!, nodes[2 * v + 1]!] as const;
		}) as [[number, number], [number, number], [number, number]];
		const own = ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / 2;
		expect(own).toBeGreaterThan(0);
		area += own;
		if (mesh.regionOf[t] === 1) innerArea += own;
		for (const [p, q, r] of [
			[a, b, c],
			[b, c, a],
			[c, a, b],
		] as const) {
			const turn = Math.atan2(
				(q[0] - p[0]) * (r[1] - p[1]) - (r[0] - p[0]) * (q[1] - p[1]),
				(q[0] - p[0]) * (r[0] - p[0]) + (q[1] - p[1]) * (r[1] - p[1]),
			);
			smallestAngle = Math.min(smallestAngle, turn);
		}
	}
	// a hanging node would leave a side with one triangle inside the disc
	const boundary = new Set<number>();
	for (let e = 0; e < edges.count; e++) {
		if (edges.triangles[2 * e + 1]! >= 0) continue;
		for (const v of edges.ends.subarray(2 * e, 2 * e + 2)) {
			expect(Math.hypot(nodes[2 * v]!, nodes[2 * v + 1]!)).toBeCloseTo(1, 12);
			boundary.add(v);
		}
	}
	expect(nodes.length / 2 - edges.count + triangles.length / 3).toBe(1); // Euler's formula for a disc
	expect([...mesh.electrodeEdges].every((v) => boundary.has(v))).toBe(true);
	return { smallestAngle, area, innerArea };
}

describe("refining at nodes", () => {
	test("keeps a whole mesh with its regions, and no angle below half of the smallest", () => {
		const { mesh, middleOfSide } = createDisc();
		const before = validate(mesh);
		const refined = refineAtNodes(mesh, [0, 3, 40], 6, middleOfSide);
		const after = validate(refined);
		// half of the smallest angle by Rivara's theorem; a little less since new nodes move onto the circle
		expect(after.smallestAngle).toBeGreaterThan(0.45 * before.smallestAngle);
		expect(after.area).toBeGreaterThan(before.area);
		expect(after.area).toBeLessThan(Math.PI);
		expect(after.innerArea).toBeGreaterThan(0.999 * before.innerArea);
		expect(after.innerArea).toBeLessThan(Math.PI * inner.radius ** 2);
		expect(refined.nodes.subarray(0, mesh.nodes.length)).toEqual(mesh.nodes);
	});

	test("makes triangles at the nodes small and leaves far ones alone", () => {
		const { mesh, middleOfSide } = createDisc();
		const refined = refineAtNodes(mesh, [0], 6, middleOfSide);
		const longestAt = (m: Mesh, node: number) => {
			const edges = findEdges(m.triangles, m.nodes.length / 2);
			let longest = 0;
			for (let e = 0; e < edges.count; e++) {
				const [a, b] = [edges.ends[2 * e]!, edges.ends[2 * e + 1]!];
				if (a !== node && b !== node) continue;
				longest = Math.max(
					longest,
					Math.hypot(m.nodes[2 * a]! - m.nodes[2 * b]!, m.nodes[2 * a + 1]! - m.nodes[2 * b + 1]!),
				);
			}
			return longest;
		};
		expect(longestAt(refined, 0)).toBeLessThanOrEqual(longestAt(mesh, 0) / 64);
		expect(longestAt(refined, 28)).toBe(longestAt(mesh, 28));
		expect(refined.triangles.length / mesh.triangles.length).toBeLessThan(1.3);
	});

	test("splits electrode edges with their electrode and remembers parents", () => {
		const { mesh, middleOfSide } = createDisc();
		const refined = refineAtNodes(mesh, mesh.electrodeEdges, 1, middleOfSide);
		const edgesUnder = (m: Mesh, l: number) =>
			m.electrodeOfEdge.filter((electrode) => electrode === l).length;
		for (let l = 0; l < 8; l++)
			expect(edgesUnder(refined, l)).toBeGreaterThanOrEqual(2 * edgesUnder(mesh, l));
		expect(refined.regionOf).toEqual(Uint8Array.from(refined.parentOf, (t) => mesh.regionOf[t]!));
	});
});

describe("curved quadratic triangles", () => {
	test("err in the areas of disc and inner circle by the fourth power of the mesh size (Ciarlet & Raviart 1972)", () => {
		const errors = [1, 2].map((scale) => {
			const { mesh, middleOfSide } = createDisc(scale);
			const quadratic = createQuadraticMesh(mesh, middleOfSide);
			const matrices = triangleMatrices(quadratic);
			// the energy of the potential x at conductivity 1 is the area
			let area = 0;
			let innerArea = 0;
			for (let t = 0, at = 0; t < mesh.regionOf.length; t++)
				for (let i = 0; i < 6; i++)
					for (let j = 0; j <= i; j++) {
						const x = (k: number) => quadratic.nodes[2 * quadratic.triangles[6 * t + k]!]!;
						const part = (i === j ? 1 : 2) * matrices[at++]! * x(i) * x(j);
						area += part;
						if (mesh.regionOf[t] === 1) innerArea += part;
					}
			return [Math.abs(area / Math.PI - 1), Math.abs(innerArea / (Math.PI * inner.radius ** 2) - 1)] as const;
		});
		expect(errors[0]![0]).toBeLessThan(1e-6);
		expect(errors[0]![1]).toBeLessThan(5e-5);
		expect(errors[0]![0] / errors[1]![0]).toBeGreaterThan(12);
		expect(errors[0]![1] / errors[1]![1]).toBeGreaterThan(12);
	});
});
