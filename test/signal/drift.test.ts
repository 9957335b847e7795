import { expect, test } from "vitest";
import { type BaselineVersion, baselineAt, createDriftFollower } from "../../core/signal/drift.ts";
import { createRestFinder } from "../../core/signal/rest-finder.ts";
import { withoutDrift } from "../../core/signal/rest-line.ts";
import { createRandom } from "../picture/plain-algebra.ts";

const FRAMES_PER_SECOND = 20;
const HOLD = 30;
const PERIOD = 60;
const RAMP = 0.7;

/** A hold of 30 s in the second half of every minute, going up and down within 0.7 s. */
function effortAt(seconds: number): number {
	const within = seconds % PERIOD;
	const start = PERIOD - HOLD - 5;
	if (within < start || within > start + HOLD) return 0;
	return Math.min(1, (within - start) / RAMP, (start + HOLD - within) / RAMP);
}

const readingCount = 40;
const regionCount = 3;

/** Readings that answer to effort and to drift in ways of their own, and region means made of them by a fixed matrix. */
function createScene(driftPerMinute: number, holdSize: number, seed = 3) {
	const random = createRandom(seed);
	const row = () => Float64Array.from({ length: readingCount }, random);
	const baseline = row().map((v) => 1 + v / 2);
	const noise = new Float64Array(readingCount).fill(1e-3);
	const work = row();
	const drift = row();
	const matrix = Array.from({ length: regionCount }, row);
	const meansOf = (readings: ArrayLike<number>, rest: ArrayLike<number>) =>
		matrix.map((weights) => weights.reduce((sum, w, r) => sum + w * (readings[r]! - rest[r]!), 0));
	// region noise is that of the readings through the matrix
	const regionNoise = matrix.map((weights) => 1e-3 * Math.hypot(...weights));
	const readingsAt = (seconds: number, effort = effortAt(seconds), isNoisy = true) =>
		baseline.map(
			(v, r) =>
				v +
				holdSize * 1e-3 * effort * work[r]! +
				driftPerMinute * 1e-3 * (seconds / 60 + Math.sin(seconds / 97)) * drift[r]! +
				(isNoisy ? Math.sqrt(3) * 1e-3 * random() : 0),
		);
	return { baseline, noise, regionNoise, meansOf, readingsAt };
}

function everyReading(readings: Float64Array): Uint32Array {
	return Uint32Array.from(readings.keys());
}

function run(scene: ReturnType<typeof createScene>, minutes: number) {
	const follower = createDriftFollower({
		baseline: scene.baseline,
		readingNoise: scene.noise,
		judged: everyReading(scene.noise),
		regionNoise: scene.regionNoise,
		seconds: 0,
	});
	const versions: BaselineVersion[] = [follower.current];
	const restWhileHolding: number[] = [];
	for (let frame = 0; frame < minutes * 60 * FRAMES_PER_SECOND; frame++) {
		const seconds = frame / FRAMES_PER_SECOND;
		const readings = scene.readingsAt(seconds);
		const version = follower.take(seconds, readings, scene.meansOf(readings, follower.current.readings));
		if (version !== null) versions.push(version);
		if (effortAt(seconds) > 0.5 && follower.isResting) restWhileHolding.push(seconds);
	}
	return { versions, restWhileHolding, follower };
}

test("drift is taken out at rest, and holds of 30 s keep their height", () => {
	const scene = createScene(4, 60);
	const { versions, restWhileHolding } = run(scene, 10);
	expect(restWhileHolding).toEqual([]);
	expect(versions.length).toBeGreaterThan(8);
	expect(versions.map(({ version }) => version)).toEqual(versions.map((_, i) => i + 1));
	for (let minute = 2; minute < 10; minute++) {
		const restSeconds = minute * 60 + 22;
		const { readings: rest } = baselineAt(versions, restSeconds);
		for (const [i, mean] of scene.meansOf(scene.readingsAt(restSeconds, 0, false), rest).entries()) {
			// without following it would be some 40 deviations by then
			expect(Math.abs(mean) / scene.regionNoise[i]!, `rest of minute ${minute}`).toBeLessThan(4);
		}
		const start = minute * 60 + 25;
		// the version at its beginning is in force to its end, so nothing of the hold is taken for drift
		expect(baselineAt(versions, start + 1).version).toBe(baselineAt(versions, start + 29).version);
		const { readings: base } = baselineAt(versions, start + 1);
		const still = [start + 1, start + 29].map((at) => scene.readingsAt(at, 0, false));
		const shown = scene.meansOf(scene.readingsAt(start + 29, 1, false), base);
		const truth = scene.meansOf(scene.readingsAt(start + 29, 1, false), still[1]!);
		const driftSince = scene.meansOf(still[1]!, still[0]!);
		for (let i = 0; i < regionCount; i++) {
			const most = Math.abs(driftSince[i]!) + 4 * scene.regionNoise[i]!;
			expect(Math.abs(shown[i]! - truth[i]!), `hold of minute ${minute}`).toBeLessThan(most);
		}
		expect(Math.max(...truth.map((v, i) => Math.abs(v) / scene.regionNoise[i]!))).toBeGreaterThan(30);
	}
});

