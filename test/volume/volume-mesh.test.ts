import { describe, expect, test } from "vitest";
import { createOutline } from "../../core/limb/outline.ts";
import { createTaper } from "../../core/limb/taper.ts";
import { cutLayers } from "../../core/volume/limb-layers.ts";
import { meshVolume } from "../../core/volume/mesh-volume.ts";
import { sectionPlaces } from "../../core/volume/section-places.ts";
import { cellVolumes, tetrahedronVolume, type VolumeMesh } from "../../core/volume/volume-mesh.ts";
import type { VolumeSubject } from "../../core/volume/volume-subject.ts";
import { createThighVolume } from "./create-volume.ts";

const outline = createOutline({ type: "circle", radius: 0.08 });

/** A cone between two circumferences with two bands of different counts. */
function createCone(): VolumeSubject {
	const band = { firstAngle: 0.3, direction: "anticlockwise" as const };
	return {
		outline,
		regions: [],
		fatThickness: 0,
		backgroundSigma: 0.35,
		taper: createTaper([
			{ z: 0, circumference: 0.4 },
			{ z: 0.2, circumference: 0.56 },
		]),
		extent: { from: 0, to: 0.2 },
		bands: [
			{ z: 0.05, electrodeHeight: 0.02, band: { ...band, electrodeCount: 16, electrodeWidth: 0.012 } },
			{ z: 0.15, electrodeHeight: 0.01, band: { ...band, electrodeCount: 12, electrodeWidth: 0.015 } },
		],
		contactImpedance: new Float64Array(28).fill(0.01),
		side: null,
	};
}

/** Sides of tetrahedra by how often they occur. */
function facesOf({ tetrahedra }: VolumeMesh): Map<string, number> {
	const faces = new Map<string, number>();
	for (let at = 0; at < tetrahedra.length; at += 4)
		for (let left = 0; left < 4; left++) {
			const corners = [0, 1, 2, 3].filter((i) => i !== left).map((i) => tetrahedra[at + i]!);
			const key = corners.sort((a, b) => a - b).join(" ");
			faces.set(key, (faces.get(key) ?? 0) + 1);
		}
	return faces;
}

describe("meshes of a volume", () => {
	const mesh = meshVolume(createCone(), 6000);

	test("tetrahedra meet side to side and fill the body", () => {
		for (let at = 0; at < mesh.tetrahedra.length; at += 4)
			expect(tetrahedronVolume(mesh.nodes, mesh.tetrahedra, at)).toBeGreaterThan(0);
		const faces = facesOf(mesh);
		let outer = 0;
		for (const count of faces.values()) {
			expect(count).toBeLessThanOrEqual(2);
			if (count === 1) outer++;
		}
		const { levels, regionOf, nodesPerLevel } = mesh;
		const skinEdges = 2 * (nodesPerLevel - 1) - regionOf.length;
		expect(outer).toBe(2 * regionOf.length + 2 * skinEdges * (levels.length - 1));
		// a frustum of a cone: πh(R² + Rr + r²)/3; chords of the circle lie inside it
		const [r, R] = [0.4 / (2 * Math.PI), 0.56 / (2 * Math.PI)];
		const volume = cellVolumes(mesh).reduce((sum, value) => sum + value, 0);
		expect(volume / ((Math.PI * 0.2 * (R * R + R * r + r * r)) / 3)).toBeCloseTo(1, 2);
	});

	test("electrodes keep their size where the limb is thick and where it is thin", () => {
		const areas = new Float64Array(28);
		for (let f = 0; f < mesh.electrodeOfFace.length; f++) {
			const [a, b, c] = [0, 1, 2].map((i) => {
				const node = 3 * mesh.electrodeFaces[3 * f + i]!;
				return Array.from(mesh.nodes.subarray(node, node + 3));
			}) as [number[], number[], number[]];
			const u = b.map((value, i) => value - a[i]!);
			const v = c.map((value, i) => value - a[i]!);
			areas[mesh.electrodeOfFace[f]!]! +=
				Math.hypot(
					u[1]! * v[2]! - u[2]! * v[1]!,
					u[2]! * v[0]! - u[0]! * v[2]!,
					u[0]! * v[1]! - u[1]! * v[0]!,
				) / 2;
		}
		// the skin's slope makes them taller by 0.8 %, chords a little narrower, shared ends up to a tenth wider
		for (const area of areas.subarray(0, 16)) expect(Math.abs(area / (0.02 * 0.012) - 1)).toBeLessThan(0.06);
		for (const area of areas.subarray(16)) expect(Math.abs(area / (0.01 * 0.015) - 1)).toBeLessThan(0.06);
	});

	test("about as many cells as asked for, of a thigh with all its muscles as well", () => {
		const cells = meshVolume(createThighVolume(), 30_000).tetrahedra.length / 12;
		expect(cells).toBeGreaterThan(24_000);
		expect(cells).toBeLessThan(40_000);
	});

	test("fat keeps its thickness where the limb is thinner", () => {
		// nodes at the skin, at the fat's inner side, half way to the centre and at the centre
		const nodes = Float64Array.from([0.08, 0, 0.07, 0, 0.035, 0, 0, 0]);
		const { fixed, scaled } = sectionPlaces(nodes, outline, 0.01);
		const at = (node: number, factor: number) => fixed[2 * node]! + factor * scaled[2 * node]!;
		for (const factor of [0.8, 1, 1.3]) {
			expect(at(0, factor)).toBeCloseTo(0.08 * factor, 5);
			expect(at(0, factor) - at(1, factor)).toBeCloseTo(0.01, 5);
			expect(at(2, factor)).toBeCloseTo(at(1, factor) / 2, 5);
			expect(at(3, factor)).toBeCloseTo(0, 12);
		}
	});

	test("layers end at electrodes' edges and grow away from them", () => {
		const levels = Array.from(cutLayers(0, 0.3, [{ from: 0.1, to: 0.13 }], { near: 0.005, far: 0.03 }));
		for (const edge of [0, 0.1, 0.13, 0.3]) expect(levels).toContain(edge);
		const thickness = levels.slice(1).map((z, k) => z - levels[k]!);
		const middle = levels.indexOf(0.13);
		expect(thickness.slice(middle).every((t, k, all) => k === 0 || t > 0.9 * all[k - 1]!)).toBe(true);
		expect(Math.max(...thickness)).toBeLessThan(0.033);
	});

	test.each<[string, Partial<VolumeSubject>, string]>([
		["no band", { bands: [] }, "1 to 4 bands are possible, got 0"],
		[
			"bands over each other",
			{ bands: [0.1, 0.11].map((z) => ({ ...createCone().bands[0]!, z })) },
			"bands 1 and 2 overlap",
		],
		["a band beyond the end", { extent: { from: 0.05, to: 0.2 } }, "band 1 reaches beyond the end"],
	])("%s: says what is wrong", (_, change, sentence) => {
		expect(() => meshVolume({ ...createCone(), ...change }, 6000)).toThrow(sentence);
	});

	test("asks for a sensible number of cells", () => {
		expect(() => meshVolume(createCone(), 10)).toThrow("between 2,000 and 500,000 cells");
	});
});
