import { describe, expect, test } from "vitest";
import type { RegionReference } from "../../core/exercise/engagement.ts";
import { createRepetitionCounter } from "../../core/exercise/repetition-counter.ts";
import { restOf } from "../../core/exercise/rest-level.ts";
import { createSeededRandom } from "../../core/exercise/seeded-random.ts";
import { type SetSummary, summariseSet } from "../../core/exercise/set-summary.ts";
import { percentileOf } from "./count-sets.ts";

const PER_SECOND = 20;
const REST_SECONDS = 5;
const EVERY = 4;
const RISE = 0.5;
const HOLD = 1;

interface Known {
	/** Of each repetition, share of the reference. */
	readonly peaks: readonly number[];
	/** Of one sample, share of the reference. */
	readonly noise: number;
	/** Share of the reference per second. */
	readonly drift: number;
	/** Engagement of the other two regions over the quadriceps' lead. */
	readonly medial: number;
	readonly hamstrings: number;
	readonly seed: number;
}

/** Raised cosines of 0.5 s with holds of 1 s, in a region that falls, one that rises as much and one that rises less. */
function summaryOf({ peaks, noise, drift, medial, hamstrings, seed }: Known): SetSummary {
	const random = createSeededRandom(seed);
	const count = (REST_SECONDS + EVERY * peaks.length) * PER_SECOND;
	const times = Float64Array.from({ length: count }, (_, i) => i / PER_SECOND);
	const work = times.map((time) => {
		const place = Math.floor((time - REST_SECONDS) / EVERY);
		const t = (time - REST_SECONDS) % EVERY;
		if (place < 0 || t > 2 * RISE + HOLD) return 0;
		const s = Math.min(1, t / RISE, (2 * RISE + HOLD - t) / RISE);
		return (peaks[place]! * (1 - Math.cos(Math.PI * s))) / 2;
	});
	const regions = [
		{ regionId: "vastus-lateralis", change: -0.01, share: 1 },
		{ regionId: "vastus-medialis", change: 0.006, share: medial },
		{ regionId: "hamstrings", change: 0.003, share: hamstrings },
	].map(({ regionId, change, share }) => {
		const values = work.map((effort, i) => {
			return 0.2 + change * (share * effort + drift * times[i]! + noise * random.normal());
		});
		const reference: RegionReference = {
			state: "taken",
			rest: { level: 0.2, noise: noise * Math.abs(change) },
			change,
			variationPercent: 4,
			repeatability: "repeatable",
		};
		return { regionId, reference, values };
	});
	const lead = regions[0]!;
	const restEnd = REST_SECONDS * PER_SECOND;
	const counter = createRepetitionCounter({
		rest: restOf(lead.values.subarray(0, restEnd)),
		referenceChange: -0.01,
		target: { low: 20, high: 40 },
		learned: null,
		longestSeconds: 30,
	});
	for (let i = restEnd; i < count; i++) counter.add(times[i]!, lead.values[i]!);
	counter.finish();
	return summariseSet({ repetitions: counter.repetitions(), referenceChange: -0.01, times, regions });
}

const sets = 300;

describe("measures of a set whose truth is known", () => {
	test("the interval of the fatigue slope holds the true one as often as Student's t says", () => {
		// Definition of a confidence interval, here through the counter: 95 % ± 4 standard errors (binomial). Peaks differ by
		// normal noise from a line that falls by 3 % of the reference per repetition.
		const random = createSeededRandom(17);
		let held = 0;
		for (let seed = 0; seed < sets; seed++) {
			const peaks = Array.from({ length: 8 }, (_, i) => 0.95 - 0.03 * i + 0.04 * random.normal());
			const { fatigue, full } = summaryOf({
				peaks,
				noise: 0.01,
				drift: 0.001,
				medial: 0.8,
				hamstrings: 0.2,
				seed,
			});
			expect(full).toBe(8);
			if (fatigue!.low <= -3 && -3 <= fatigue!.high) held++;
		}
		expect(Math.abs(held / sets - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / sets));
	});

	test("ratios come back whatever sign the regions have, in noise and drift", () => {
		const random = createSeededRandom(23);
		const medialErrors: number[] = [];
		const hamstringErrors: number[] = [];
		for (let seed = 0; seed < sets; seed++) {
			const medial = random.between(0.4, 1.3);
			const hamstrings = random.between(0.1, 0.6);
			const { medialToLateral, coContraction } = summaryOf({
				peaks: Array.from({ length: 6 }, () => random.between(0.5, 0.9)),
				noise: 0.02,
				drift: random.between(-0.003, 0.003),
				medial,
				hamstrings,
				seed,
			});
			if (medialToLateral.state !== "measured" || coContraction.state !== "measured") {
				throw new Error("no ratio");
			}
			medialErrors.push(medialToLateral.ratio - medial);
			hamstringErrors.push(coContraction.ratio - hamstrings / ((1 + medial) / 2));
		}
		for (const errors of [medialErrors, hamstringErrors]) {
			expect(Math.abs(percentileOf(errors, 0.5))).toBeLessThan(0.005);
			expect(percentileOf(errors.map(Math.abs), 0.95)).toBeLessThan(0.05);
		}
	});

	test("times and levels are those of the raised cosine", () => {
		// Above half of the peak for half of each edge and the hold; between 20 and 40 % of a peak of 0.8: s from
		// acos(1 − 2·0.25)/π = 1/3 to acos(1 − 2·0.5)/π = 1/2 of each edge; 90 % at acos(1 − 1.8)/π = 0.795 of the rise.
		const errors = {
			hold: [] as number[],
			target: [] as number[],
			toPeak: [] as number[],
			peak: [] as number[],
		};
		for (let seed = 0; seed < sets; seed++) {
			const summary = summaryOf({
				peaks: [0.8, 0.8, 0.8, 0.8],
				noise: 0.01,
				drift: 0,
				medial: 1,
				hamstrings: 0.2,
				seed,
			});
			errors.hold.push(summary.meanHoldSeconds! - (HOLD + RISE));
			errors.target.push(summary.timeInTargetSeconds! / 4 - 2 * RISE * (1 / 2 - 1 / 3));
			errors.toPeak.push(summary.meanTimeToPeakSeconds!);
			errors.peak.push(summary.meanPeak! - 80);
		}
		expect(percentileOf(errors.hold.map(Math.abs), 0.95)).toBeLessThan(0.03);
		expect(percentileOf(errors.target.map(Math.abs), 0.95)).toBeLessThan(0.03);
		// the mean over 0.25 s trails by up to 0.25 s, the onset is a few hundredths after the begin
		expect(percentileOf(errors.toPeak, 0.5)).toBeGreaterThan(0.795 * RISE - 0.05);
		expect(percentileOf(errors.toPeak, 0.5)).toBeLessThan(0.795 * RISE + 0.25);
		// the largest of many means in noise lies above the level by one to two of their deviations, 0.4 each
		expect(percentileOf(errors.peak, 0.5)).toBeGreaterThan(0);
		expect(percentileOf(errors.peak, 0.95)).toBeLessThan(2);
	});
});
