/** Against clocks whose rates are known. Crystals differ by tens of ppm, ceramic resonators by thousands (common
 *  knowledge, no source). */
import { describe, expect, test } from "vitest";
import { Random } from "../../app/link/simulated/random.ts";
import { createClockDrift, FEWEST_SECONDS } from "../../core/signal/clock-drift.ts";

interface Line {
	readonly ppm: number;
	readonly seconds: number;
	readonly framesPerSecond?: number;
	/** ms, mean of an exponential delay on top of a constant one */
	readonly jitter?: number;
	/** Share of the seconds in which everything is held up by 80 ms. */
	readonly heldUp?: number;
}

/** A board whose clock is fast by `ppm`; the computer's starts at an epoch as `Date.now` has it. */
function run({ ppm, seconds, framesPerSecond = 30, jitter = 0, heldUp = 0 }: Line) {
	const drift = createClockDrift();
	const random = new Random(7, "transit");
	let stall = 0;
	for (let i = 0; i < seconds * framesPerSecond; i++) {
		const device = 5_000_000 + (i * 1e6) / framesPerSecond;
		if (i % framesPerSecond === 0) stall = random.uniform() < heldUp ? 80 : 0;
		const host = 1_700_000_000_000 + device / 1000 / (1 + ppm * 1e-6);
		drift.take(Math.round(device), host + 12 + stall - jitter * Math.log(1 - random.uniform()));
	}
	return drift;
}

describe("drift of a board's clock", () => {
	test.each([0, 20, -20, 100, -1000, 5000])("of %i ppm is found exactly where nothing jitters", (ppm) => {
		expect(run({ ppm, seconds: 62 }).partsPerMillion).toBeCloseTo(ppm, 0);
	});

	test.each([-50, 0, 50, 400])("of %i ppm is found within 10 ppm where frames jitter by 5 ms", (ppm) => {
		expect(Math.abs(run({ ppm, seconds: 65, jitter: 5 }).partsPerMillion! - ppm)).toBeLessThan(10);
	});

	test("is found where every fifth second is held up", () => {
		expect(
			Math.abs(run({ ppm: 50, seconds: 65, jitter: 3, heldUp: 0.2 }).partsPerMillion! - 50),
		).toBeLessThan(25);
	});

	test("follows frames of 10 a second", () => {
		expect(
			Math.abs(run({ ppm: 50, seconds: 70, framesPerSecond: 10, jitter: 3 }).partsPerMillion! - 50),
		).toBeLessThan(25);
	});

	test("is not told before enough seconds have passed", () => {
		expect(run({ ppm: 50, seconds: FEWEST_SECONDS }).partsPerMillion).toBeNull();
		expect(run({ ppm: 50, seconds: FEWEST_SECONDS + 2 }).partsPerMillion).not.toBeNull();
	});

	test("begins anew after a restart and where time leaps", () => {
		const restarted = run({ ppm: 50, seconds: 62 });
		restarted.restart();
		expect(restarted.partsPerMillion).toBeNull();

		const leapt = run({ ppm: 0, seconds: 30 });
		// the computer slept for a minute: device time stood still meanwhile
		for (let i = 0; i < 45; i++) leapt.take(35_000_000 + i * 33_333, 1_700_000_095_012 + i * 33.333);
		expect(leapt.partsPerMillion).toBeNull();
	});
});

test("late frames are those that come a tenth of a second after the quickest", () => {
	const drift = createClockDrift();
	const isLate = [0, 0, 5, 99, 101, 0, 300].map((delay, i) =>
		drift.take(i * 33_333, 1000 + i * 33.333 + delay),
	);
	expect(isLate).toEqual([false, false, false, false, true, false, true]);
	expect(drift.late).toBe(2);
	drift.restart();
	expect(drift.late).toBe(2);
});
