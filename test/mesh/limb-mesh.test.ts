import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { placeElectrodes } from "../../core/band/electrodes.ts";
import type { OutlineShape, Point, RegionOutline } from "../../core/limb/limb.ts";
import { createOutline } from "../../core/limb/outline.ts";
import { circlePoints, ellipsePoints } from "../../core/limb/region-shapes.ts";
import { ellipseFromCircumference } from "../../core/limb/tape.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { type MeshOptions, meshLimb } from "../../core/mesh/limb-mesh.ts";
import { polygonArea } from "../limb/polygons.ts";
import { measureMesh, mislabelled, wrongElectrodes } from "./check-mesh.ts";
import { expectWellShaped, ringOfBands, ringOfStretches } from "./random-ring.ts";

const circle: OutlineShape = { type: "circle", radius: 0.08 };
const oval = ellipseFromCircumference(0.53, 1.1);
const region = (id: string, points: readonly Point[]): RegionOutline => ({
	id,
	name: id,
	tissue: "muscle",
	points,
});
const disc = (x: number, y: number, radius: number) =>
	region(`${x} ${y} ${radius}`, circlePoints([x, y], radius));
const thigh = (outline: OutlineShape, fatThickness: number, level: number) =>
	createThigh({ side: "left", outline, fatThickness, level }).regions;

function createOptions(
	shape: OutlineShape,
	electrodeCount: number,
	electrodeWidth: number,
	regions: readonly RegionOutline[] = [],
): MeshOptions {
	const outline = createOutline(shape);
	const electrodes = placeElectrodes(outline, {
		electrodeCount,
		electrodeWidth,
		firstAngle: Math.PI / 2,
		direction: "clockwise",
	});
	return { outline, electrodes, regions };
}

const ordinary: [string, MeshOptions][] = [
	["a disc", createOptions(circle, 16, 0.01)],
	["a disc with 8 wide electrodes", createOptions(circle, 8, 0.04)],
	["a disc with 32 electrodes", createOptions(circle, 32, 0.008)],
	["a disc with 64 electrodes", createOptions(circle, 64, 0.004)],
	["an inclusion off the centre", createOptions(circle, 16, 0.01, [disc(0.03, 0.02, 0.02)])],
	["an inclusion 1 mm under the skin", createOptions(circle, 16, 0.01, [disc(0.064, 0, 0.015)])],
	[
		"nested inclusions",
		createOptions(circle, 16, 0.01, [disc(0, 0, 0.07), disc(0.01, 0, 0.03), disc(0.015, 0, 0.01)]),
	],
	[
		"layers around an oval",
		createOptions(oval, 16, 0.02, [
			region("muscle", ellipsePoints([0, 0], 0.078, 0.07)),
			disc(0.01, 0.015, 0.013),
		]),
	],
	["a thigh", createOptions(oval, 16, 0.02, thigh(oval, 0.01, 0.5))],
	[
		"a thin thigh near the knee",
		createOptions(
			ellipseFromCircumference(0.38, 1.05),
			16,
			0.012,
			thigh(ellipseFromCircumference(0.38, 1.05), 0.004, 1 / 3),
		),
	],
	[
		"a box with electrodes around its corners",
		createOptions(
			{
				type: "polygon",
				points: [
					[0.08, 0.06],
					[-0.08, 0.06],
					[-0.08, -0.06],
					[0.08, -0.06],
				],
			},
			16,
			0.015,
		),
	],
];

describe.each(ordinary)("%s", (_, options) => {
	const mesh = meshLimb(options);
	const facts = measureMesh(mesh);

	test("is one piece of well-shaped triangles, about as many as wanted", () => {
		const wanted = 3200 * Math.sqrt(options.electrodes.count / 16);
		expect(facts.leastAngle).toBeGreaterThanOrEqual(20);
		expect(facts.triangles).toBeGreaterThan(0.78 * wanted);
		expect(facts.triangles).toBeLessThan(1.25 * wanted);
	});

	test("has the outline's area, less what chords cut off", () => {
		expect(facts.area / options.outline.area).toBeGreaterThan(0.999);
		expect(facts.area / options.outline.area).toBeLessThan(1 + 1e-9);
	});

	test("has boundary nodes on the skin", () => {
		for (const [v] of facts.boundary) {
			const [x, y] = [mesh.nodes[2 * v]!, mesh.nodes[2 * v + 1]!];
			const arc = options.outline.arcAtAngle(Math.atan2(y, x));
			const [sx, sy] = options.outline.pointAt(arc);
			expect(Math.hypot(x - sx, y - sy)).toBeLessThan(1e-9);
		}
	});

	test("covers each electrode from end to end with at least four edges, in order", () => {
		expect(wrongElectrodes(mesh, facts.boundary, options.outline, options.electrodes)).toEqual([]);
	});

	test("has every triangle in the region that holds it", () => {
		expect(mislabelled(mesh, options.regions, options.outline)).toEqual([]);
	});
});

