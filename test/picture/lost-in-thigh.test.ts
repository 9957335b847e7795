/** Two of 16 electrodes lost on a layered thigh, its muscles followed. No outside truth: our own forward solution on another,
 *  finer mesh. The wish is the project's own: a single target's position error grows by at most a tenth of the radius. */
import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import { createMeshSolver, readingsFrom } from "../../core/physics/solve-forward.ts";
import { cellCentres } from "../../core/picture/image-rows.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel, meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { limbSubject } from "../../core/picture/subject.ts";
import { positionError } from "./disc-targets.ts";

const halfWidth = 0.085;
const halfDepth = 0.08;
const radius = Math.sqrt(halfWidth * halfDepth);

// At least 97 in 100 keep within a tenth. What is beyond lies near the skin under a lost electrode, most often under two
// with one between: with adjacent drives that leaves a quarter of the skin without readings. A model made anew without them
// shows such targets no nearer to their places, nor does a twentieth of λ: no picture by one matrix does.
test("patches in muscles stay in their places", () => {
	const pattern = createPattern(16, "adjacent");
	const limb = createThigh({
		side: "left",
		outline: { type: "ellipse", a: halfWidth, b: halfDepth },
		fatThickness: 0.006,
		level: 0.5,
	});
	const band = {
		electrodeCount: 16,
		electrodeWidth: 0.02,
		firstAngle: Math.PI / 2,
		direction: "clockwise",
	} as const;
	const subject = limbSubject(limb, band, 50_000);
	const fine = meshSubject(subject, 4000);
	const centres = cellCentres(fine);
	const solver = createMeshSolver(fine);
	const atRest = restSigma(subject, fine);
	const read = (sigma: Float64Array) =>
		readingsFrom(solver.solve(sigma, subject.contactImpedance), pattern, 1);
	const rest = read(atRest);
	const isMuscle = (k: number) => subject.regions[fine.regionOf[k]! - 1]?.tissue === "muscle";
	const targets = [0.35, 0.5, 0.65, 0.8].flatMap((share, ring) =>
		Array.from({ length: 5 }, (_, i) => {
			const angle = (2 * Math.PI * i) / 5 + 0.3 * ring + 0.1;
			const x = share * halfWidth * Math.cos(angle);
			const y = share * halfDepth * Math.sin(angle);
			const cells = Array.from(atRest.keys()).filter(
				(k) => Math.hypot(centres[2 * k]! - x, centres[2 * k + 1]! - y) < 0.1 * radius,
			);
			return { x, y, cells };
		}).filter(({ cells }) => cells.every(isMuscle)),
	);
	expect(targets.length).toBeGreaterThan(10);
	const model = buildPictureModel({
		subject,
		pattern,
		ohmMetrePerUnit: 1,
		noise: null,
		prior: "diagonal",
		rule: "noise-figure",
		values: "cells",
		targetTriangles: 1200,
	});
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);
	const frames = targets.map(({ x, y, cells }) => {
		const sigma = atRest.slice();
		for (const k of cells) sigma[k]! *= 1.2;
		const readings = read(sigma);
		kernel.apply(readings);
		return { x, y, readings, before: positionError(kernel.values, model.geometry, x, y) };
	});
	const growths: number[] = [];
	for (let a = 0; a < 16; a++) {
		for (let b = a + 1; b < 16; b++) {
			const kept = keepWithout(pattern, [a, b]);
			kernel.setTrust(trustReadings(model, kept));
			for (const { x, y, readings, before } of frames) {
				kernel.apply(readings.map((value, r) => (kept[r] === 0 ? Number.NaN : value)));
				growths.push((positionError(kernel.values, model.geometry, x, y) - before) / radius);
			}
		}
	}
	growths.sort((one, other) => one - other);
	const quantile = (share: number) => growths[Math.floor(share * (growths.length - 1))]!;
	expect(quantile(0.95)).toBeLessThan(0.08);
	expect(quantile(0.97)).toBeLessThan(0.1);
	expect(quantile(1)).toBeLessThan(0.35);
});
