import { expect, test } from "vitest";
import {
	chooseStrength,
	cornerCurvature,
	crossValidation,
	NOISE_FIGURE_TARGET,
	noiseFigure,
	normsAt,
	type StrengthProblem,
} from "../../core/picture/strength.ts";
import { createRandom } from "./plain-algebra.ts";

/** Singular values falling by a constant factor, as in tomography; the image basis is orthonormal. */
function createIllPosed(n = 60, noise = 1e-3): StrengthProblem & { readonly truth: Float64Array } {
	const raw = Float64Array.from({ length: n }, (_, i) => 0.75 ** (n - 1 - i));
	const mean = raw.reduce((a, b) => a + b) / n;
	const eigenvalues = raw.map((v) => v / mean);
	const imageGram = new Float64Array(n * n);
	for (let i = 0; i < n; i++) imageGram[i * n + i] = eigenvalues[i]!;
	const random = createRandom(17);
	// sum of 12 uniform numbers: close to Gaussian (Irwin–Hall)
	const gaussian = () => Array.from({ length: 12 }, random).reduce((a, b) => a + b) / 2;
	const truth = eigenvalues.map((mu) => Math.sqrt(mu) * gaussian());
	return {
		readingCount: n,
		eigenvalues,
		central: eigenvalues.map(Math.sqrt),
		imageGram,
		truth,
		dataEnergy: truth.map((value) => (value + noise * gaussian()) ** 2),
		mismatchEnergy: 0,
		mismatchCount: 0,
	};
}

// Scalar Tikhonov: J = 2, y = 5: x = J·y/(J² + λ²) is 2 at λ = 1 and 2.5 at λ = 0. Worked by hand.
test("the scalar case damps as worked by hand", () => {
	const problem: StrengthProblem = {
		readingCount: 1,
		eigenvalues: Float64Array.of(4),
		central: Float64Array.of(2),
		imageGram: Float64Array.of(4),
		dataEnergy: Float64Array.of(25),
		mismatchEnergy: 0,
		mismatchCount: 0,
	};
	// ‖x‖² in the prior's norm (P = 1): 4·25/(4 + λ²)²
	expect(Math.sqrt(normsAt(problem, 1).size)).toBeCloseTo(2, 12);
	expect(Math.sqrt(normsAt(problem, 1e-9).size)).toBeCloseTo(2.5, 12);
	expect(Math.sqrt(normsAt(problem, 1).residual)).toBeCloseTo(5 - 2 * 2, 12);
});

// A reconstruction that hands the readings through has noise figure 1; one number cannot change its ratio to noise.
test("the noise figure of a single reading is one at any strength", () => {
	const problem: StrengthProblem = {
		readingCount: 1,
		eigenvalues: Float64Array.of(1),
		central: Float64Array.of(3),
		imageGram: Float64Array.of(7),
		dataEnergy: Float64Array.of(1),
		mismatchEnergy: 0,
		mismatchCount: 0,
	};
	for (const lambda of [0.01, 1, 10]) expect(noiseFigure(problem, lambda)).toBeCloseTo(1, 12);
});

test("a reconstruction that is the identity has noise figure one", () => {
	const n = 9;
	const imageGram = new Float64Array(n * n);
	for (let i = 0; i < n; i++) imageGram[i * n + i] = 1;
	const problem: StrengthProblem = {
		readingCount: n,
		eigenvalues: new Float64Array(n).fill(1),
		central: Float64Array.from({ length: n }, createRandom(1)),
		imageGram,
		dataEnergy: new Float64Array(n).fill(1),
		mismatchEnergy: 0,
		mismatchCount: 0,
	};
	expect(noiseFigure(problem, 0.5)).toBeCloseTo(1, 12);
});

test("scaling the picture or the contrast leaves the noise figure as it is, and it falls as λ rises", () => {
	const problem = createIllPosed();
	const scaled = {
		...problem,
		imageGram: problem.imageGram.map((v) => 100 * v),
		central: problem.central.map((v) => -3 * v),
	};
	let last = Infinity;
	for (const lambda of [1e-4, 1e-3, 1e-2, 1e-1]) {
		const figure = noiseFigure(problem, lambda);
		expect(noiseFigure(scaled, lambda)).toBeCloseTo(figure, 10);
		expect(figure).toBeLessThan(last);
		last = figure;
	}
});

