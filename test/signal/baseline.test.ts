import { describe, expect, test } from "vitest";
import { createBaselineCollector, FEWEST_BASELINE_FRAMES } from "../../core/signal/baseline.ts";

/** Mulberry32: a small seeded generator (public domain, T. Ettinger). */
function createRandom(seed: number): () => number {
	let state = seed;
	return () => {
		state = (state + 0x6d2b79f5) | 0;
		let t = Math.imul(state ^ (state >>> 15), 1 | state);
		t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
		return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
	};
}

/** Box & Muller 1958. */
function createNormal(seed: number): () => number {
	const random = createRandom(seed);
	return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

const nReadings = 208;

function collect(frames: number, value: (frame: number, reading: number) => number) {
	const collector = createBaselineCollector(nReadings, frames);
	const values = new Float64Array(nReadings);
	for (let frame = 0; frame < frames; frame++) {
		for (let reading = 0; reading < nReadings; reading++) values[reading] = value(frame, reading);
		collector.add(values);
	}
	return collector.finish();
}

describe("a rest baseline", () => {
	test("finds level and noise of steady readings", () => {
		const normal = createNormal(1);
		const result = collect(400, (_, reading) => 1e-3 * (reading + 1) + 1e-6 * (1 + reading / 100) * normal());
		if (!result.ok) throw new Error(result.error.kind);
		for (let reading = 0; reading < nReadings; reading++) {
			const noise = 1e-6 * (1 + reading / 100);
			// Standard error of a median: 1.2533·s/√n (Kenney & Keeping, Mathematics of Statistics, 1962); 5 of them.
			const levelError = Math.abs(result.value.median[reading]! - 1e-3 * (reading + 1));
			expect(levelError).toBeLessThan((5 * 1.2533 * noise) / 20);
		}
		// The floor (a ten-thousandth of the typical reading, 10 µV here) is above this noise: it decides.
		expect(result.value.noise[0]).toBeCloseTo(1e-4 * 1e-3 * 104.5, 9);
	});

	test("estimates noise above the floor within the error of its estimator", () => {
		const normal = createNormal(2);
		const result = collect(400, (_, reading) => 1 + 0.01 * (1 + reading / 100) * normal());
		if (!result.ok) throw new Error(result.error.kind);
		let sum = 0;
		for (let reading = 0; reading < nReadings; reading++) {
			const ratio = result.value.noise[reading]! / (0.01 * (1 + reading / 100));
			sum += ratio;
			// Relative standard error of the successive-difference estimate: √(3/(4n)) (von Neumann 1941); 5 of them.
			expect(Math.abs(ratio - 1)).toBeLessThan(5 * Math.sqrt(3 / 1600));
		}
		expect(sum / nReadings).toBeCloseTo(1, 2);
	});

	test.each([8, 20, 45, 60, 300, 900])("accepts %i frames of pure noise", (frames) => {
		for (let seed = 0; seed < 6; seed++) {
			const normal = createNormal(seed);
			expect(collect(frames, () => 1 + 0.001 * normal()).ok).toBe(true);
		}
	});

	test("keeps outliers out of the level", () => {
		const normal = createNormal(3);
		const result = collect(45, (frame) => (frame % 9 === 4 ? 50 : 1 + 0.001 * normal()));
		if (!result.ok) throw new Error(result.error.kind);
		expect(result.value.median.every((level) => Math.abs(level - 1) < 0.001)).toBe(true);
	});

	test.each([
		["drifts by five deviations", (frame: number) => 0.005 * (frame / 45)],
		["rises and returns", (frame: number) => (frame >= 12 && frame < 22 ? 0.006 : 0)],
		["jumps halfway", (frame: number) => (frame < 22 ? 0 : 0.006)],
	])("refuses a window in which the level %s", (_, level) => {
		const normal = createNormal(4);
		const result = collect(45, (frame) => 1 + level(frame) + 0.001 * normal());
		expect(result).toMatchObject({ ok: false, error: { kind: "not-steady" } });
		if (result.ok || result.error.kind !== "not-steady") return;
		expect(result.error.driftPercent).toBeGreaterThan(0.3);
		expect(result.error.driftPercent).toBeLessThan(1);
	});

	test("lets a few crackling electrodes pass", () => {
		const normal = createNormal(5);
		const result = collect(45, (frame, reading) => 1 + (reading < 18 ? frame / 45 : 0) + 0.001 * normal());
		expect(result.ok).toBe(true);
	});

	test("does not take a silent board's last digit for drift", () => {
		expect(collect(45, (frame) => 1 + 1e-5 * (frame / 45)).ok).toBe(true);
	});

	test("asks for more frames than it was given", () => {
		const result = collect(FEWEST_BASELINE_FRAMES - 1, () => 1);
		expect(result).toMatchObject({
			ok: false,
			error: { kind: "too-few-frames", needed: FEWEST_BASELINE_FRAMES },
		});
	});

	test("throws on a frame of another length", () => {
		expect(() => createBaselineCollector(4, 10).add(new Float64Array(5))).toThrow(RangeError);
	});
});