test("16 electrodes get 2,500 to 4,000 triangles by default", () => {
	for (const [, options] of ordinary) {
		if (options.electrodes.count !== 16) continue;
		const { triangles } = measureMesh(meshLimb(options));
		expect(triangles).toBeGreaterThanOrEqual(2500);
		expect(triangles).toBeLessThanOrEqual(4000);
	}
});

test("regions have their own area, the better the finer the mesh", () => {
	const options = createOptions(circle, 16, 0.01, [disc(0.03, 0.02, 0.02), disc(-0.03, 0, 0.012)]);
	const worstError = (targetTriangles: number) => {
		const { areaOf } = measureMesh(meshLimb({ ...options, targetTriangles }));
		const errors = options.regions.map((r, i) => Math.abs(areaOf[i + 1]! / polygonArea(r.points) - 1));
		return Math.max(...errors);
	};
	expect(worstError(3200)).toBeLessThan(0.03);
	expect(worstError(12800)).toBeLessThan(0.012);
	expect(worstError(51200)).toBeLessThan(0.003);
});

test("in a thigh fat is the ring around the muscles, and nothing is without a region", () => {
	const options = createOptions(oval, 16, 0.02, thigh(oval, 0.01, 0.5));
	const { areaOf } = measureMesh(meshLimb(options));
	expect(areaOf[0]).toBeUndefined();
	const muscles = options.regions.slice(1).reduce((sum, { points }) => sum + polygonArea(points), 0);
	expect(areaOf[1]! / (options.outline.area - muscles)).toBeCloseTo(1, 2);
});

test.each([1600, 6400, 25600])("about %d triangles come when asked for", (targetTriangles) => {
	const { triangles } = measureMesh(meshLimb({ ...createOptions(circle, 16, 0.01), targetTriangles }));
	expect(Math.abs(triangles / targetTriangles - 1)).toBeLessThan(0.12);
});

test("triangles are finest at the ends of electrodes", () => {
	const options = createOptions(circle, 16, 0.01);
	const { nodes, triangles } = meshLimb(options);
	const ends = [...options.electrodes.start, ...options.electrodes.end].map((s) =>
		options.outline.pointAt(s),
	);
	let near = Infinity;
	let inside = 0;
	for (let i = 0; i < triangles.length; i += 3) {
		const [a, b] = [2 * triangles[i]!, 2 * triangles[i + 1]!];
		const length = Math.hypot(nodes[a]! - nodes[b]!, nodes[a + 1]! - nodes[b + 1]!);
		const fromEnd = Math.min(...ends.map(([x, y]) => Math.hypot(x - nodes[a]!, y - nodes[a + 1]!)));
		if (fromEnd < 1e-9) near = Math.min(near, length);
		if (Math.hypot(nodes[a]!, nodes[a + 1]!) < 0.03) inside = Math.max(inside, length);
	}
	expect(near).toBeLessThan(0.0013);
	expect(inside / near).toBeGreaterThan(5);
});

describe("regions that meet", () => {
	const cases: [string, RegionOutline[]][] = [
		["two crossing circles", [disc(0.02, 0, 0.025), disc(-0.01, 0.01, 0.02)]],
		["a circle half out of the skin", [disc(0.08, 0, 0.02)]],
		["a circle that touches the skin from inside", [disc(0.06, 0, 0.02)]],
		["two circles that touch", [disc(0.02, 0, 0.02), disc(-0.02, 0, 0.02)]],
		["the same circle twice", [disc(0.02, 0, 0.02), disc(0.02, 0, 0.02)]],
		["two circles 1 µm apart", [disc(0.02, 0, 0.02), disc(-0.020001, 0, 0.02)]],
		["a region over the whole limb", [disc(0, 0, 0.5), disc(0, 0.01, 0.02)]],
		["a region beyond the skin", [disc(0.3, 0, 0.1)]],
		[
			"a square and its neighbour with one side in common",
			[
				region("a", [
					[0, 0],
					[0.04, 0],
					[0.04, 0.04],
					[0, 0.04],
				]),
				region("b", [
					[0, 0],
					[0, 0.04],
					[-0.04, 0.04],
					[-0.04, 0],
				]),
			],
		],
		[
			"a clockwise region",
			[
				region("a", [
					[0, 0],
					[0, 0.04],
					[0.04, 0.04],
					[0.04, 0],
				]),
			],
		],
	];
	test.each(cases)("%s", (_, regions) => {
		const options = createOptions(circle, 16, 0.01, regions);
		const mesh = meshLimb(options);
		const facts = measureMesh(mesh);
		expect(mislabelled(mesh, regions, options.outline)).toEqual([]);
		expect(facts.area / options.outline.area).toBeGreaterThan(0.999);
		expect(wrongElectrodes(mesh, facts.boundary, options.outline, options.electrodes)).toEqual([]);
	});
});

