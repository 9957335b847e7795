import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import {
	buildPictureModel,
	meshSubject,
	type PictureModelOptions,
} from "../../core/picture/picture-model.ts";
import { createRestReadings, differenceInto } from "../../core/picture/reading-difference.ts";
import { readingMatrix } from "../../core/picture/reading-matrix.ts";
import { createDiscSubject } from "./create-disc.ts";
import { multiply, relativeDifference } from "./plain-algebra.ts";

const pattern = createPattern(16, "adjacent");

function createModel(options: Partial<PictureModelOptions> = {}) {
	return buildPictureModel({
		subject: {
			...createDiscSubject(),
			regions: [-1, 1].map((side) => ({
				id: side < 0 ? "west" : "east",
				name: side < 0 ? "West" : "East",
				tissue: "muscle",
				points: [
					[side * 0.06 - 0.02, -0.02],
					[side * 0.06 + 0.02, -0.02],
					[side * 0.06 + 0.02, 0.02],
					[side * 0.06 - 0.02, 0.02],
				],
				sigma: 0.3,
				inTrends: true,
			})),
		},
		pattern,
		ohmMetrePerUnit: 1,
		noise: null,
		prior: "diagonal",
		rule: "noise-figure",
		targetTriangles: 2500,
		...options,
	});
}

const fineMesh = meshSubject(createDiscSubject(), 6000);
const fineSolver = createMeshSolver(fineMesh);

/** Readings of the disc on another, finer mesh, with a change of conductivity in a disc of 2 cm. */
function createReadings(change: number, x = 0.06, y = 0): Float64Array {
	const mesh = fineMesh;
	const sigma = Float64Array.from({ length: mesh.triangles.length / 3 }, (_, k) => {
		let cx = 0;
		let cy = 0;
		for (let c = 3 * k; c < 3 * k + 3; c++) {
			cx += mesh.nodes[2 * mesh.triangles[c]!]! / 3;
			cy += mesh.nodes[2 * mesh.triangles[c]! + 1]! / 3;
		}
		return 0.3 + (Math.hypot(cx - x, cy - y) < 0.02 ? change : 0);
	});
	return readingsFrom(fineSolver.solve(sigma, createDiscSubject().contactImpedance), pattern, 1);
}

test("a change shows in its place, with its sign, and in its region's mean", () => {
	const model = createModel();
	const kernel = createPictureKernel(model);
	kernel.setBaseline(createReadings(0));
	for (const change of [0.05, -0.05]) {
		kernel.apply(createReadings(change));
		const sizes = Array.from(kernel.values, Math.abs);
		const peak = sizes.indexOf(Math.max(...sizes));
		const { nodes } = model.geometry;
		expect(Math.hypot(nodes[2 * peak]! - 0.06, nodes[2 * peak + 1]!)).toBeLessThan(0.015);
		expect(Math.sign(kernel.values[peak]!)).toBe(Math.sign(change));
		const [west, east] = kernel.regionMeans;
		expect(Math.sign(east!)).toBe(Math.sign(change));
		expect(Math.abs(east!)).toBeGreaterThan(10 * Math.abs(west!));
	}
});

test.each([
	["nodes", "diagonal"],
	["cells", "laplace"],
] as const)("a frame equals the plain product with the dense matrix (%s, %s)", (values, prior) => {
	const model = createModel({
		values,
		prior,
		noise: Float64Array.from({ length: 208 }, (_, r) => 1 + (r % 7)),
	});
	const kernel = createPictureKernel(model);
	const rest = createReadings(0);
	const readings = createReadings(0.1, -0.03, 0.05);
	kernel.setBaseline(rest);
	kernel.apply(readings);
	const change = new Float64Array(208);
	differenceInto(createRestReadings(rest), readings, change);
	const rows = model.matrix.rowCount;
	const plain = multiply(Float64Array.from(readingMatrix(model)), change, rows, 208, 1);
	expect(relativeDifference([...kernel.values, ...kernel.regionMeans], plain)).toBeLessThan(1e-5);
});

test("the baseline itself gives a picture of zeros, and so does no baseline yet", () => {
	const kernel = createPictureKernel(createModel());
	kernel.apply(new Float64Array(208));
	expect(Math.max(...kernel.values)).toBe(0);
	const rest = createReadings(0);
	kernel.setBaseline(rest);
	kernel.apply(rest);
	expect(Math.max(...kernel.values.map(Math.abs))).toBe(0);
	expect(Array.from(kernel.regionMeans)).toEqual([0, 0]);
});

test("small changes act linearly", () => {
	const kernel = createPictureKernel(createModel());
	const rest = createReadings(0);
	kernel.setBaseline(rest);
	const change = createReadings(0.01).map((v, r) => v - rest[r]!);
	kernel.apply(rest.map((v, r) => v + 0.01 * change[r]!));
	const small = kernel.values.slice();
	kernel.apply(rest.map((v, r) => v + 0.02 * change[r]!));
	expect(
		relativeDifference(
			kernel.values,
			small.map((v) => 2 * v),
		),
	).toBeLessThan(1e-3);
});

