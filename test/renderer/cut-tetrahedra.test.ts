import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { atCut, type Cut, createTetrahedraCutter } from "../../renderer/draw/cut-tetrahedra.ts";

/** A cube from −1 to 1 of n³ small ones, each of six tetrahedra around its diagonal (Freudenthal 1942). */
function createCube(n: number): { positions: Float32Array; tetrahedra: Uint32Array; nodeCount: number } {
	const side = n + 1;
	const positions = new Float32Array(3 * side ** 3);
	const at = (x: number, y: number, z: number): number => (z * side + y) * side + x;
	for (let z = 0; z < side; z++)
		for (let y = 0; y < side; y++)
			for (let x = 0; x < side; x++)
				positions.set([(2 * x) / n - 1, (2 * y) / n - 1, (2 * z) / n - 1], 3 * at(x, y, z));
	const tetrahedra: number[] = [];
	const orders = [
		[0, 1, 2, 1],
		[0, 2, 1, -1],
		[1, 0, 2, -1],
		[1, 2, 0, 1],
		[2, 0, 1, 1],
		[2, 1, 0, -1],
	] as const;
	for (let z = 0; z < n; z++)
		for (let y = 0; y < n; y++)
			for (let x = 0; x < n; x++)
				for (const [i, j, , sign] of orders) {
					const corner = [x, y, z];
					const nodes = [at(x, y, z)];
					for (const axis of [i, j]) {
						corner[axis]!++;
						nodes.push(at(corner[0]!, corner[1]!, corner[2]!));
					}
					nodes.push(at(x + 1, y + 1, z + 1));
					// A path along the axes in an odd order makes a tetrahedron of negative volume.
					if (sign < 0) nodes.splice(1, 2, nodes[2]!, nodes[1]!);
					tetrahedra.push(...nodes);
				}
	return { positions, tetrahedra: Uint32Array.from(tetrahedra), nodeCount: side ** 3 };
}

function fieldOf(positions: Float32Array, f: (x: number, y: number, z: number) => number): Float32Array {
	return Float32Array.from({ length: positions.length / 3 }, (_, i) =>
		f(positions[3 * i]!, positions[3 * i + 1]!, positions[3 * i + 2]!),
	);
}

/** Area, and by the divergence theorem the volume inside. */
function measure(cut: Cut, positions: Float32Array): { area: number; volume: number } {
	const p = new Float32Array(3 * cut.vertexCount);
	atCut(cut, positions, 3, p);
	let area = 0;
	let volume = 0;
	for (let t = 0; t < 3 * cut.triangleCount; t += 3) {
		const [a, b, c] = [0, 1, 2].map((i) =>
			Array.from(p.subarray(3 * cut.triangles[t + i]!, 3 * cut.triangles[t + i]! + 3)),
		);
		const u = b!.map((v, i) => v - a![i]!);
		const v = c!.map((w, i) => w - a![i]!);
		const normal = [
			u[1]! * v[2]! - u[2]! * v[1]!,
			u[2]! * v[0]! - u[0]! * v[2]!,
			u[0]! * v[1]! - u[1]! * v[0]!,
		];
		area += Math.hypot(...normal) / 2;
		volume += (a![0]! * normal[0]! + a![1]! * normal[1]! + a![2]! * normal[2]!) / 6;
	}
	return { area, volume };
}

/** How often each side of a triangle is run one way and the other. */
function sidesOf(cut: Cut): Map<string, number> {
	const sides = new Map<string, number>();
	for (let i = 0; i < 3 * cut.triangleCount; i++) {
		const from = cut.triangles[i]!;
		const to = cut.triangles[i % 3 === 2 ? i - 2 : i + 1]!;
		const key = from < to ? `${from} ${to}` : `${to} ${from}`;
		sides.set(key, (sides.get(key) ?? 0) + (from < to ? 1 : -1));
	}
	return sides;
}

const sphere = (x: number, y: number, z: number): number => 0.7 - Math.hypot(x, y, z);

