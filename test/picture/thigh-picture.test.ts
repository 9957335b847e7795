import { expect, test } from "vitest";
import type { Band } from "../../core/band/band.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel, meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { limbSubject } from "../../core/picture/subject.ts";

const pattern = createPattern(16, "adjacent");
const band: Band = {
	electrodeCount: 16,
	electrodeWidth: 0.02,
	firstAngle: Math.PI / 2,
	direction: "clockwise",
};

// No outside truth: our own forward solution on another, finer mesh. What must hold is anatomy: each muscle's trend
// follows that muscle.
test.each([
	["left", "diagonal"],
	["right", "laplace"],
] as const)("the muscle that changed has the largest mean (%s thigh, %s prior)", (side, prior) => {
	const limb = createThigh({
		side,
		outline: { type: "ellipse", a: 0.085, b: 0.08 },
		fatThickness: 0.01,
		level: 0.5,
	});
	const subject = limbSubject(limb, band, 50_000);
	const fine = meshSubject(subject, 7000);
	const solver = createMeshSolver(fine);
	const atRest = restSigma(subject, fine);
	const rest = readingsFrom(solver.solve(atRest, subject.contactImpedance), pattern, 1);
	const model = buildPictureModel({
		subject,
		pattern,
		ohmMetrePerUnit: 1,
		noise: null,
		prior,
		rule: "noise-figure",
	});
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);
	expect(model.trendRegions.length).toBe(6);
	for (const [i, { id }] of model.trendRegions.entries()) {
		const label = subject.regions.findIndex((region) => region.id === id) + 1;
		const sigma = atRest.map((s, k) => (fine.regionOf[k] === label ? 1.1 * s : s));
		kernel.apply(readingsFrom(solver.solve(sigma, subject.contactImpedance), pattern, 1));
		const means = Array.from(kernel.regionMeans);
		const change = 0.1 * subject.regions[label - 1]!.sigma;
		expect(means[i]! / change).toBeGreaterThan(0.35);
		expect(means[i]! / change).toBeLessThan(1.1);
		for (const [j, other] of means.entries()) {
			if (j !== i) expect(Math.abs(other) / means[i]!, `${id} against ${j}`).toBeLessThan(0.65);
		}
	}
});
