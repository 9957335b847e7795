import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { fatError } from "../../core/picture/fat-error.ts";
import { meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";

const pattern = createPattern(16, "adjacent");
const band = {
	electrodeCount: 16,
	electrodeWidth: 0.02,
	firstAngle: Math.PI / 2,
	direction: "clockwise",
} as const;
const limbWithFat = (fatThickness: number) =>
	createThigh({ side: "left", outline: { type: "ellipse", a: 0.085, b: 0.08 }, fatThickness, level: 0.5 });
const options = {
	limbWithFat,
	band,
	frequencyHertz: 50_000,
	pattern,
	noise: null,
	prior: "diagonal",
	rule: "noise-figure",
	ohmMetrePerUnit: 1,
	targetTriangles: 2000,
} as const;

test("three millimetres of fat change what a typical contraction shows, by more where fat is thin", () => {
	const [thin, thick] = [0.005, 0.015].map((fatThickness) => fatError({ ...options, fatThickness }));
	for (const { fatThickness, regions, largestShare } of [thin!, thick!]) {
		expect(fatThickness[2]! - fatThickness[1]!).toBeCloseTo(0.003, 12);
		expect(fatThickness[1]! - fatThickness[0]!).toBeCloseTo(0.003, 12);
		expect(regions.length).toBe(6);
		for (const { means } of regions) for (const mean of means) expect(mean).toBeGreaterThan(0);
		expect(largestShare).toBeGreaterThan(0.1);
	}
	// the same 3 mm are three fifths of the one layer and a fifth of the other
	expect(thin!.largestShare).toBeGreaterThan(thick!.largestShare);
});

// What is told is tested against what happens: a frame of a limb that truly has 3 mm more than was assumed.
test("the spread that is told for a frame reaches to what the right fat would have shown", () => {
	const truth = limbSubject(limbWithFat(0.011), band, 50_000);
	const mesh = meshSubject(truth, 5000);
	const solver = createMeshSolver(mesh);
	const sigma = restSigma(truth, mesh);
	const label = truth.regions.findIndex(({ id }) => id === "hamstrings") + 1;
	const read = (s: Float64Array) => readingsFrom(solver.solve(s, truth.contactImpedance), pattern, 1);
	const rest = read(sigma);
	const readings = read(sigma.map((s, k) => (mesh.regionOf[k] === label ? 1.1 * s : s)));
	const assumed = fatError({ ...options, fatThickness: 0.008, frame: { rest, readings } });
	const exact = fatError({ ...options, fatThickness: 0.011, frame: { rest, readings } });
	const meansOf = (error: typeof assumed) => error.regions.find(({ id }) => id === "hamstrings")!.means;
	expect(meansOf(assumed)[2]! / meansOf(exact)[1]!).toBeCloseTo(1, 6);
	expect(meansOf(exact)[1]! / (0.1 * truth.regions[label - 1]!.sigma)).toBeGreaterThan(0.75);
	expect(Math.abs(meansOf(assumed)[1]! / meansOf(exact)[1]! - 1)).toBeGreaterThan(0.05);
});

test("no layer gets thinner than a millimetre", () => {
	expect(fatError({ ...options, fatThickness: 0.002, targetTriangles: 1000 }).fatThickness[0]).toBe(0.001);
});
