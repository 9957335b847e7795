import { expect, test } from "vitest";
import type { Band } from "../../core/band/band.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import type { Mesh } from "../../core/mesh/mesh.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { cellCentres } from "../../core/picture/image-rows.ts";
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
// follows that muscle, and other trends at most a third as much, whether all of it changes or a patch.
test.each([
	["left", "diagonal", 0.003],
	["left", "diagonal", 0.01],
	["left", "diagonal", 0.02],
	["right", "laplace", 0.01],
] as const)(
	"the muscle that changed has the largest mean (%s thigh, %s prior, fat %s m)",
	(side, prior, fat) => {
		const limb = createThigh({
			side,
			outline: { type: "ellipse", a: 0.085, b: 0.08 },
			fatThickness: fat,
			level: 0.5,
		});
		const subject = limbSubject(limb, band, 50_000);
		const fine = meshSubject(subject, 6000);
		const centres = cellCentres(fine);
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
			const inside = deepestPoint(fine, centres, label);
			for (const reach of [0.012, 1]) {
				const sigma = atRest.map((s, k) => {
					const distance = Math.hypot(centres[2 * k]! - inside[0], centres[2 * k + 1]! - inside[1]);
					return fine.regionOf[k] === label && distance < reach ? 1.1 * s : s;
				});
				kernel.applyToRegions(readingsFrom(solver.solve(sigma, subject.contactImpedance), pattern, 1));
				const means = Array.from(kernel.regionMeans);
				if (reach === 1) {
					const change = 0.1 * subject.regions[label - 1]!.sigma;
					expect(means[i]! / change).toBeGreaterThan(0.75);
					expect(means[i]! / change).toBeLessThan(1);
				}
				for (const [j, other] of means.entries()) {
					if (j !== i) expect(Math.abs(other) / means[i]!, `${id} against ${j}`).toBeLessThan(1 / 3);
				}
			}
		}
	},
);

/** Of a region's cells, the centre of the one that is farthest from all cells outside. */
function deepestPoint(mesh: Mesh, centres: Float64Array, label: number): readonly [number, number] {
	const cells = Array.from(mesh.regionOf.keys());
	const outside = cells.filter((k) => mesh.regionOf[k] !== label);
	let best: readonly [number, number] = [0, 0];
	let depth = 0;
	for (const k of cells) {
		if (mesh.regionOf[k] !== label) continue;
		const [x, y] = [centres[2 * k]!, centres[2 * k + 1]!];
		let nearest = Number.POSITIVE_INFINITY;
		for (const o of outside)
			nearest = Math.min(nearest, (centres[2 * o]! - x) ** 2 + (centres[2 * o + 1]! - y) ** 2);
		if (nearest > depth) {
			depth = nearest;
			best = [x, y];
		}
	}
	return best;
}
