import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import type { OutlineShape, Point } from "../../core/limb/limb.ts";
import { createThigh } from "../../core/limb/thigh-atlas.ts";
import type { Mesh } from "../../core/mesh/mesh.ts";
import { readingsFrom, solveForward } from "../../core/physics/solve-forward.ts";
import { createDisplacementRows } from "../../core/picture/displacement-rows.ts";
import { cellCentres } from "../../core/picture/image-rows.ts";
import { electrodeMoves } from "../../core/picture/movement.ts";
import { createPictureKernel, type PictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel, meshSubject, restSigma } from "../../core/picture/picture-model.ts";
import { limbSubject, type PictureSubject } from "../../core/picture/subject.ts";
import { createDiscSubject } from "./create-disc.ts";

/** An oval thigh whose outline goes in and out by a share, so many times around. */
function outlineOf(share: number, waves: number): OutlineShape {
	return {
		type: "smooth",
		points: Array.from({ length: 48 }, (_, i): Point => {
			const angle = (2 * Math.PI * i) / 48;
			const radius = 1 + share * Math.cos(waves * angle + 0.7);
			return [0.085 * radius * Math.cos(angle), 0.08 * radius * Math.sin(angle)];
		}),
	};
}

function subjectOf(outline: OutlineShape, electrodeCount = 16, fatThickness = 0.008): PictureSubject {
	return limbSubject(
		createThigh({ side: "left", outline, fatThickness, level: 0.5 }),
		{
			electrodeCount,
			electrodeWidth: 0.32 / electrodeCount,
			firstAngle: Math.PI / 2,
			direction: "clockwise",
		},
		50_000,
	);
}

const atRest = subjectOf(outlineOf(0, 2));
const pattern = createPattern(16, "adjacent");

/** Readings on a mesh of the subject's own, finer than the picture's; `change` in S/m by the place of a cell. */
function readingsOf(
	subject: PictureSubject,
	of = pattern,
	change: (x: number, y: number, label: number) => number = () => 0,
): Float64Array {
	const mesh: Mesh = meshSubject(subject, 6000);
	const centres = cellCentres(mesh);
	const sigma = restSigma(subject, mesh).map(
		(s, k) => s + change(centres[2 * k]!, centres[2 * k + 1]!, mesh.regionOf[k]!),
	);
	return readingsFrom(solveForward(mesh, sigma, subject.contactImpedance), of, 1);
}

function createKernels(
	subject: PictureSubject,
	of: typeof pattern,
	rest: Float64Array,
	targetTriangles = 3200,
) {
	return [false, true].map((allowsMovement) => {
		const model = buildPictureModel({
			subject,
			pattern: of,
			ohmMetrePerUnit: 1,
			noise: rest.map((v) => 1e-3 * Math.hypot(v, 0.05)),
			rest,
			prior: "diagonal",
			rule: "noise-figure",
			values: "cells",
			targetTriangles,
			allowsMovement,
		});
		const kernel = createPictureKernel(model);
		kernel.setBaseline(rest);
		const energy = () => model.geometry.cellAreas.reduce((sum, a, k) => sum + a * kernel.values[k]! ** 2, 0);
		return { kernel, energy, model };
	}) as [Trial, Trial];
}

interface Trial {
	readonly kernel: PictureKernel;
	readonly energy: () => number;
	readonly model: ReturnType<typeof buildPictureModel>;
}

// Against differences of our own forward solution with the mesh's nodes moved by a micrometre to either side.
test("the answer of readings to moving electrodes is that of the moved mesh", () => {
	const mesh = meshSubject(atRest, 900);
	const sigma = restSigma(atRest, mesh);
	const { contactImpedance } = atRest;
	const moves = electrodeMoves(atRest, mesh);
	const field = solveForward(mesh, sigma, contactImpedance);
	const rows = new Float64Array(208 * 32);
	createDisplacementRows({ mesh, field, sigma, contactImpedance }, moves)(
		{ values: rows, stride: 32 },
		pattern.terminals,
	);
	for (const mode of [0, 7, 16, 25]) {
		const [ahead, back] = [1e-6, -1e-6].map((step) => {
			const nodes = mesh.nodes.map((v, i) => v + step * moves[mode * mesh.nodes.length + i]!);
			return readingsFrom(solveForward({ ...mesh, nodes }, sigma, contactImpedance), pattern, 1);
		});
		let difference = 0;
		let size = 0;
		for (let r = 0; r < 208; r++) {
			const exact = (ahead![r]! - back![r]!) / 2e-6;
			difference += (rows[r * 32 + mode]! - exact) ** 2;
			size += exact ** 2;
		}
		expect(Math.sqrt(difference / size)).toBeLessThan(1e-6);
	}
});

