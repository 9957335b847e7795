/**
 * Where a rise began, from samples around it. The rise may be abrupt or gentle, so a level followed by k·(t − t₀)^p is
 * fitted for several p, and the moments t₀ are averaged with their likelihood as weight. A threshold alone would be
 * late by as long as the rise needs to leave the noise.
 *
 * Comparable: maximum-likelihood change detection for muscle onset, G. Staude & W. Wolf, "Objective motor response
 * onset detection in surface myoelectric signals", Med. Eng. Phys. 21:449, 1999 (cited from memory). The powers, the
 * prior on the level and the averaging are our own.
 */

const POWERS = [1, 1.5, 2] as const;
/** The level known from rest before counts as much as this many samples. */
const LEVEL_WEIGHT = 6;
const STEPS = 120;
/** [power × (STEPS + 1)], used within one call. */
const misfits = new Float64Array(POWERS.length * (STEPS + 1));

/**
 * @param times [count] s, in any order; @param values [count] signed so that the rise goes up. A fall is passed backwards with
 * negated times.
 * @param level expected before the rise; @param noise standard deviation of one sample, above zero
 * @param earliest, latest bounds of the answer, s
 * @returns t₀ in s; NaN if no rise fits. Allocates nothing.
 */
export function fitOnset(
	times: Float64Array,
	values: Float64Array,
	count: number,
	level: number,
	noise: number,
	earliest: number,
	latest: number,
): number {
	if (count < 3 || !(latest > earliest)) return Number.NaN;
	const step = (latest - earliest) / STEPS;
	let best = Number.POSITIVE_INFINITY;
	for (let i = 0; i < misfits.length; i++) {
		const start = earliest + (i % (STEPS + 1)) * step;
		misfits[i] = misfit(times, values, count, level, start, POWERS[Math.floor(i / (STEPS + 1))]!);
		best = Math.min(best, misfits[i]!);
	}
	if (best === Number.POSITIVE_INFINITY) return Number.NaN;
	// the shapes are not exact: residuals above the noise widen the likelihood instead of feigning precision
	const variance = Math.max(noise * noise, best / Math.max(1, count - 2));
	let weights = 0;
	let sum = 0;
	for (let i = 0; i < misfits.length; i++) {
		const weight = Math.exp((best - misfits[i]!) / (2 * variance));
		weights += weight;
		sum += weight * (earliest + (i % (STEPS + 1)) * step);
	}
	return sum / weights;
}

/** Sum of squares left by the best level b and slope k > 0 of b + k·max(0, t − t₀)^p; infinite if none rises. */
function misfit(
	times: Float64Array,
	values: Float64Array,
	count: number,
	level: number,
	start: number,
	power: number,
): number {
	// relative to the known level; the prior on it is LEVEL_WEIGHT samples of zero before the rise
	const n = count + LEVEL_WEIGHT;
	let sy = 0;
	let syy = 0;
	let sr = 0;
	let srr = 0;
	let sry = 0;
	for (let i = 0; i < count; i++) {
		const y = values[i]! - level;
		sy += y;
		syy += y * y;
		const s = times[i]! - start;
		if (s <= 0) continue;
		const r = power === 1 ? s : power === 2 ? s * s : s * Math.sqrt(s);
		sr += r;
		srr += r * r;
		sry += r * y;
	}
	const spread = srr - (sr * sr) / n;
	const slope = (sry - (sr * sy) / n) / spread;
	if (!(spread > 0 && slope > 0)) return Number.POSITIVE_INFINITY;
	return Math.max(0, syy - (sy * sy) / n - slope * slope * spread);
}
