import { expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createPictureKernel } from "../../core/picture/picture-kernel.ts";
import { buildPictureModel, type PictureModel } from "../../core/picture/picture-model.ts";
import { keepWithout, trustReadings } from "../../core/picture/reading-trust.ts";
import { createDiscSubject } from "./create-disc.ts";
import { createRandom, relativeDifference } from "./plain-algebra.ts";

const pattern = createPattern(16, "adjacent");
const kept = keepWithout(pattern, [2, 9]);

/** Two bodies that are followed, so that the prior lets each change as a whole, or are not. */
function createModel(inTrends: boolean, lambda: number): PictureModel {
	const regions = [-0.05, 0.05].map((x) => ({
		id: `at ${x}`,
		name: `At ${x}`,
		tissue: "muscle" as const,
		points: Array.from({ length: 24 }, (_, i) => {
			const angle = (2 * Math.PI * i) / 24;
			return [x + 0.03 * Math.cos(angle), 0.03 * Math.sin(angle)] as const;
		}),
		sigma: 0.3,
		inTrends,
	}));
	return buildPictureModel({
		subject: { ...createDiscSubject(), regions },
		pattern,
		ohmMetrePerUnit: 1,
		noise: null,
		// whose values are not standardised
		prior: "laplace",
		rule: "noise-figure",
		lambda,
		values: "cells",
		targetTriangles: 600,
	});
}

const random = createRandom(7);
const rest = Float64Array.from({ length: 208 }, () => 2 + random());
const readings = rest.map((value) => value * (1 + 0.01 * random()));

function wholePictureOf(model: PictureModel): Float32Array {
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);
	kernel.apply(readings);
	return kernel.values;
}

function pictureOf(model: PictureModel, otherLambda: number | null = null) {
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);
	kernel.setTrust(trustReadings(model, kept));
	kernel.setLambda(otherLambda);
	kernel.apply(readings.map((value, r) => (kept[r] === 0 ? Number.NaN : value)));
	return kernel.values;
}

test("with readings lost the image no longer believes in whole regions, and is otherwise the same", () => {
	const model = createModel(true, 0.02);
	const { regionAnswers, eigenvalues } = model.dataSpace;
	// λ is relative to the mean variance of the readings, of which whole regions are a part
	const part = regionAnswers.reduce((sum, value) => sum + value * value, 0) / eigenvalues.length;
	const plain = createModel(false, 0.02 / Math.sqrt(1 - part));
	expect(relativeDifference(pictureOf(model), pictureOf(plain))).toBeLessThan(1e-3);
	expect(relativeDifference(wholePictureOf(model), wholePictureOf(plain))).toBeGreaterThan(0.05);
});

test.each([0.004, 0.1])(
	"a picture at another λ = %s is that of a model made at it, with readings lost, too",
	(lambda) => {
		const other = pictureOf(createModel(true, 0.02), lambda);
		const made = pictureOf(createModel(true, lambda));
		expect(relativeDifference(other, made)).toBeLessThan(1e-3);
	},
);

test("setting what is trusted leaves the last picture as it is", () => {
	const model = createModel(true, 0.02);
	const kernel = createPictureKernel(model);
	kernel.setBaseline(rest);
	kernel.apply(readings);
	const shown = kernel.values.slice();
	kernel.setTrust(trustReadings(model, kept));
	expect(kernel.values).toEqual(shown);
});