const rest = readingsOf(atRest);
const [still, moving] = createKernels(atRest, pattern, rest);

test.each([2, 3, 4])(
	"an outline that changes by a hundredth, %i waves around, paints a third as much or less",
	(waves) => {
		const moved = readingsOf(subjectOf(outlineOf(0.01, waves)));
		still.kernel.apply(moved);
		moving.kernel.apply(moved);
		expect(moving.energy() / still.energy()).toBeLessThan(1 / 3);
		// far better than asked for: what movement is told by is modelled in full
		expect(moving.energy() / still.energy()).toBeLessThan(0.1);
	},
);

test("a muscle that works while the outline changes is found, and others show at most a third of it", () => {
	for (const id of ["rectus-femoris", "vastus-intermedius", "hamstrings"]) {
		const subject = subjectOf(outlineOf(0.01, 2));
		const label = subject.regions.findIndex((region) => region.id === id) + 1;
		const change = 0.1 * subject.regions[label - 1]!.sigma;
		const readings = readingsOf(subject, pattern, (_x, _y, at) => (at === label ? change : 0));
		moving.kernel.applyToRegions(readings);
		const means = moving.model.trendRegions.map((region, i) => ({
			id: region.id,
			share: moving.kernel.regionMeans[i]! / change,
		}));
		for (const { id: other, share } of means) {
			if (other === id) expect(share, id).toBeGreaterThan(0.6);
			else expect(Math.abs(share), `${other} beside ${id}`).toBeLessThan(0.6 / 3);
		}
	}
});

test("through thick fat a working muscle is found beside movement as well", () => {
	const subject = subjectOf(outlineOf(0, 2), 16, 0.018);
	const [, { kernel, model }] = createKernels(subject, pattern, readingsOf(subject));
	for (const id of ["rectus-femoris", "vastus-intermedius"]) {
		const label = subject.regions.findIndex((region) => region.id === id) + 1;
		const change = 0.1 * subject.regions[label - 1]!.sigma;
		kernel.applyToRegions(readingsOf(subject, pattern, (_x, _y, at) => (at === label ? change : 0)));
		const means = model.trendRegions.map((region, i) => ({ id: region.id, mean: kernel.regionMeans[i]! }));
		const own = means.find((region) => region.id === id)!.mean;
		expect(own / change, id).toBeGreaterThan(0.55);
		for (const { id: other, mean } of means)
			if (other !== id) expect(Math.abs(mean) / own, `${other} beside ${id}`).toBeLessThan(1 / 3);
	}
});

test("it works with readings that are brought down to fewer values as well", () => {
	const ring = createPattern(32, "adjacent");
	const subject = subjectOf(outlineOf(0, 2), 32);
	const [before, after] = createKernels(subject, ring, readingsOf(subject, ring), 1500);
	expect(after.model.projection).not.toBeNull();
	const moved = readingsOf(subjectOf(outlineOf(0.01, 3), 32), ring);
	before.kernel.apply(moved);
	after.kernel.apply(moved);
	expect(after.energy() / before.energy()).toBeLessThan(1 / 3);
});

test("a subject without followed regions says why movement cannot be told apart", () => {
	expect(() =>
		buildPictureModel({
			subject: createDiscSubject(),
			pattern,
			ohmMetrePerUnit: 1,
			noise: null,
			prior: "diagonal",
			rule: "noise-figure",
			targetTriangles: 600,
			allowsMovement: true,
		}),
	).toThrow("only where regions are followed");
});