test("region means alone equal those of the whole picture", () => {
	const kernel = createPictureKernel(createModel());
	kernel.setBaseline(createReadings(0));
	const readings = createReadings(0.05);
	kernel.apply(readings);
	const whole = kernel.regionMeans.slice();
	const image = kernel.values.slice();
	kernel.setBaseline(readings);
	kernel.apply(readings);
	kernel.setBaseline(createReadings(0));
	kernel.applyToRegions(readings);
	expect(relativeDifference(kernel.regionMeans, whole)).toBeLessThan(1e-6);
	expect(Math.max(...kernel.values)).toBe(0);
	expect(image.length).toBe(kernel.values.length);
});

test("readings that are left out may hold anything", () => {
	const noise = new Float64Array(208).fill(1e-3);
	const broken = [0, 1, 2, 40, 41];
	for (const r of broken) noise[r] = Infinity;
	const kernel = createPictureKernel(createModel({ noise }));
	const rest = createReadings(0);
	const readings = createReadings(0.05);
	kernel.setBaseline(rest);
	kernel.apply(readings);
	const picture = kernel.values.slice();
	for (const r of broken) rest[r] = readings[r] = Number.NaN;
	kernel.setBaseline(rest);
	kernel.apply(readings);
	// the size of the rest, by which changes are straightened, is taken from all that is there
	expect(relativeDifference(kernel.values, picture)).toBeLessThan(1e-4);
});

test("a model fitted to its rest shows the same change whatever the gain was", () => {
	const rest = createReadings(0);
	const readings = createReadings(0.02);
	const right = createPictureKernel(createModel());
	right.setBaseline(rest);
	right.apply(readings);
	const model = createModel({ rest: rest.map((v) => 2.5 * v) });
	expect(model.readingScale).toBeCloseTo(1 / 2.5, 2);
	const fitted = createPictureKernel(model);
	fitted.setBaseline(rest.map((v) => 2.5 * v));
	fitted.apply(readings.map((v) => 2.5 * v));
	expect(relativeDifference(fitted.values, right.values)).toBeLessThan(0.02);
});

test("region noise is what readings with that noise make of the region means", () => {
	const noise = Float64Array.from({ length: 208 }, (_, r) => 1e-4 * (1 + (r % 3)));
	const model = createModel({ noise });
	const kernel = createPictureKernel(model);
	const rest = createReadings(0);
	kernel.setBaseline(rest);
	// the sum over unit disturbances of single readings is the variance
	const variance = [0, 0];
	for (let r = 0; r < 208; r++) {
		const readings = rest.slice();
		readings[r]! += noise[r]!;
		kernel.apply(readings);
		for (const i of [0, 1]) variance[i]! += kernel.regionMeans[i]! ** 2;
	}
	for (const i of [0, 1]) expect(model.regionNoise![i]! / Math.sqrt(variance[i]!)).toBeCloseTo(1, 1);
	expect(createModel().regionNoise).toBeNull();
});

test("refuses frames and baselines of another length, and a rest of the wrong sign", () => {
	const kernel = createPictureKernel(createModel());
	expect(() => kernel.apply(new Float64Array(207))).toThrow(/207 readings where 208/);
	expect(() => kernel.setBaseline(new Float64Array(209))).toThrow(RangeError);
	expect(() => createModel({ rest: createReadings(0).map((v) => -v) })).toThrow(/at rest do not fit/);
});

test("the model can be posted to a worker", () => {
	const model = createModel();
	const clone = structuredClone(model);
	const [kernel, other] = [createPictureKernel(model), createPictureKernel(clone)];
	for (const each of [kernel, other]) {
		each.setBaseline(createReadings(0));
		each.apply(createReadings(0.05));
	}
	expect(Array.from(other.values)).toEqual(Array.from(kernel.values));
});

test("a picture at another strength is that of a model made so", () => {
	const model = createModel();
	const kernel = createPictureKernel(model);
	const [rest, readings] = [createReadings(0), createReadings(0.05)];
	kernel.setBaseline(rest);
	kernel.apply(readings);
	const own = kernel.values.slice();
	for (const factor of [0.2, 5]) {
		const lambda = factor * model.lambda;
		const made = createPictureKernel(createModel({ lambda }));
		made.setBaseline(rest);
		made.apply(readings);
		kernel.setLambda(lambda);
		kernel.apply(readings);
		expect(relativeDifference(kernel.values, made.values)).toBeLessThan(1e-4);
		kernel.applyToRegions(readings);
		expect(relativeDifference(kernel.regionMeans, made.regionMeans)).toBeLessThan(1e-4);
		expect(relativeDifference(own, made.values)).toBeGreaterThan(0.01);
	}
	kernel.setLambda(null);
	kernel.apply(readings);
	expect(kernel.values).toEqual(own);
	expect(() => kernel.setLambda(0)).toThrow(RangeError);
});