test("without drift no version is added, and a baseline taken by hand is the next one", () => {
	const scene = createScene(0, 60);
	const { versions, follower } = run(scene, 4);
	expect(versions.length).toBe(1);
	const taken = follower.retake(300, scene.baseline);
	expect(taken).toMatchObject({ version: 2, seconds: 300, cause: "taken" });
	expect(baselineAt([...versions, taken], 299).version).toBe(1);
	expect(baselineAt([...versions, taken], 300).version).toBe(2);
	expect(() => baselineAt([], 1)).toThrow(RangeError);
});

test("while it may not follow it stays, and follows the next rest once it may", () => {
	const scene = createScene(4, 60);
	const { baseline, noise: readingNoise, regionNoise } = scene;
	const follower = createDriftFollower({
		baseline,
		readingNoise,
		judged: everyReading(readingNoise),
		regionNoise,
		seconds: 0,
	});
	const followed: number[] = [];
	for (let frame = 0; frame < 330 * FRAMES_PER_SECOND; frame++) {
		const seconds = frame / FRAMES_PER_SECOND;
		const readings = scene.readingsAt(seconds);
		const means = scene.meansOf(readings, follower.current.readings);
		if (follower.take(seconds, readings, means, seconds > 302) !== null) followed.push(seconds);
	}
	// a mean of four seconds of what came since
	expect(followed[0]).toBeGreaterThanOrEqual(306);
	expect(followed[0]).toBeLessThan(308);
});

test("rest is found again after a hold during which it drifted away", () => {
	const finder = createRestFinder([1]);
	const random = createRandom(8);
	const states: [number, boolean][] = [];
	for (let frame = 0; frame < 120 * FRAMES_PER_SECOND; frame++) {
		const seconds = frame / FRAMES_PER_SECOND;
		const drift = seconds < 60 ? 0 : Math.min(10, (seconds - 60) / 3);
		const hold = seconds > 60 && seconds < 90 ? 100 * (1 - 0.3 * ((seconds - 60) / 30)) : 0;
		const was = finder.isResting;
		if (finder.take(seconds, [drift + hold + random()]) !== was) states.push([seconds, !was]);
	}
	expect(states.map(([, isResting]) => isResting)).toEqual([false, true]);
	expect(states[0]![0]).toBeCloseTo(60, 0);
	expect(states[1]![0]).toBeGreaterThan(91);
	expect(states[1]![0]).toBeLessThan(94);
});

test("a finished trend loses its drift and keeps its holds", () => {
	const seconds = Array.from({ length: 600 }, (_, i) => i);
	const drift = (s: number) => 0.2 * s + 15 * Math.sin(s / 120);
	const values = seconds.map((s) => drift(s) + 100 * effortAt(s));
	values[7] = Number.NaN;
	const rests = Array.from({ length: 10 }, (_, minute) => ({ from: 60 * minute + 1, to: 60 * minute + 24 }));
	const corrected = withoutDrift(seconds, values, rests);
	for (const s of seconds) {
		if (s < 15 || s > 550 || s === 7) continue;
		if (effortAt(s) === 0 || effortAt(s) === 1) {
			expect(Math.abs(corrected[s]! - 100 * effortAt(s)), `at ${s} s`).toBeLessThan(2.5);
		}
	}
	expect(Number.isNaN(corrected[7]!)).toBe(true);
	expect(Array.from(withoutDrift([0, 1], [3, 4], []))).toEqual([3, 4]);
	expect(Array.from(withoutDrift([0, 1, 2], [3, 3, 13], [{ from: 0, to: 1 }]))).toEqual([0, 0, 10]);
});
