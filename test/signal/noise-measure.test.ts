/** Against noise of known size: 20·log₁₀(level / deviation). */
import { expect, test } from "vitest";
import { Random } from "../../app/link/simulated/random.ts";
import { createPattern } from "../../core/band/patterns.ts";
import { findReciprocalPairs } from "../../core/band/reciprocity.ts";
import { createNoiseMeasure } from "../../core/signal/noise-measure.ts";

const pattern = createPattern(16, "adjacent");
const pairs = findReciprocalPairs(pattern);
const nReadings = pattern.terminals.length / 4;

function measure(frames: number, level: (reading: number, frame: number) => number) {
	const noise = createNoiseMeasure(pattern, pairs);
	const values = new Float64Array(nReadings);
	for (let frame = 0; frame < frames; frame++) {
		for (let r = 0; r < nReadings; r++) values[r] = level(r, frame);
		noise.add(values);
	}
	return noise.finish();
}

test.each([20, 40, 60, 80])("finds %i dB", (decibel) => {
	const random = new Random(3, "noise");
	const figures = measure(60, () => 1 + 10 ** (-decibel / 20) * random.normal());
	expect(figures.signalToNoiseDecibel).toBeCloseTo(decibel, 0);
	expect(figures.weakestDecibel).toBeLessThan(figures.signalToNoiseDecibel);
	expect(figures.weakestDecibel).toBeGreaterThan(decibel - 3);
});

test("a slow change of the level is no noise", () => {
	const random = new Random(3, "noise");
	const figures = measure(60, (_, frame) => 1 + 0.05 * (frame / 60) + 1e-3 * random.normal());
	expect(figures.signalToNoiseDecibel).toBeCloseTo(59, -0.5);
});

test("readings without any noise give a number", () => {
	expect(Number.isFinite(measure(5, () => 1).signalToNoiseDecibel)).toBe(true);
	expect(() => createNoiseMeasure(pattern, pairs).finish()).toThrow(RangeError);
});

// 1.02 and 0.98 break reciprocity by 2·0.04/2.00 = 4.0 %.
test("tells reciprocity, and the electrode that breaks it", () => {
	const smaller = new Uint8Array(nReadings);
	for (let p = 0; p < pairs.count; p++) smaller[pairs.second[p]!] = 1;
	const all = measure(3, (r) => (smaller[r] === 1 ? 0.98 : 1.02) * signOf(r));
	expect(all.reciprocityPercent).toBeCloseTo(4, 6);
	expect(all.suspects).toEqual([]);

	const touches = (r: number) => pattern.terminals.subarray(4 * r, 4 * r + 4).includes(6);
	const one = measure(3, (r) => (smaller[r] === 1 && touches(r) ? 0.8 : 1) * signOf(r));
	expect(one.reciprocityPercent).toBeCloseTo(0, 6);
	expect(one.reciprocityHighPercent).toBeCloseTo((200 * 0.2) / 1.8, 6);
	expect(one.suspects).toEqual([6]);
});

/** The sign that the pair's second reading needs to equal the first. */
function signOf(reading: number): number {
	for (let p = 0; p < pairs.count; p++) if (pairs.second[p] === reading) return pairs.sign[p]!;
	return 1;
}
