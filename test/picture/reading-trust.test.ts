import { expect, test } from "vitest";
import type { ReadingPattern } from "../../core/band/band.ts";
import { createPattern, patternFromRows } from "../../core/band/patterns.ts";
import { createMeshSolver } from "../../core/physics/solve-forward.ts";
import { foldInto } from "../../core/picture/fold.ts";
import { everyCell } from "../../core/picture/image-rows.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel } from "../../core/picture/picture-model.ts";
import { createTrustedInput, keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { createReconstruction } from "../../core/picture/reconstruction.ts";
import { sensitivity } from "../../core/picture/sensitivity.ts";
import { createDiscMesh, createDiscSubject, discRadius, trianglesOf } from "./create-disc.ts";
import { createTargets, positionError } from "./disc-targets.ts";
import { createRandom, relativeDifference, solve } from "./plain-algebra.ts";

/** Three drives for each electrode: more readings than a ring has independent resistances. */
function createRichPattern(electrodeCount: number): ReadingPattern {
	const rows = (["skip-0", "skip-1", "skip-2"] as const).flatMap((rule) => {
		const { terminals } = createPattern(electrodeCount, rule, "four-terminal", "adjacent");
		return Array.from({ length: terminals.length / 4 }, (_, r) => [...terminals.subarray(4 * r, 4 * r + 4)]);
	});
	return patternFromRows("rich", electrodeCount, rows);
}

interface Trial {
	readonly pattern: ReadingPattern;
	readonly triangles: number;
	readonly kind: "reciprocal" | "reduced" | "independent";
}

const trials: readonly Trial[] = [
	{ pattern: createPattern(8, "adjacent"), triangles: 300, kind: "reciprocal" },
	{ pattern: createPattern(28, "adjacent"), triangles: 700, kind: "reduced" },
	{ pattern: createRichPattern(8), triangles: 300, kind: "independent" },
];

function createTrial({ pattern, triangles }: Trial) {
	const { electrodeCount, terminals } = pattern;
	const readingCount = terminals.length / 4;
	const mesh = createDiscMesh({ electrodeCount, triangles });
	const sigma = new Float64Array(trianglesOf(mesh)).fill(0.3);
	const field = createMeshSolver(mesh).solve(sigma, createDiscSubject(electrodeCount).contactImpedance);
	const deviation = Float64Array.from({ length: readingCount }, (_, r) => 1e-3 * (1 + (r % 5)));
	const reconstruction = createReconstruction({
		mesh,
		sigma,
		field,
		pattern,
		ohmPerUnit: new Float64Array(readingCount).fill(1),
		deviation,
		prior: "diagonal",
		rule: "noise-figure",
	});
	const matrix = reconstruction.matrixOf(everyCell(reconstruction.cellCount));
	const rows = sensitivity(mesh, field, terminals);
	return { readingCount, deviation, reconstruction, matrix, rows };
}

/** x = P·Aᵀ·(A·P·Aᵀ + λ²·Σ)⁻¹·y over the readings that keep anything, with variances divided by what they keep. */
function pictureFromScratch(
	{ readingCount, deviation, reconstruction, rows }: ReturnType<typeof createTrial>,
	kept: Float64Array,
	y: Float64Array,
): Float64Array {
	const cells = reconstruction.cellCount;
	const white = rows.map((value, i) => value / deviation[Math.floor(i / cells)]!);
	const variance = new Float64Array(cells);
	for (let i = 0; i < white.length; i++) variance[i % cells]! += white[i]! ** 2;
	for (let k = 0; k < cells; k++) variance[k] = 1 / Math.sqrt(variance[k]!);
	let trace = 0;
	for (let i = 0; i < white.length; i++) trace += white[i]! ** 2 * variance[i % cells]!;
	const noise = (reconstruction.strength.lambda ** 2 * trace) / reconstruction.fold.count;
	const used = Array.from({ length: readingCount }, (_, r) => r).filter((r) => kept[r]! > 0);
	const system = new Float64Array(used.length ** 2);
	for (const [i, a] of used.entries()) {
		for (const [j, b] of used.entries()) {
			if (j > i) break;
			let sum = i === j ? noise / kept[a]! : 0;
			for (let k = 0; k < cells; k++) sum += white[a * cells + k]! * variance[k]! * white[b * cells + k]!;
			system[i * used.length + j] = sum;
			system[j * used.length + i] = sum;
		}
	}
	const right = Float64Array.from(used, (r) => y[r]! / deviation[r]!);
	const weights = solve(system, right);
	const picture = new Float64Array(cells);
	for (const [i, r] of used.entries()) {
		for (let k = 0; k < cells; k++) picture[k]! += variance[k]! * white[r * cells + k]! * weights[i]!;
	}
	return picture;
}

function pictureByUpdate(
	{ readingCount, reconstruction, matrix }: ReturnType<typeof createTrial>,
	kept: Float64Array,
	y: Float64Array,
): Float64Array {
	const { fold, dataSpace } = reconstruction;
	const trust = trustReadings({ fold, dataSpace, readingCount }, kept)!;
	const input = createTrustedInput(dataSpace, trust);
	const weighed = y.slice();
	input.weigh(weighed);
	const whitened = new Float64Array(fold.count);
	foldInto(fold, weighed, whitened);
	const { shares } = dataSpace;
	const values = shares === null ? whitened : new Float64Array(dataSpace.eigenvalues.length);
	if (shares !== null)
		for (let i = 0; i < shares.length; i++) {
			values[i % values.length]! += shares[i]! * whitened[Math.floor(i / values.length)]!;
		}
	input.complete(values);
	const picture = new Float64Array(matrix.rowCount);
	for (let j = 0; j < values.length; j++) {
		for (let k = 0; k < picture.length; k++)
			picture[k]! += matrix.values[j * matrix.rowStride + k]! * values[j]!;
	}
	return picture;
}

// Against the textbook formula, made from scratch without the readings that are lost.
test.each(trials)("the update equals a new reconstruction, $kind readings", (trial) => {
	const made = createTrial(trial);
	expect(made.reconstruction.dataSpace.shares !== null).toBe(trial.kind === "reduced");
	expect(made.reconstruction.fold.mix.kind === "independent").toBe(trial.kind === "independent");
	const y = Float64Array.from({ length: made.readingCount }, createRandom(4));
	const lost = keepWithout(trial.pattern, [1, 4]);
	const half = lost.map((w, r) => (w === 1 ? 1 : 0.05 + 0.001 * (r % 7)));
	for (const kept of trial.kind === "reduced" ? [lost] : [lost, half]) {
		const expected = pictureFromScratch(made, kept, y);
		const missing = y.map((v, r) => (kept[r] === 0 ? Number.NaN : v));
		expect(relativeDifference(pictureByUpdate(made, kept, missing), expected)).toBeLessThan(2e-4);
	}
});

const subject = {
	...createDiscSubject(),
	regions: [-0.05, 0.05].map((x) => ({
		id: x < 0 ? "west" : "east",
		name: x < 0 ? "West" : "East",
		tissue: "muscle" as const,
		points: Array.from({ length: 24 }, (_, i) => {
			const angle = (2 * Math.PI * i) / 24;
			return [x + 0.02 * Math.cos(angle), 0.02 * Math.sin(angle)] as const;
		}),
		sigma: 0.3,
		inTrends: true,
	})),
};
const pattern = createPattern(16, "adjacent");
const model = buildPictureModel({
	subject,
	pattern,
	ohmMetrePerUnit: 1,
	noise: null,
	prior: "diagonal",
	rule: "noise-figure",
	values: "cells",
});
const readingsWithTarget = createTargets(subject, pattern);

test("with any 2 of 16 electrodes lost a target's position error grows by at most 10 % of the radius", () => {
	const rest = readingsWithTarget(0, 0, 0);
	const places = [0, 0.25, 0.45, 0.6, 0.7, 0.8].flatMap((share) =>
		(share === 0 ? [0] : [0.1, 1.6, 3.4]).map((angle) => {
			const x = share * discRadius * Math.cos(angle);
			const y = share * discRadius * Math.sin(angle);
			return { share, x, y, readings: readingsWithTarget(x, y, 0.1 * discRadius) };
		}),
	);
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);
	const before = places.map(({ x, y, readings }) => {
		kernel.apply(readings);
		return positionError(kernel.values, model.geometry, x, y);
	});
	let [largest, largestNearSkin] = [0, 0];
	for (let a = 0; a < 16; a++) {
		for (let b = a + 1; b < 16; b++) {
			const kept = keepWithout(pattern, [a, b]);
			kernel.setTrust(trustReadings(model, kept));
			for (const [i, { share, x, y, readings }] of places.entries()) {
				kernel.apply(readings.map((v, r) => (kept[r] === 0 ? Number.NaN : v)));
				const growth = positionError(kernel.values, model.geometry, x, y) - before[i]!;
				if (share > 0.7) largestNearSkin = Math.max(largestNearSkin, growth);
				else largest = Math.max(largest, growth);
			}
		}
	}
	expect(largest / discRadius).toBeLessThan(0.1);
	// under two lost electrodes with one between a quarter of the skin is without readings; a model made anew without them
	// reaches 0.20 here
	expect(largestNearSkin / discRadius).toBeLessThan(0.2);
});

