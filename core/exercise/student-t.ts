/**
 * Student's t distribution. The tail is a regularised incomplete beta function: P(|T| > t) = I_x(ν/2, 1/2) with
 * x = ν/(ν + t²) (M. Abramowitz & I. Stegun, Handbook of Mathematical Functions, 1964, 26.7.1), which is computed by
 * its continued fraction (26.5.8) and the logarithm of the gamma function by Lanczos' series (C. Lanczos, SIAM J.
 * Numer. Anal. 1:86, 1964).
 */

/** P(|T| > t) for t ≥ 0 and ν > 0 degrees of freedom. */
export function tTwoSidedTail(t: number, degrees: number): number {
	if (!(t >= 0 && degrees > 0)) throw new RangeError("t distribution: t ≥ 0 and degrees > 0");
	return incompleteBeta(degrees / (degrees + t * t), degrees / 2, 0.5);
}

/** The t that |T| stays below with the given confidence, such as 0.95. */
export function tForConfidence(confidence: number, degrees: number): number {
	if (!(confidence > 0 && confidence < 1)) throw new RangeError("t distribution: confidence between 0 and 1");
	const tail = 1 - confidence;
	let low = 0;
	let high = 1;
	while (tTwoSidedTail(high, degrees) > tail) high *= 2;
	// bisection to the last digit: once per set, so speed does not matter
	for (let i = 0; i < 200; i++) {
		const middle = (low + high) / 2;
		if (middle <= low || middle >= high) break;
		if (tTwoSidedTail(middle, degrees) > tail) low = middle;
		else high = middle;
	}
	return (low + high) / 2;
}

function incompleteBeta(x: number, a: number, b: number): number {
	if (x <= 0) return 0;
	if (x >= 1) return 1;
	const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
	// the fraction converges fast below the mean of the beta distribution; symmetry serves the rest
	return x < (a + 1) / (a + b + 2)
		? (front * betaFraction(x, a, b)) / a
		: 1 - (front * betaFraction(1 - x, b, a)) / b;
}

/** 1/(1 + d₁/(1 + d₂/(1 + …))) of 26.5.8, evaluated by Lentz' method (Appl. Opt. 15:668, 1976). */
function betaFraction(x: number, a: number, b: number): number {
	const tiny = 1e-300;
	const orTiny = (value: number) => (Math.abs(value) < tiny ? tiny : value);
	let c = 1;
	let d = 1 / orTiny(1 - ((a + b) * x) / (a + 1));
	let f = d;
	for (let m = 1; m < 500; m++) {
		const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
		d = 1 / orTiny(1 + even * d);
		c = orTiny(1 + even / c);
		f *= c * d;
		const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
		d = 1 / orTiny(1 + odd * d);
		c = orTiny(1 + odd / c);
		f *= c * d;
		if (Math.abs(c * d - 1) < 1e-15) break;
	}
	return f;
}

const LANCZOS = [
	0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
	12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
] as const;

function logGamma(z: number): number {
	if (z < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * z)) - logGamma(1 - z);
	const x = z - 1;
	let sum: number = LANCZOS[0];
	for (let i = 1; i < LANCZOS.length; i++) sum += LANCZOS[i]! / (x + i);
	const t = x + 7.5;
	return 0.5 * Math.log(2 * Math.PI) + (x + 0.5) * Math.log(t) - t + Math.log(sum);
}
