/**
 * How strongly to regularise, by a published rule. Everything happens in the eigenbasis of the whitened data-space
 * matrix M = A·P·Aᵀ = U·diag(μ)·Uᵀ, scaled to a mean eigenvalue of 1, where the reconstruction damps component i by
 * μᵢ/(μᵢ + λ²): trying a λ costs a few thousand operations. λ is therefore relative: λ² is the variance of the
 * noise in units of the mean variance that the prior gives the readings.
 */
export type StrengthRule =
	/** λ at which the noise figure is `NOISE_FIGURE_TARGET` (Adler & Guardo, IEEE Trans. Med. Imaging 15:170, 1996;
	 *  Graham & Adler, Physiol. Meas. 27:S65, 2006). */
	| "noise-figure"
	/** λ of the smallest generalised cross-validation (Golub, Heath & Wahba, Technometrics 21:215, 1979). */
	| "gcv"
	/** λ at the corner of the L-curve (Hansen, SIAM Rev. 34:561, 1992). */
	| "l-curve";

/** Chosen on simulated tanks (another, finer mesh; one to four bodies of various shapes; readings off by 4.5 %), not
 *  on measured ones: of 0.75 to 2.5 it had the least mean position error, to within 1 %, with 16 and with 32
 *  electrodes, and found all but one body in 200. The literature uses 0.5 to 2. */
export const NOISE_FIGURE_TARGET = 1.5;

/** What the rules look at, in the eigenbasis. n components. */
export interface StrengthProblem {
	/** Whitened readings: n, or more where what lies outside of the n components is nothing but noise. */
	readonly readingCount: number;
	/** [n] μ ascending, mean 1. */
	readonly eigenvalues: Float64Array;
	/** [n] the readings' answer to a small change at the section's centre. */
	readonly central: Float64Array;
	/** [n × n] image energy: areas-weighted inner products of the pictures of unit components (before damping). */
	readonly imageGram: Float64Array;
	/** [n] mean square of the data over all frames, by component. */
	readonly dataEnergy: Float64Array;
	/** Mean square of the data that no conductivity can explain (mismatch of reciprocal readings), and how many
	 *  readings were folded away. */
	readonly mismatchEnergy: number;
	readonly mismatchCount: number;
}

/** What every rule looks at, over all λ that are tried: for a plot of the choice. */
export interface StrengthCurve {
	/** [nSteps] ascending, evenly in its logarithm. */
	readonly lambda: Float64Array;
	/** [nSteps] what the rule in force judges by: noise figure, cross-validation score or curvature. */
	readonly score: Float64Array;
	/** [nSteps] */
	readonly noiseFigure: Float64Array;
	/** [nSteps] V(λ) of generalised cross-validation. */
	readonly crossValidation: Float64Array;
	/** [nSteps] ‖residual‖ and ‖x‖ in the prior's norm: the L-curve's axes, both logarithmic as a rule. */
	readonly residualNorm: Float64Array;
	readonly imageNorm: Float64Array;
	/** What each rule would choose. */
	readonly choices: Readonly<Record<StrengthRule, number>>;
}

/** A curve as plain lists, as messages and files hold it. */
export function listsOfCurve({
	lambda,
	noiseFigure,
	crossValidation,
	residualNorm,
	imageNorm,
}: StrengthCurve) {
	return {
		lambda: Array.from(lambda),
		noiseFigure: Array.from(noiseFigure),
		crossValidation: Array.from(crossValidation),
		residualNorm: Array.from(residualNorm),
		imageNorm: Array.from(imageNorm),
	};
}

export interface Strength {
	readonly rule: StrengthRule;
	readonly lambda: number;
	readonly noiseFigure: number;
	readonly curve: StrengthCurve;
}

/** Powers of ten. */
const LEAST = -5;
const MOST = 1;
const STEPS = 61;

/** @param byHand λ that is taken instead of the rule's choice; null: the rule chooses */
export function chooseStrength(
	rule: StrengthRule,
	problem: StrengthProblem,
	byHand: number | null = null,
): Strength {
	const lambda = Float64Array.from(
		{ length: STEPS },
		(_, i) => 10 ** (LEAST + ((MOST - LEAST) * i) / (STEPS - 1)),
	);
	const scores: Readonly<Record<StrengthRule, Float64Array>> = {
		"noise-figure": lambda.map((l) => noiseFigure(problem, l)),
		gcv: lambda.map((l) => crossValidation(problem, l)),
		"l-curve": lambda.map((l) => cornerCurvature(problem, l)),
	};
	const choiceOf = (by: StrengthRule) => choose(by, problem, lambda, scores[by]);
	const choices = {
		"noise-figure": choiceOf("noise-figure"),
		gcv: choiceOf("gcv"),
		"l-curve": choiceOf("l-curve"),
	};
	const chosen = byHand ?? choices[rule];
	return {
		rule,
		lambda: chosen,
		noiseFigure: noiseFigure(problem, chosen),
		curve: {
			lambda,
			score: scores[rule],
			noiseFigure: scores["noise-figure"],
			crossValidation: scores.gcv,
			residualNorm: lambda.map((l) => Math.sqrt(normsAt(problem, l).residual)),
			imageNorm: lambda.map((l) => Math.sqrt(normsAt(problem, l).size)),
			choices,
		},
	};
}

function scoreOf(rule: StrengthRule, problem: StrengthProblem, lambda: number): number {
	switch (rule) {
		case "noise-figure":
			return noiseFigure(problem, lambda);
		case "gcv":
			return crossValidation(problem, lambda);
		case "l-curve":
			return cornerCurvature(problem, lambda);
	}
}