describe("electrodes' ends that are close together", () => {
	/** Eight pairs of 20 mm, the second of each pair behind the first by a share of the circumference. */
	const pairs = (gap: number) => {
		const { outline } = createOptions(circle, 16, 0.01);
		const begin = Array.from({ length: 16 }, (_, i) => {
			const from = ((i >> 1) / 8 + 0.0125) * outline.circumference;
			return i % 2 === 0 ? from : from + 0.02 + gap * outline.circumference;
		});
		const start = Float64Array.from(begin);
		return { outline, electrodes: { count: 16, start, end: start.map((s) => s + 0.02) } };
	};

	test.each([0, 1e-17, 1e-16, 1e-12, 1e-9, 1e-6, 9e-6, 1.1e-5, 1e-4, 1e-3])(
		"a gap of %d of the circumference leaves no flat triangle",
		(gap) => expectWellShaped(pairs(gap), 800),
	);

	test("one electrode that ends where the next begins across the seam shares its node", () => {
		const { outline } = createOptions(circle, 16, 0.01);
		const round = outline.circumference;
		// as in a ring cut into parts: the end is counted on beyond the circumference, the next start from zero
		const start = Float64Array.from({ length: 8 }, (_, i) => 0.007 + (i * round) / 8);
		const end = Float64Array.from({ length: 8 }, (_, i) => (i < 7 ? start[i]! + 0.03 : start[0]! + round));
		expectWellShaped({ outline, electrodes: { count: 8, start, end } }, 800);
	});

	test.each([
		["stretches of electrodes", ringOfStretches],
		["several turned bands", ringOfBands],
	])("any %s mesh with no angle below 20°", (_, rings) => {
		fc.assert(
			fc.property(rings, (ring) => expectWellShaped(ring, 400)),
			{ numRuns: 12 },
		);
	});

	test("an electrode of practically no width is refused", () => {
		const options = createOptions(circle, 16, 0.01);
		const { start } = options.electrodes;
		const electrodes = { count: 16, start, end: start.map((s, i) => (i === 2 ? s + 1e-6 : s + 0.01)) };
		expect(() => meshLimb({ ...options, electrodes })).toThrow(/electrode 3 must be wider than/);
	});
});

test("a mesh scales with the limb", () => {
	const sized = (scale: number) => {
		const regions = [region("a", circlePoints([0.03 * scale, 0.02 * scale], 0.02 * scale))];
		return meshLimb(createOptions({ type: "circle", radius: 0.08 * scale }, 16, 0.01 * scale, regions));
	};
	for (const scale of [0.125, 64]) {
		expect(sized(scale).triangles).toEqual(sized(1).triangles);
	}
});

test("the same options give the same mesh, a variant another one", () => {
	const options = createOptions(oval, 16, 0.02, thigh(oval, 0.01, 0.5));
	expect(meshLimb(options)).toEqual(meshLimb(options));
	expect(meshLimb({ ...options, variant: 1 })).toEqual(meshLimb({ ...options, variant: 1 }));
	const inner = (variant?: number) => {
		const mesh = meshLimb(variant === undefined ? options : { ...options, variant });
		const { leastAngle } = measureMesh(mesh);
		expect(leastAngle).toBeGreaterThanOrEqual(20);
		return mesh;
	};
	const meshes = [inner(), inner(1), inner(2)];
	for (const [i, mesh] of meshes.entries()) {
		for (const other of meshes.slice(0, i)) {
			const places = new Set<string>();
			for (let v = 0; v < other.nodes.length; v += 2) places.add(`${other.nodes[v]} ${other.nodes[v + 1]}`);
			let shared = 0;
			for (let v = 0; v < mesh.nodes.length; v += 2) {
				if (places.has(`${mesh.nodes[v]} ${mesh.nodes[v + 1]}`)) shared++;
			}
			// Only electrode ends and places where outlines meet.
			expect(shared).toBeLessThan(0.05 * (mesh.nodes.length / 2));
		}
	}
});

describe("refuses", () => {
	const options = createOptions(circle, 16, 0.01);
	test.each<[string, Partial<MeshOptions>, RegExp]>([
		["99 triangles", { targetTriangles: 99 }, /between 100 and 1,000,000/],
		["NaN triangles", { targetTriangles: Number.NaN }, /between 100/],
		[
			"a region of two points",
			{
				regions: [
					region("line", [
						[0, 0],
						[1, 0],
					]),
				],
			},
			/region line needs at least 3 points/,
		],
		[
			"a region with a NaN",
			{
				regions: [
					region("odd", [
						[0, 0],
						[0.01, 0],
						[0, Number.NaN],
					]),
				],
			},
			/point 2 of region odd/,
		],
		["255 regions", { regions: Array.from({ length: 255 }, () => disc(0, 0, 0.01)) }, /at most 254 regions/],
	])("%s", (_, changes, message) => {
		expect(() => meshLimb({ ...options, ...changes })).toThrow(RangeError);
		expect(() => meshLimb({ ...options, ...changes })).toThrow(message);
	});
});
