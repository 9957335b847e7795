import { describe, expect, test } from "vitest";
import { createBandsPattern } from "../../core/band/bands-pattern.ts";
import { readingsFrom } from "../../core/physics/solve-forward.ts";
import { everyCell } from "../../core/picture/image-rows.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { reconstructOver } from "../../core/picture/reconstruction.ts";
import { meshVolume, restSigmaOf } from "../../core/volume/mesh-volume.ts";
import { volumeDomain } from "../../core/volume/volume-domain.ts";
import { createVolumeSolver } from "../../core/volume/volume-forward.ts";
import { volumeCellCentres } from "../../core/volume/volume-mesh.ts";
import { buildVolumeModel, type VolumeModelOptions } from "../../core/volume/volume-model.ts";
import { relativeError } from "../outside/forward-cases.ts";
import { createThighVolume } from "./create-volume.ts";

const subject = createThighVolume([0.2, 0.27], 12);
const pattern = createBandsPattern([12, 12], "adjacent", "within-and-across");
const readingCount = pattern.terminals.length / 4;

// what is pictured lies on another mesh than the model's
const truth = meshVolume(subject, 6000);
const solver = createVolumeSolver(truth);
const restSigma = restSigmaOf(subject, truth);
const readingsAt = (sigma: Float64Array) =>
	readingsFrom(solver.solve(sigma, subject.contactImpedance), pattern, 1);
const rest = readingsAt(restSigma);
const size = Math.sqrt(rest.reduce((sum, v) => sum + v * v, 0) / readingCount);

const options: VolumeModelOptions = {
	subject,
	pattern,
	ohmPerUnit: 1,
	noise: new Float64Array(readingCount).fill(1e-4 * size),
	rest,
	rule: "noise-figure",
	targetCells: 7000,
};
const shares: number[] = [];
const model = buildVolumeModel(options, { onProgress: (_, share) => shares.push(share) })!;

function changedIn(isChanged: (x: number, y: number, z: number, region: number) => boolean): Float64Array {
	const centres = volumeCellCentres(truth);
	const sigma = restSigma.map((value, k) => {
		const region = truth.regionOf[k % truth.regionOf.length]!;
		const inside = isChanged(centres[3 * k]!, centres[3 * k + 1]!, centres[3 * k + 2]!, region);
		return inside ? 1.1 * value : value;
	});
	return readingsAt(sigma);
}

/** Middle of what exceeds half of the peak, m. */
function peakOf(values: Float32Array): readonly number[] {
	const { cellCentres, cellVolumes } = model.geometry;
	const peak = Math.max(...values);
	const middle = [0, 0, 0];
	let whole = 0;
	for (let k = 0; k < values.length; k++) {
		if (values[k]! < peak / 2) continue;
		const weight = values[k]! * cellVolumes[k]!;
		whole += weight;
		for (let axis = 0; axis < 3; axis++) middle[axis]! += weight * cellCentres[3 * k + axis]!;
	}
	return middle.map((sum) => sum / whole);
}

describe("the picture of a volume", () => {
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);

	test.each([
		["between the bands", [0.04, 0.02, 0.235], 0.006],
		// along the limb a band of its own sees less: what lies above and below it looks alike to its drives
		["under the lower band", [0, 0.05, 0.2], 0.015],
		["under the upper band", [-0.03, -0.04, 0.265], 0.015],
	] as const)("a ball of 2 cm %s shows in its place", (_, [x, y, z], along) => {
		kernel.apply(changedIn((a, b, c) => Math.hypot(a - x, b - y, c - z) < 0.02));
		const [px, py, pz] = peakOf(kernel.values) as [number, number, number];
		expect(Math.hypot(px - x, py - y)).toBeLessThan(0.01);
		expect(Math.abs(pz - z)).toBeLessThan(along);
	});

	test.each(["rectus-femoris", "vastus-lateralis", "vastus-medialis", "hamstrings"])(
		"%s alone answers to its change",
		(id) => {
			const label = subject.regions.findIndex((region) => region.id === id) + 1;
			kernel.apply(changedIn((_x, _y, _z, region) => region === label));
			const own = model.trendRegions.findIndex((region) => region.id === id);
			const mean = kernel.regionMeans[own]!;
			expect(mean).toBeGreaterThan(0.4 * 0.1 * subject.regions[label - 1]!.sigma);
			for (const [i, other] of kernel.regionMeans.entries())
				if (i !== own) expect(Math.abs(other)).toBeLessThan(mean / 3);
		},
	);

	test("region means are those of the cells at the bands' height, by volume", () => {
		kernel.apply(changedIn((x) => x > 0));
		const { cellVolumes, cellCentres, regionOf, regions } = model.geometry;
		for (const [i, { trendIndex }] of regions.entries()) {
			if (trendIndex === null) continue;
			let sum = 0;
			let whole = 0;
			for (let k = 0; k < cellVolumes.length; k++) {
				const z = cellCentres[3 * k + 2]!;
				if (regionOf[k % regionOf.length] !== i + 1 || z < 0.185 || z > 0.285) continue;
				sum += kernel.values[k]! * cellVolumes[k]!;
				whole += cellVolumes[k]!;
			}
			expect(kernel.regionMeans[trendIndex]).toBeCloseTo(sum / whole, 5);
		}
	});

	test("a failing electrode moves a target by less than a tenth of the radius", () => {
		const readings = changedIn((a, b, c) => Math.hypot(a - 0.04, b - 0.02, c - 0.235) < 0.02);
		const errorOf = () =>
			Math.hypot(...peakOf(kernel.values).map((value, axis) => value - [0.04, 0.02, 0.235][axis]!));
		kernel.apply(readings);
		const before = errorOf();
		const kept = keepWithout(pattern, [5]);
		for (let r = 0; r < readingCount; r++) if (kept[r] === 0) readings[r] = Number.NaN;
		kernel.setTrust(trustReadings(model, kept));
		kernel.apply(readings);
		kernel.setTrust(null);
		expect(errorOf() - before).toBeLessThan(0.0083);
	});
});