function choose(
	rule: StrengthRule,
	problem: StrengthProblem,
	lambda: Float64Array,
	score: Float64Array,
): number {
	if (rule === "noise-figure") return lambdaOfNoiseFigure(problem, lambda, score);
	let best = 0;
	const better = rule === "gcv" ? (a: number, b: number) => a < b : (a: number, b: number) => a > b;
	for (let i = 1; i < score.length; i++) if (better(score[i]!, score[best]!)) best = i;
	const from = Math.log10(lambda[Math.max(best - 1, 0)]!);
	const to = Math.log10(lambda[Math.min(best + 1, lambda.length - 1)]!);
	return 10 ** goldenSection((x) => (rule === "gcv" ? 1 : -1) * scoreOf(rule, problem, 10 ** x), from, to);
}

/** The noise figure falls as λ rises until pictures are nothing but blur, so the smallest λ that reaches the target
 *  is taken; where none does, the λ of the smallest figure. */
function lambdaOfNoiseFigure(problem: StrengthProblem, lambda: Float64Array, score: Float64Array): number {
	let reached = score.findIndex((figure) => figure <= NOISE_FIGURE_TARGET);
	if (reached < 0) reached = score.indexOf(Math.min(...score));
	if (reached === 0 || score[reached]! > NOISE_FIGURE_TARGET) return lambda[reached]!;
	let low = Math.log10(lambda[reached - 1]!);
	let high = Math.log10(lambda[reached]!);
	for (let i = 0; i < 30; i++) {
		const middle = (low + high) / 2;
		if (noiseFigure(problem, 10 ** middle) > NOISE_FIGURE_TARGET) low = middle;
		else high = middle;
	}
	return 10 ** high;
}

function goldenSection(f: (x: number) => number, from: number, to: number): number {
	const ratio = (Math.sqrt(5) - 1) / 2;
	let a = from;
	let b = to;
	let left = b - ratio * (b - a);
	let right = a + ratio * (b - a);
	let fLeft = f(left);
	let fRight = f(right);
	for (let i = 0; i < 30; i++) {
		if (fLeft < fRight) {
			b = right;
			right = left;
			fRight = fLeft;
			left = b - ratio * (b - a);
			fLeft = f(left);
		} else {
			a = left;
			left = right;
			fLeft = fRight;
			right = a + ratio * (b - a);
			fRight = f(right);
		}
	}
	return (a + b) / 2;
}

/**
 * NF = SNR(readings) / SNR(picture) for a small change at the centre, root-mean-square form: both ratios are rms
 * signal over rms noise, readings in units of their own noise, the picture by area. (The cited papers also use means
 * of magnitudes; the variants differ by a factor that depends little on λ.) Scaling the picture or all noise leaves
 * it unchanged; a reconstruction that hands the readings through has NF = 1.
 */
export function noiseFigure(problem: StrengthProblem, lambda: number): number {
	const { eigenvalues, central, imageGram, readingCount } = problem;
	const n = eigenvalues.length;
	const lambda2 = lambda * lambda;
	let reading = 0;
	let noise = 0;
	let signal = 0;
	const damped = central.map((c, i) => c / (eigenvalues[i]! + lambda2));
	for (let i = 0; i < n; i++) {
		reading += central[i]! ** 2;
		noise += imageGram[i * n + i]! / (eigenvalues[i]! + lambda2) ** 2;
		let row = 0;
		for (let j = 0; j < n; j++) row += imageGram[i * n + j]! * damped[j]!;
		signal += damped[i]! * row;
	}
	return Math.sqrt((reading / readingCount) * (noise / signal));
}

/** V(λ) = N·‖(I − H)y‖² / tr(I − H)², over all readings: those folded away add their mismatch and their count. */
export function crossValidation(problem: StrengthProblem, lambda: number): number {
	const { eigenvalues, dataEnergy, mismatchEnergy, mismatchCount } = problem;
	const lambda2 = lambda * lambda;
	let residual = mismatchEnergy;
	let trace = mismatchCount;
	for (let i = 0; i < eigenvalues.length; i++) {
		const left = lambda2 / (eigenvalues[i]! + lambda2);
		residual += left * left * dataEnergy[i]!;
		trace += left;
	}
	return ((eigenvalues.length + mismatchCount) * residual) / (trace * trace);
}

/** ‖x‖² in the prior's norm and ‖residual‖² for the L-curve. */
export function normsAt({ eigenvalues, dataEnergy }: StrengthProblem, lambda: number) {
	const lambda2 = lambda * lambda;
	let size = 0;
	let residual = 0;
	for (let i = 0; i < eigenvalues.length; i++) {
		const damping = 1 / (eigenvalues[i]! + lambda2);
		size += eigenvalues[i]! * damping * damping * dataEnergy[i]!;
		residual += (lambda2 * damping) ** 2 * dataEnergy[i]!;
	}
	return { size, residual };
}

/** Curvature of (log residual, log size) over log λ, by central differences; positive at the corner. */
export function cornerCurvature(problem: StrengthProblem, lambda: number): number {
	const step = 0.05;
	const [before, at, after] = [-step, 0, step].map((h) => {
		const { size, residual } = normsAt(problem, lambda * Math.exp(h));
		return [Math.log(residual) / 2, Math.log(size) / 2] as const;
	}) as unknown as readonly [readonly [number, number], readonly [number, number], readonly [number, number]];
	const dx = (after[0] - before[0]) / (2 * step);
	const dy = (after[1] - before[1]) / (2 * step);
	const ddx = (after[0] - 2 * at[0] + before[0]) / step ** 2;
	const ddy = (after[1] - 2 * at[1] + before[1]) / step ** 2;
	return (dx * ddy - dy * ddx) / (dx * dx + dy * dy) ** 1.5;
}