test("the chosen λ has the wanted noise figure", () => {
	const { lambda, noiseFigure: figure, curve } = chooseStrength("noise-figure", createIllPosed());
	expect(figure).toBeCloseTo(NOISE_FIGURE_TARGET, 6);
	expect(noiseFigure(createIllPosed(), lambda)).toBeCloseTo(NOISE_FIGURE_TARGET, 6);
	expect(curve.lambda.length).toBe(curve.score.length);
});

// Golub, Heath & Wahba 1979: the minimiser of V is close to that of the true prediction error ‖A·x − truth‖².
test("cross-validation nearly minimises the prediction error, which it does not know", () => {
	const noise = 0.02;
	const problem = createIllPosed(60, noise);
	const predictionError = (lambda: number) => {
		let error = 0;
		for (const [i, mu] of problem.eigenvalues.entries()) {
			const kept = mu / (mu + lambda * lambda);
			error += ((1 - kept) * problem.truth[i]!) ** 2 + (kept * noise) ** 2;
		}
		return error;
	};
	const { lambda, curve } = chooseStrength("gcv", problem);
	const least = Math.min(...curve.lambda.map(predictionError));
	expect(predictionError(lambda)).toBeLessThan(1.2 * least);
	for (const other of curve.lambda) {
		expect(crossValidation(problem, other)).toBeGreaterThanOrEqual(crossValidation(problem, lambda) - 1e-12);
	}
});

// Without folding, V is N·residual²/(N − effective parameters)²; the readings folded away count as residual.
test("cross-validation of folded readings equals that of all readings", () => {
	const problem = { ...createIllPosed(), mismatchEnergy: 0.3, mismatchCount: 60 };
	const lambda = 0.1;
	let residual = 0.3;
	let parameters = 0;
	for (const [i, mu] of problem.eigenvalues.entries()) {
		const kept = mu / (mu + lambda ** 2);
		residual += (1 - kept) ** 2 * problem.dataEnergy[i]!;
		parameters += kept;
	}
	expect(crossValidation(problem, lambda)).toBeCloseTo((120 * residual) / (120 - parameters) ** 2, 12);
});

// Hansen 1992: the corner parts a steep branch (noise blows the picture up) from a flat one (data left unexplained).
test("the L-curve's corner parts its steep from its flat branch", () => {
	const problem = createIllPosed(60, 0.02);
	const { lambda } = chooseStrength("l-curve", problem);
	const slope = (at: number) => {
		const [a, b] = [normsAt(problem, at * 0.9), normsAt(problem, at * 1.1)];
		return Math.log(b.size / a.size) / Math.log(b.residual / a.residual);
	};
	expect(slope(lambda / 8)).toBeLessThan(-1);
	expect(slope(lambda * 5)).toBeGreaterThan(-0.3);
	// truth was drawn from the prior, so the best λ is the noise
	expect(lambda / 0.02).toBeGreaterThan(1 / 3);
	expect(lambda / 0.02).toBeLessThan(3);
	expect(cornerCurvature(problem, lambda)).toBeGreaterThan(cornerCurvature(problem, lambda * 2));
	expect(cornerCurvature(problem, lambda)).toBeGreaterThan(cornerCurvature(problem, lambda / 2));
});

test("the curve shows what every rule looks at and would choose", () => {
	const problem = createIllPosed(60, 0.02);
	const strengths = (["noise-figure", "gcv", "l-curve"] as const).map((rule) =>
		chooseStrength(rule, problem),
	);
	for (const { rule, lambda, curve } of strengths) {
		expect(curve.choices[rule]).toBe(lambda);
		expect(curve.choices).toEqual(strengths[0]!.curve.choices);
		for (const [i, at] of curve.lambda.entries()) {
			const { size, residual } = normsAt(problem, at);
			expect(curve.noiseFigure[i]).toBe(noiseFigure(problem, at));
			expect(curve.crossValidation[i]).toBe(crossValidation(problem, at));
			expect(curve.imageNorm[i]).toBe(Math.sqrt(size));
			expect(curve.residualNorm[i]).toBe(Math.sqrt(residual));
		}
	}
	const byHand = chooseStrength("gcv", problem, 0.3);
	expect(byHand.lambda).toBe(0.3);
	expect(byHand.noiseFigure).toBe(noiseFigure(problem, 0.3));
	expect(byHand.curve.choices).toEqual(strengths[0]!.curve.choices);
});