describe("the surface of a sphere's field", () => {
	// 4πr² and 4/3 πr³; the field is only linear between nodes, so both are short by a share that falls with h²: each
	// halving of the grid leaves a quarter.
	test.each([
		[10, 0.042],
		[20, 0.0105],
		[40, 0.0026],
	])("in a grid of %i has the sphere's area and volume to %f", (n, tolerance) => {
		const { positions, tetrahedra, nodeCount } = createCube(n);
		const cut = createTetrahedraCutter(tetrahedra, nodeCount).cutAt(fieldOf(positions, sphere), 0);
		const { area, volume } = measure(cut, positions);
		expect(Math.abs(area / (4 * Math.PI * 0.7 ** 2) - 1)).toBeLessThan(tolerance);
		expect(Math.abs(volume / ((4 / 3) * Math.PI * 0.7 ** 3) - 1)).toBeLessThan(tolerance);
	});

	test("is closed, turned one way, and of one piece: V − E + F = 2 (Euler)", () => {
		const { positions, tetrahedra, nodeCount } = createCube(12);
		const cut = createTetrahedraCutter(tetrahedra, nodeCount).cutAt(fieldOf(positions, sphere), 0);
		const sides = sidesOf(cut);
		expect([...sides.values()].every((sum) => sum === 0)).toBe(true);
		expect(cut.vertexCount - sides.size + cut.triangleCount).toBe(2);
	});

	test("is turned inside out when the field is", () => {
		const { positions, tetrahedra, nodeCount } = createCube(12);
		const cutter = createTetrahedraCutter(tetrahedra, nodeCount);
		const outward = measure(cutter.cutAt(fieldOf(positions, sphere), 0), positions);
		const inward = measure(
			cutter.cutAt(
				fieldOf(positions, (...p) => -sphere(...p)),
				0,
			),
			positions,
		);
		expect(inward.volume).toBeCloseTo(-outward.volume, 6);
		expect(inward.area).toBeCloseTo(outward.area, 6);
	});
});

describe("a plane through a cube", () => {
	const { positions, tetrahedra, nodeCount } = createCube(5);
	const cutter = createTetrahedraCutter(tetrahedra, nodeCount);

	test.each([0.17, 0, 0.2, -0.6])("at %f, between nodes and through them, has the cube's section", (at) => {
		const cut = cutter.cutAt(
			fieldOf(positions, (x) => x),
			Math.fround(at),
		);
		expect(measure(cut, positions).area).toBeCloseTo(4, 5);
	});

	test("interpolates every linear field exactly", () => {
		const slope = fc.double({ min: -3, max: 3, noNaN: true });
		fc.assert(
			fc.property(
				slope,
				slope,
				slope,
				slope,
				fc.double({ min: -0.95, max: 0.95, noNaN: true }),
				(a, b, c, d, at) => {
					const linear = (x: number, y: number, z: number): number => a * x + b * y + c * z + d;
					const cut = cutter.cutAt(
						fieldOf(positions, (_, y) => y),
						at,
					);
					const values = new Float32Array(cut.vertexCount);
					const places = new Float32Array(3 * cut.vertexCount);
					atCut(cut, fieldOf(positions, linear), 1, values);
					atCut(cut, positions, 3, places);
					for (let v = 0; v < cut.vertexCount; v++) {
						expect(places[3 * v + 1]).toBeCloseTo(at, 5);
						expect(values[v]).toBeCloseTo(linear(places[3 * v]!, places[3 * v + 1]!, places[3 * v + 2]!), 4);
					}
				},
			),
			{ numRuns: 40 },
		);
	});
});

test("nothing is cut where the field is all above, all below or no number", () => {
	const { positions, tetrahedra, nodeCount } = createCube(3);
	const cutter = createTetrahedraCutter(tetrahedra, nodeCount);
	for (const value of [1, -1, 0, Number.NaN])
		expect(
			cutter.cutAt(
				fieldOf(positions, () => value),
				0,
			).triangleCount,
		).toBe(0);
});

test("a small cut after a large one is not mixed with it, and a larger one finds room", () => {
	const { positions, tetrahedra, nodeCount } = createCube(40);
	const cutter = createTetrahedraCutter(tetrahedra, nodeCount);
	const small = fieldOf(positions, (x, y, z) => 0.1 - Math.hypot(x, y, z));
	const alone = measure(createTetrahedraCutter(tetrahedra, nodeCount).cutAt(small, 0), positions);
	const large = measure(cutter.cutAt(fieldOf(positions, sphere), 0), positions);
	expect(measure(cutter.cutAt(small, 0), positions)).toEqual(alone);
	expect(measure(cutter.cutAt(fieldOf(positions, sphere), 0), positions)).toEqual(large);
	expect(() => cutter.cutAt(new Float32Array(3), 0)).toThrow(RangeError);
});
