import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createCholeskyWorkspace, factorise, solveFactored } from "../../core/physics/cholesky.ts";
import { createSparseStructure } from "../../core/physics/sparse-structure.ts";
import { createDiscMesh } from "./disc-mesh.ts";

interface Cliques {
	readonly count: number;
	readonly start: Int32Array;
	readonly members: Int32Array;
	readonly places: Float64Array;
}

/** Any cliques on any places, connected or not: the structure must not rely on a mesh. */
const cliques = fc
	.integer({ min: 1, max: 40 })
	.chain((count) =>
		fc.record({
			count: fc.constant(count),
			groups: fc.array(
				fc.uniqueArray(fc.integer({ min: 0, max: count - 1 }), { minLength: 1, maxLength: 6 }),
				{
					maxLength: 60,
				},
			),
			places: fc.array(fc.integer({ min: -5, max: 5 }), { minLength: 2 * count, maxLength: 2 * count }),
		}),
	)
	.map(({ count, groups, places }): Cliques => {
		// every unknown in some clique
		const all = [...groups, ...Array.from({ length: count }, (_, i) => [i])];
		const start = Int32Array.from(
			[0, ...all].map((_, i) => all.slice(0, i).reduce((n, g) => n + g.length, 0)),
		);
		return { count, start, members: Int32Array.from(all.flat()), places: Float64Array.from(places) };
	});

/** Adds a positive definite block for each clique, to the panels and to a dense matrix alike. */
function assemble({ count, start, members, places }: Cliques) {
	const structure = createSparseStructure(count, start, members, places);
	const workspace = createCholeskyWorkspace(structure);
	const dense = new Float64Array(count * count);
	let entry = 0;
	for (let c = 0; c + 1 < start.length; c++)
		for (let i = start[c]!; i < start[c + 1]!; i++)
			for (let j = start[c]!; j <= i; j++) {
				const value = i === j ? 4 + (members[i]! % 3) : ((i * 7 + j * 3) % 5) / 7 - 0.3;
				workspace.panels[structure.entryPosition[entry++]!]! += value;
				dense[members[i]! * count + members[j]!]! += value;
				if (i !== j) dense[members[j]! * count + members[i]!]! += value;
			}
	return { structure, workspace, dense };
}

describe("the sparse Cholesky solver", () => {
	test("solves any system of positive definite cliques, checked by multiplying back", () => {
		fc.assert(
			fc.property(cliques, fc.integer({ min: 1, max: 6 }), (system, columns) => {
				const { count } = system;
				const { structure, workspace, dense } = assemble(system);
				expect(factorise(workspace)).toBe(true);
				const x = new Float64Array(count * columns);
				const right = Float64Array.from({ length: count * columns }, (_, i) => Math.sin(1 + i));
				for (let v = 0; v < count; v++)
					x.set(right.subarray(v * columns, (v + 1) * columns), structure.placeOf[v]! * columns);
				solveFactored(workspace, x, columns);
				for (let v = 0; v < count; v++)
					for (let c = 0; c < columns; c++) {
						let product = 0;
						for (let w = 0; w < count; w++)
							product += dense[v * count + w]! * x[structure.placeOf[w]! * columns + c]!;
						expect(product).toBeCloseTo(right[v * columns + c]!, 10);
					}
			}),
			{ seed: 20, numRuns: 150 },
		);
	});

	test("eliminates each unknown once", () => {
		fc.assert(
			fc.property(cliques, ({ count, start, members, places }) => {
				const { placeOf } = createSparseStructure(count, start, members, places);
				expect([...placeOf].sort((a, b) => a - b)).toEqual(Array.from({ length: count }, (_, i) => i));
			}),
			{ seed: 21, numRuns: 100 },
		);
	});

	test("says so when the matrix is not positive definite", () => {
		const structure = createSparseStructure(
			2,
			Int32Array.of(0, 2),
			Int32Array.of(0, 1),
			Float64Array.of(0, 0, 1, 0),
		);
		const workspace = createCholeskyWorkspace(structure);
		[1, 2, 1].forEach((value, i) => {
			workspace.panels[structure.entryPosition[i]!] = value;
		});
		expect(factorise(workspace)).toBe(false);
	});

	test("stores O(N log N) numbers for a mesh of N nodes (George 1973)", () => {
		const fill = (scale: number) => {
			const mesh = createDiscMesh({
				radius: 1,
				electrodeCount: 16,
				electrodeWidth: 0.1,
				perElectrode: 3 * scale,
				perGap: 4 * scale,
				coarsest: 0.1 / scale,
			});
			const start = Int32Array.from({ length: mesh.triangles.length / 3 + 1 }, (_, t) => 3 * t);
			const nodeCount = mesh.nodes.length / 2;
			const structure = createSparseStructure(nodeCount, start, Int32Array.from(mesh.triangles), mesh.nodes);
			const numbers = structure.panelStart[structure.supernodeCount]!;
			return numbers / (nodeCount * Math.log2(nodeCount));
		};
		const [coarse, fine] = [fill(1), fill(8)];
		expect(fine).toBeLessThan(1.6 * coarse);
		// general-purpose orderings need about this much on plane meshes (31/4 n log₂ n bounds nested dissection of a
		// square grid: George & Liu, Computer Solution of Large Sparse Positive Definite Systems, 1981)
		expect(fine).toBeLessThan(31 / 4);
	});
});