test("trends keep their scale while electrodes are lost, and come back exactly", () => {
	const kernel = createPictureKernel(model);
	kernel.setBaseline(readingsWithTarget(0, 0, 0));
	const readings = readingsWithTarget(0.05, 0, 0.018);
	kernel.applyToRegions(readings);
	const [, whole] = kernel.regionMeans;
	const unchanged = kernel.regionMeans.slice();
	for (const lost of [[0], [1, 15], [0, 8], [4, 12]]) {
		kernel.setTrust(trustReadings(model, keepWithout(pattern, lost)));
		kernel.applyToRegions(readings);
		const [west, east] = kernel.regionMeans;
		expect(east! / whole!, `without ${lost}`).toBeGreaterThan(2 / 3);
		expect(east! / whole!, `without ${lost}`).toBeLessThan(3 / 2);
		expect(Math.abs(west! / east!)).toBeLessThan(0.2);
	}
	kernel.setTrust(null);
	kernel.applyToRegions(readings);
	expect(kernel.regionMeans).toEqual(unchanged);
});

test("everything kept changes nothing, and bad shares are refused", () => {
	expect(trustReadings(model, new Float64Array(208).fill(1))).toBeNull();
	expect(() => trustReadings(model, new Float64Array(207))).toThrow(RangeError);
	expect(() => trustReadings(model, new Float64Array(208).fill(Number.NaN))).toThrow(RangeError);
});
