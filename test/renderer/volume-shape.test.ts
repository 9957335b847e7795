import { describe, expect, test } from "vitest";
import { atCut, createTetrahedraCutter } from "../../renderer/draw/cut-tetrahedra.ts";
import { createVolumeShape, layerAt, sectionAt, valuesAt } from "../../renderer/draw/volume-shape.ts";
import { createVolume } from "./create-volume.ts";

/** Of a tetrahedron in axes whose x is turned round. */
function volumeOf(positions: Float32Array, nodes: Uint32Array): number {
	const [a, b, c, d] = Array.from(nodes, (node) => [
		-positions[3 * node]!,
		positions[3 * node + 1]!,
		positions[3 * node + 2]!,
	]);
	const [u, v, w] = [b!, c!, d!].map((p) => p.map((x, i) => x - a![i]!));
	return (
		(u![0]! * (v![1]! * w![2]! - v![2]! * w![1]!) -
			u![1]! * (v![0]! * w![2]! - v![2]! * w![0]!) +
			u![2]! * (v![0]! * w![1]! - v![1]! * w![0]!)) /
		6
	);
}

describe("prisms as tetrahedra", () => {
	const scales = Array.from({ length: 17 }, (_, k) => 1 + 0.02 * k);
	const shape = createVolumeShape(createVolume({ scales }));

	test("are all of positive volume and fill the limb", () => {
		let sum = 0;
		for (let at = 0; at < shape.tetrahedra.length; at += 4) {
			const volume = volumeOf(shape.positions, shape.tetrahedra.subarray(at, at + 4));
			expect(volume).toBeGreaterThan(0);
			sum += volume;
		}
		// A frustum of a regular 32-gon: h/3 (A₁ + A₂ + √(A₁A₂)).
		const area = (k: number): number => 16 * Math.sin((2 * Math.PI) / 32) * (0.08 * scales[k]!) ** 2;
		const [low, high] = [area(shape.lowest), area(shape.highest)];
		const length = shape.high - shape.low;
		expect(sum / ((length / 3) * (low + high + Math.sqrt(low * high)))).toBeCloseTo(1, 4);
	});

	test("agree at their common sides: a cut has no cracks", () => {
		const cutter = createTetrahedraCutter(shape.tetrahedra, shape.nodeCount);
		const field = Float32Array.from({ length: shape.nodeCount }, (_, i) => {
			const [x, y, z] = shape.positions.subarray(3 * i, 3 * i + 3);
			return 0.03 - Math.hypot(x! - 0.01, y! + 0.012, z! - 0.203);
		});
		const cut = cutter.cutAt(field, 0);
		const sides = new Map<string, number>();
		for (let i = 0; i < 3 * cut.triangleCount; i++) {
			const from = cut.triangles[i]!;
			const to = cut.triangles[i % 3 === 2 ? i - 2 : i + 1]!;
			const key = `${Math.min(from, to)} ${Math.max(from, to)}`;
			sides.set(key, (sides.get(key) ?? 0) + (from < to ? 1 : -1));
		}
		expect(cut.triangleCount).toBeGreaterThan(50);
		expect([...sides.values()].every((sum) => sum === 0)).toBe(true);
	});
});

test("the limb is drawn a little beyond its bands", () => {
	const shape = createVolumeShape(createVolume({ bandHeights: [0.2] }));
	expect(shape.low).toBeCloseTo(0.14);
	expect(shape.high).toBeCloseTo(0.26);
	expect(shape.middle).toEqual([expect.closeTo(0), expect.closeTo(0), 0.2]);
});

describe("a cross-section", () => {
	const shape = createVolumeShape(createVolume({ bandHeights: [0.2, 0.16] }));
	const linear = (x: number, y: number, z: number): number => 3 * x - 2 * y + 5 * z - 1;
	const values = Float32Array.from({ length: shape.nodeCount }, (_, i) =>
		linear(shape.positions[3 * i]!, shape.positions[3 * i + 1]!, shape.positions[3 * i + 2]!),
	);

	test.each([0.2, 0.1735, 0.14, 0.26])("at %f m holds a linear field exactly", (height) => {
		const section = sectionAt(shape, height, []);
		const into = new Float32Array(shape.geometry.nodesPerLevel);
		valuesAt(shape, height, values, into);
		for (let v = 0; v < into.length; v++)
			expect(into[v]).toBeCloseTo(linear(section.nodes[2 * v]!, section.nodes[2 * v + 1]!, height), 5);
	});

	test("shows the same values as the plane that is cut there", () => {
		const cutter = createTetrahedraCutter(shape.tetrahedra, shape.nodeCount);
		const z = Float32Array.from({ length: shape.nodeCount }, (_, i) => shape.positions[3 * i + 2]!);
		const cut = cutter.cutAt(z, 0.1837);
		const shown = new Float32Array(cut.vertexCount);
		const places = new Float32Array(3 * cut.vertexCount);
		atCut(cut, values, 1, shown);
		atCut(cut, shape.positions, 3, places);
		for (let v = 0; v < cut.vertexCount; v++)
			expect(shown[v]).toBeCloseTo(linear(places[3 * v]!, places[3 * v + 1]!, 0.1837), 5);
	});

	test("shows the electrodes of the band that is there, also over the seam, and none between bands", () => {
		expect(sectionAt(shape, 0.2, []).electrodes.map(({ number }) => number)).toEqual([1, 2, 3, 4]);
		const { electrodes, bandIndex } = sectionAt(shape, 0.158, []);
		expect(bandIndex).toBe(1);
		for (const { arc } of electrodes) expect(arc).toHaveLength(3);
		const [first] = electrodes;
		expect(first!.arc[0]![1]).toBeLessThan(0);
		expect(first!.arc[2]![1]).toBeGreaterThan(0);
		expect(sectionAt(shape, 0.177, []).electrodes).toEqual([]);
	});

	test("outlines each region once around", () => {
		const [inner, front] = sectionAt(shape, 0.2, []).regions;
		expect(inner!.outline).toHaveLength(32);
		for (const [x, y] of inner!.outline) expect(Math.hypot(x, y)).toBeCloseTo(0.04);
		// half of the inner and of the outer ring
		expect(front!.outline).toHaveLength(2 * 17 + 2 * 3);
	});
});

test("a height between levels lies where it belongs, and outside at the nearest", () => {
	const levels = [0.1, 0.2, 0.4];
	expect(layerAt(levels, 0.3)).toEqual({ below: 1, share: expect.closeTo(0.5) });
	expect(layerAt(levels, 0.2)).toEqual({ below: 1, share: 0 });
	expect(layerAt(levels, 0.05)).toEqual({ below: 0, share: 0 });
	expect(layerAt(levels, 0.5)).toEqual({ below: 1, share: 1 });
});
