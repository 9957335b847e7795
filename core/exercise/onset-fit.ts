/**
 * When a rise left rest, from samples around it: the moment at which its change without noise passes one standard
 * deviation of the noise at rest. That is the most sensitive of the thresholds compared by P. W. Hodges & B. H. Bui, EEG
 * Clin. Neurophysiol. 101:511, 1996 (1, 2 and 3 deviations). Where the rise is abrupt it is where the rise begins;
 * where it is gentle, no measurement tells where it begins, as its first part differs from rest by less than noise.
 *
 * No sample shows one deviation, so the rise is fitted: a level followed by k·(t − t₀)^p for several p, and the moments
 * at which these pass one deviation are averaged with their likelihood as weight. A threshold on samples would be late
 * by as long as the rise needs to leave the noise.
 *
 * Comparable: maximum-likelihood change detection for muscle onset, G. Staude & W. Wolf, "Objective motor response
 * onset detection in surface myoelectric signals", Med. Eng. Phys. 21:449, 1999 (both cited from memory). The powers,
 * the prior on the level and the averaging are our own.
 */

/** Most powers that are tried. */
const MOST_POWERS = 4;
/** The level known from rest before counts as much as this many samples. */
const LEVEL_WEIGHT = 10;
const STEPS = 120;
/** [power × (STEPS + 1)], used within one call. */
const misfits = new Float64Array(MOST_POWERS * (STEPS + 1));
/** The k of each. */
const slopes = new Float64Array(misfits.length);

/**
 * @param times [count] s, in any order; @param values [count] signed so that the rise goes up. A fall is passed backwards with
 * negated times.
 * @param level expected before the rise; @param noise standard deviation of one sample, above zero
 * @param earliest, latest bounds of the answer, s; @param powers p that are tried, above zero
 * @returns s; NaN if no rise fits. Allocates nothing.
 */
export function fitOnset(
	times: Float64Array,
	values: Float64Array,
	count: number,
	level: number,
	noise: number,
	earliest: number,
	latest: number,
	powers: readonly number[],
): number {
	if (powers.length > MOST_POWERS) throw new RangeError(`onset: at most ${MOST_POWERS} powers`);
	if (count < 3 || !(latest > earliest)) return Number.NaN;
	const step = (latest - earliest) / STEPS;
	const candidates = powers.length * (STEPS + 1);
	let best = Number.POSITIVE_INFINITY;
	for (let i = 0; i < candidates; i++) {
		const power = powers[Math.floor(i / (STEPS + 1))]!;
		fitPower(times, values, count, level, earliest + (i % (STEPS + 1)) * step, power, i);
		best = Math.min(best, misfits[i]!);
	}
	if (best === Number.POSITIVE_INFINITY) return Number.NaN;
	// the shapes are not exact: residuals above the noise widen the likelihood instead of feigning precision
	const variance = Math.max(noise * noise, best / Math.max(1, count - 2));
	let weights = 0;
	let sum = 0;
	for (let i = 0; i < candidates; i++) {
		const weight = Math.exp((best - misfits[i]!) / (2 * variance));
		if (weight === 0) continue;
		const hidden = (noise / slopes[i]!) ** (1 / powers[Math.floor(i / (STEPS + 1))]!);
		weights += weight;
		sum += weight * Math.min(latest, earliest + (i % (STEPS + 1)) * step + hidden);
	}
	return sum / weights;
}

/** Writes the best slope k > 0 of b + k·max(0, t − t₀)^p with a level b, and the sum of squares that it leaves; infinite if
 *  none rises. */
function fitPower(
	times: Float64Array,
	values: Float64Array,
	count: number,
	level: number,
	start: number,
	power: number,
	candidate: number,
): void {
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
		const r = power === 1 ? s : power === 2 ? s * s : s ** power;
		sr += r;
		srr += r * r;
		sry += r * y;
	}
	const spread = srr - (sr * sr) / n;
	const slope = (sry - (sr * sy) / n) / spread;
	slopes[candidate] = slope;
	misfits[candidate] =
		spread > 0 && slope > 0
			? Math.max(0, syy - (sy * sy) / n - slope * slope * spread)
			: Number.POSITIVE_INFINITY;
}