describe("the model of a volume", () => {
	test("leaves out only what a picture would not show", () => {
		const mesh = meshVolume(subject, 2000);
		const field = createVolumeSolver(mesh).solve(restSigmaOf(subject, mesh), subject.contactImpedance);
		const build = (negligible: number) =>
			reconstructOver(volumeDomain(mesh, field, restSigmaOf(subject, mesh), { from: 0.185, to: 0.285 }), {
				pattern,
				ohmPerUnit: new Float64Array(readingCount).fill(1),
				deviation: new Float64Array(readingCount).fill(1e-3 * size),
				prior: "diagonal",
				rule: "noise-figure",
				lambda: 0.1,
				mayReduce: false,
				negligible,
			});
		const [whole, short] = [build(0), build(1e-5)];
		const pictures = [whole, short].map((reconstruction) => {
			const matrix = reconstruction.matrixOf(everyCell(reconstruction.cellCount));
			const picture = createPictureKernel({
				matrix,
				fold: reconstruction.fold,
				projection: reconstruction.projection,
				dataSpace: reconstruction.dataSpace,
				prior: reconstruction.prior,
				readingCount,
				ohmMetrePerUnit: new Float64Array(readingCount).fill(1),
				trendRegions: [],
			});
			picture.setBaseline(rest);
			picture.apply(changedIn((a, b, c) => Math.hypot(a - 0.04, b - 0.02, c - 0.235) < 0.02));
			return { columns: matrix.columnCount, values: Float64Array.from(picture.values), seen: matrix.seen };
		}) as [Picture, Picture];
		expect(pictures[1].columns).toBeLessThan(pictures[0].columns);
		expect(relativeError(pictures[1].values, pictures[0].values)).toBeLessThan(3 * Math.sqrt(1e-5));
		expect(relativeError(pictures[1].seen, pictures[0].seen)).toBeLessThan(3 * Math.sqrt(1e-5));
	});

	test("tells how far it is, and stops when asked to", () => {
		expect(shares.length).toBeGreaterThan(5);
		expect(shares).toEqual([...shares].sort((a, b) => a - b));
		expect(shares.at(-1)).toBe(1);
		let asked = 0;
		expect(buildVolumeModel({ ...options, targetCells: 2000 }, { shouldStop: () => ++asked > 3 })).toBeNull();
		expect(asked).toBe(4);
	});

	test("is plain data: a copy makes the same pictures", () => {
		const pictures = [model, structuredClone(model)].map((own) => {
			const kernel = createPictureKernel(own);
			kernel.setBaseline(rest);
			kernel.apply(rest.map((v, r) => v * (1 + 0.01 * Math.sin(r))));
			return Array.from(kernel.values);
		});
		expect(pictures[1]).toEqual(pictures[0]);
	});

	test("pictures may hold a value at each node", () => {
		const own = buildVolumeModel({ ...options, targetCells: 2000, values: "nodes" })!;
		const kernel = createPictureKernel(own);
		kernel.setBaseline(rest);
		kernel.apply(changedIn((a, b, c) => Math.hypot(a - 0.04, b - 0.02, c - 0.235) < 0.02));
		const { nodes } = own.geometry;
		expect(kernel.values.length).toBe(nodes.length / 3);
		const peak = 3 * kernel.values.indexOf(Math.max(...kernel.values));
		expect(Math.hypot(nodes[peak]! - 0.04, nodes[peak + 1]! - 0.02, nodes[peak + 2]! - 0.235)).toBeLessThan(
			0.03,
		);
	});

	test("refuses a pattern of other bands", () => {
		const other = createBandsPattern([12, 8], "adjacent");
		expect(() => buildVolumeModel({ ...options, pattern: other })).toThrow(
			"24 electrodes in all, but 24 contact impedances and a pattern for 20",
		);
	});
});

interface Picture {
	readonly columns: number;
	readonly values: Float64Array;
	readonly seen: Float64Array;
}
