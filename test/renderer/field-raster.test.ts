import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createFieldRaster } from "../../renderer/draw/field-raster.ts";
import type { LimbView } from "../../renderer/draw/limb-view.ts";

/** A ramp whose colour is its own index, so that pixels can be read back as levels. */
const ramp = Uint32Array.from({ length: 1001 }, (_, i) => i);
const UNTOUCHED = 0xdeadbeef;

/** A disc of rings, triangles anticlockwise; every inner edge is shared by two triangles. */
function createDisc(rings: number, sectors: number, radius: number) {
	const nodes = [0, 0];
	const triangles: number[] = [];
	for (let r = 1; r <= rings; r++) {
		for (let s = 0; s < sectors; s++) {
			// Twisted, so that edges take all directions.
			const angle = (2 * Math.PI * s) / sectors + 0.1 * r;
			nodes.push(((radius * r) / rings) * Math.cos(angle), ((radius * r) / rings) * Math.sin(angle));
		}
	}
	const at = (r: number, s: number) => 1 + (r - 1) * sectors + (s % sectors);
	for (let s = 0; s < sectors; s++) {
		triangles.push(0, at(1, s), at(1, s + 1));
		for (let r = 1; r < rings; r++) {
			triangles.push(at(r, s), at(r + 1, s), at(r + 1, s + 1), at(r, s), at(r + 1, s + 1), at(r, s + 1));
		}
	}
	return { nodes, triangles };
}

function createView(part: Partial<LimbView> = {}): LimbView {
	return { originX: 60, originY: 50, scale: 400, mirrored: false, ...part };
}

function paint(
	mesh: { nodes: number[]; triangles: number[] },
	values: Float32Array,
	range: number,
	view = createView(),
	width = 120,
	height = 100,
) {
	const raster = createFieldRaster(mesh.nodes, mesh.triangles, view, width, height);
	const pixels = new Uint32Array(width * height).fill(UNTOUCHED);
	raster.paintInto(pixels, values, ramp, range);
	return { raster, pixels };
}

describe("coverage", () => {
	test("each pixel inside is covered by exactly one triangle", () => {
		const mesh = createDisc(6, 17, 0.1);
		const { raster, pixels } = paint(mesh, new Float32Array(mesh.nodes.length / 2), 1);
		const touched = pixels.filter((pixel) => pixel !== UNTOUCHED).length;
		// Overlaps would make the sum of spans larger than the pixels touched; cracks would leave holes.
		expect(touched).toBe(raster.covered);
		for (let row = 0; row < 100; row++) {
			const line = Array.from(pixels.subarray(row * 120, (row + 1) * 120), (pixel) => pixel !== UNTOUCHED);
			const first = line.indexOf(true);
			if (first >= 0) expect(line.slice(first, line.lastIndexOf(true) + 1)).not.toContain(false);
		}
	});

	test("the covered area is the polygon's, whatever the place between pixels", () => {
		fc.assert(
			fc.property(
				fc.double({ min: 0, max: 1, noNaN: true }),
				fc.double({ min: 0, max: 1, noNaN: true }),
				(dx, dy) => {
					const mesh = createDisc(3, 40, 0.1);
					const view = createView({ originX: 60 + dx, originY: 50 + dy });
					const { covered } = createFieldRaster(mesh.nodes, mesh.triangles, view, 120, 100);
					const area = 0.5 * 40 * 40 ** 2 * Math.sin((2 * Math.PI) / 40);
					// At most about one pixel in each row is in doubt.
					expect(Math.abs(covered - area)).toBeLessThan(80);
				},
			),
			{ numRuns: 30, seed: 11 },
		);
	});

	test("what lies outside of the canvas is cut off", () => {
		const mesh = createDisc(2, 12, 0.1);
		const { raster, pixels } = paint(mesh, new Float32Array(25), 1, createView({ originX: 0, originY: 0 }));
		expect(raster.covered).toBe(pixels.filter((pixel) => pixel !== UNTOUCHED).length);
		expect(raster.covered).toBeGreaterThan(1000);
	});

	test("a triangle without area is left out", () => {
		const raster = createFieldRaster([0, 0, 0.1, 0, 0.2, 0], [0, 1, 2], createView(), 120, 100);
		expect(raster.covered).toBe(0);
	});
});

describe("values", () => {
	test("a linear field comes out linear to within half a step of the ramp", () => {
		const mesh = createDisc(5, 16, 0.1);
		const values = Float32Array.from({ length: mesh.nodes.length / 2 }, (_, i) => {
			return 3 * mesh.nodes[2 * i]! - 2 * mesh.nodes[2 * i + 1]!;
		});
		for (const mirrored of [false, true]) {
			const { pixels } = paint(mesh, values, 0.5, createView({ mirrored }));
			for (let row = 0; row < 100; row++) {
				for (let column = 0; column < 120; column++) {
					const level = pixels[row * 120 + column]!;
					if (level === UNTOUCHED) continue;
					const x = ((column + 0.5 - 60) / 400) * (mirrored ? -1 : 1);
					const y = (50 - row - 0.5) / 400;
					const expected = ((3 * x - 2 * y + 0.5) / 1) * 1001 - 0.5;
					expect(Math.abs(level - expected)).toBeLessThan(0.6);
				}
			}
		}
	});

	test("zero is the middle of the ramp, and what is beyond its ends takes the end", () => {
		const mesh = createDisc(2, 12, 0.1);
		const count = mesh.nodes.length / 2;
		const levels = (value: number) =>
			new Set(paint(mesh, new Float32Array(count).fill(value), 1).pixels.filter((p) => p !== UNTOUCHED));
		expect(levels(0)).toEqual(new Set([500]));
		expect(levels(1)).toEqual(new Set([1000]));
		expect(levels(50)).toEqual(new Set([1000]));
		expect(levels(-1)).toEqual(new Set([0]));
		expect(levels(-50)).toEqual(new Set([0]));
		expect(levels(Number.NaN)).toEqual(new Set([0]));
	});

	test.each([
		["pixels", new Uint32Array(3), new Float32Array(25), 1],
		["values", new Uint32Array(12000), new Float32Array(24), 1],
		["range", new Uint32Array(12000), new Float32Array(25), 0],
	])("wrong %s are refused", (_, pixels, values, range) => {
		const mesh = createDisc(2, 12, 0.1);
		const raster = createFieldRaster(mesh.nodes, mesh.triangles, createView(), 120, 100);
		expect(() => raster.paintInto(pixels, values, ramp, range)).toThrow(RangeError);
	});
});
