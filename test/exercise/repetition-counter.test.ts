import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type CounterOptions, countingRule } from "../../core/exercise/counting-rule.ts";
import { fitOnset } from "../../core/exercise/onset-fit.ts";
import type { Repetition } from "../../core/exercise/repetition.ts";
import { createRepetitionCounter } from "../../core/exercise/repetition-counter.ts";
import { isStill, restOf } from "../../core/exercise/rest-level.ts";
import { createSeededRandom } from "../../core/exercise/seeded-random.ts";
import {
	allSets,
	countSet,
	isExact,
	isExactWithPartial,
	percentileOf,
	reportSeeds,
	tuningSeeds,
} from "./count-sets.ts";
import { simulateCurves } from "./force-curve-sets.ts";
import { simulateSet } from "./simulated-sets.ts";

const usual: CounterOptions = {
	rest: { level: 0, noise: 0.01 },
	referenceChange: 1,
	target: null,
	learned: null,
	longestSeconds: 30,
};

/** Straight-edged work: [start, rise, plateau, fall, peak]. */
type Work = readonly [start: number, rise: number, plateau: number, fall: number, peak: number];

function workAt(time: number, works: readonly Work[]): number {
	for (const [start, rise, plateau, fall, peak] of works) {
		const t = time - start;
		if (t <= 0 || t >= rise + plateau + fall) continue;
		return peak * Math.min(1, t / rise, (rise + plateau + fall - t) / fall);
	}
	return 0;
}

function samples(works: readonly Work[], { seconds = 20, rate = 30, noise = 0.01, seed = 1 } = {}) {
	const random = createSeededRandom(seed);
	return Array.from({ length: seconds * rate }, (_, i) => {
		const time = i / rate;
		return [time, workAt(time, works) + noise * random.normal()] as const;
	});
}

function count(
	options: Partial<CounterOptions>,
	pairs: readonly (readonly [time: number, value: number])[],
): Repetition[] {
	const counter = createRepetitionCounter({ ...usual, ...options });
	for (const [time, value] of pairs) counter.add(time, value);
	counter.finish();
	return counter.repetitions();
}

const three: readonly Work[] = [
	[3, 0.5, 1, 0.5, 0.8],
	[8, 0.5, 1, 0.5, 0.8],
	[13, 0.5, 1, 0.5, 0.8],
];

describe("over simulated sets whose truth is known", () => {
	// Bounds asked of the counter: exact in at least 98 % of sets, onset within 150 ms, each kind for itself. Thresholds
	// were chosen on `tuningSeeds`; these sets were used for reporting only.
	const byKind = new Map([...allSets(reportSeeds)].map(([kind, sets]) => [kind, sets.map(countSet)]));
	const kinds = [...byKind.keys()];
	const all = [...byKind.values()].flat();

	test("reporting and tuning share no set", () => {
		expect(all.length).toBeGreaterThanOrEqual(200);
		expect(tuningSeeds.from + tuningSeeds.perKind).toBeLessThanOrEqual(reportSeeds.from);
	});

	test.each(kinds)("%s: the count is exact in at least 98 % of sets", (kind) => {
		const sets = byKind.get(kind)!;
		// of 60 sets one is 1.7 %
		expect(sets.filter((set) => !isExact(set)).length).toBeLessThanOrEqual(1);
		expect(sets.filter((set) => !isExactWithPartial(set)).length).toBeLessThanOrEqual(3);
	});

	test("all: the count is exact in at least 98 % of sets, partial ones too", () => {
		expect(all.filter(isExact).length / all.length).toBeGreaterThanOrEqual(0.99);
		expect(all.filter(isExactWithPartial).length / all.length).toBeGreaterThanOrEqual(0.98);
	});

	test.each(kinds)("%s: 19 of 20 onsets are within 150 ms", (kind) => {
		const sets = byKind.get(kind)!;
		const errors = sets.flatMap((set) => set.errors.map(({ onset }) => onset));
		const repetitions = sets.reduce((sum, { set }) => sum + set.repetitions.length, 0);
		// small attempts that noise nearly hides are missed at times: 3 deviations are the least that begins one
		expect(errors.length / repetitions).toBeGreaterThanOrEqual(0.98);
		expect(percentileOf(errors.map(Math.abs), 0.95)).toBeLessThanOrEqual(0.15);
		expect(Math.abs(percentileOf(errors, 0.5))).toBeLessThan(0.02);
	});

	test("all: 98 of 100 onsets are within 150 ms", () => {
		const errors = all.flatMap((set) => set.errors.map(({ onset }) => Math.abs(onset)));
		expect(percentileOf(errors, 0.98)).toBeLessThanOrEqual(0.15);
	});

	test.each(["1 plain", "1 double-peaked", "2 plain", "2 short holds", "2 30 s holds", "2 lost frames"])(
		"%s: where rises are not slow, 19 of 20 onsets are within 150 ms of where the curve begins too",
		(kind) => {
			const errors = byKind.get(kind)!.flatMap((set) => set.errors.map(({ begin }) => Math.abs(begin)));
			expect(percentileOf(errors, 0.95)).toBeLessThanOrEqual(0.15);
		},
	);

	test.each([10, 20, 30, 50])("at %d frames/s 19 of 20 onsets are within 150 ms", (rate) => {
		const sets = all.filter(({ set }) => set.framesPerSecond === rate);
		expect(sets.length).toBeGreaterThan(100);
		const errors = sets.flatMap((set) => set.errors.map(({ onset }) => Math.abs(onset)));
		expect(percentileOf(errors, 0.95)).toBeLessThanOrEqual(0.15);
	});

	test("19 of 20 hold times are within 100 ms, and offsets and times to the peak within 250 ms", () => {
		const of = (which: "holdTime" | "offset" | "timeToPeak") =>
			all.flatMap((set) => set.errors.map((error) => Math.abs(error[which])));
		expect(percentileOf(of("holdTime"), 0.95)).toBeLessThanOrEqual(0.1);
		expect(percentileOf(of("offset"), 0.95)).toBeLessThanOrEqual(0.25);
		expect(percentileOf(of("timeToPeak"), 0.95)).toBeLessThanOrEqual(0.25);
	});
});

describe("curves that neither kind of simulated sets has", () => {
	// Shapes from nobody's model, at frame rates up to 100/s; every third set is slow. Truth as in `count-sets.ts`.
	const curves: Readonly<Record<string, (s: number) => number>> = {
		logistic: (s) =>
			(1 / (1 + Math.exp(-10 * (s - 0.5))) - 1 / (1 + Math.exp(5))) / (1 - 2 / (1 + Math.exp(5))),
		smoothstep: (s) => s * s * (3 - 2 * s),
		"quarter of a sine": (s) => Math.sin((Math.PI * s) / 2),
		square: (s) => s * s,
		"square root": Math.sqrt,
		"near step": (s) => Math.min(1, 6 * s),
	};

	test.each(Object.keys(curves))("%s: exact counts, and 19 of 20 onsets within 150 ms", (name) => {
		const errors: number[] = [];
		for (let seed = 5000; seed < 5060; seed++) {
			const random = createSeededRandom(seed);
			const rate = [10, 20, 25, 30, 50, 100][seed % 6]!;
			const noise = random.between(0.005, 0.025);
			const sign = random.chance(0.5) ? 1 : -1;
			const edge = () => (seed % 3 === 0 ? random.between(1, 2.5) : random.between(0.3, 1));
			let end = 6;
			const works = Array.from({ length: 6 }, (): Work => {
				const work: Work = [end, edge(), random.between(0.4, 3.4), edge(), random.between(0.5, 1)];
				end += work[1] + work[2] + work[3] + random.between(1.2, 4);
				return work;
			});
			const changeAt = (time: number) => {
				const work = works.findLast(([start]) => start <= time);
				if (work === undefined) return 0;
				const along = workAt(time, [work]) / work[4];
				return work[4] * curves[name]!(along);
			};
			const pairs = Array.from({ length: Math.ceil((end + 1) * rate) }, (_, i) => {
				return [i / rate, sign * (0.3 + changeAt(i / rate) + noise * random.normal())] as const;
			});
			const rest = restOf(pairs.slice(0, 5 * rate).map(([, value]) => value));
			const found = count({ rest, referenceChange: seed % 2 === 0 ? sign : null }, pairs.slice(5 * rate));
			expect(found.map(({ kind }) => kind)).toEqual(works.map(() => "full"));
			for (const [i, [start]] of works.entries()) {
				let passes = start;
				while (changeAt(passes) <= noise) passes += 0.004;
				errors.push(Math.abs(found[i]!.onset - passes));
			}
		}
		expect(percentileOf(errors, 0.95)).toBeLessThanOrEqual(0.15);
	});
});

describe("the counter", () => {
	test("measures a repetition's peak, hold and times", () => {
		const [first] = count({}, samples(three, { rate: 50 }));
		// straight edges: above half of the peak for 0.25 + 1 + 0.25 s, mean = peak·1.5/2
		expect(first).toMatchObject({ kind: "full" });
		expect(first!.onset).toBeCloseTo(3, 1);
		expect(first!.offset).toBeCloseTo(5, 1);
		expect(first!.peak).toBeCloseTo(0.8, 1);
		expect(first!.mean).toBeCloseTo(0.6, 1);
		expect(first!.holdTime).toBeCloseTo(1.5, 1);
		expect(first!.timeToPeak).toBeGreaterThan(0.4);
		expect(first!.timeToPeak).toBeLessThan(0.8);
		expect(first!.longestGap).toBeCloseTo(0.02, 5);
	});

	test("measures time within the target", () => {
		// of 0.8 with edges of 0.5 s, the range from 20 % to 60 % takes (0.6 − 0.2)/0.8·0.5 s on each edge
		const works: Work[] = [[3, 0.5, 1, 0.5, 0.8]];
		const [first] = count({ target: { low: 20, high: 60 } }, samples(works, { rate: 50, noise: 0.001 }));
		expect(first!.timeInTarget).toBeCloseTo(0.5, 1);
		expect(count({ target: null }, samples(works))[0]!.timeInTarget).toBeNull();
		expect(
			count({ target: { low: 20, high: 60 }, referenceChange: null }, samples(works))[0]!.timeInTarget,
		).toBeNull();
	});

	test("is the same whatever the signal's sign, size and level", () => {
		const pairs = samples(three);
		const plain = count({}, pairs);
		expect(plain).toHaveLength(3);
		fc.assert(
			fc.property(
				fc.double({ min: -6, max: 3, noNaN: true }),
				fc.boolean(),
				fc.double({ min: -100, max: 100, noNaN: true }),
				(power, isFlipped, level) => {
					const scale = 10 ** power * (isFlipped ? -1 : 1);
					const moved = count(
						{
							rest: { level: level * scale, noise: 0.01 * Math.abs(scale) },
							referenceChange: scale,
						},
						pairs.map(([time, value]) => [time, (value + level) * scale] as const),
					);
					expect(moved).toHaveLength(3);
					moved.forEach((repetition, i) => {
						expect(repetition.onset).toBeCloseTo(plain[i]!.onset, 6);
						expect(repetition.peak / Math.abs(scale)).toBeCloseTo(plain[i]!.peak, 6);
					});
				},
			),
			{ numRuns: 40, seed: 20250304 },
		);
	});

	test("counts nothing in noise alone", () => {
		for (let seed = 0; seed < 30; seed++) {
			for (const rate of [10, 30, 50]) {
				expect(count({ referenceChange: null }, samples([], { seconds: 60, rate, seed }))).toEqual([]);
			}
		}
	});

	test("does not count a change the other way once the direction is known", () => {
		const works: Work[] = [
			[3, 0.5, 1, 0.5, 0.8],
			[8, 0.5, 1, 0.5, -0.8],
			[13, 0.5, 1, 0.5, 0.8],
		];
		expect(count({}, samples(works))).toHaveLength(2);
		expect(count({ referenceChange: null }, samples(works))).toHaveLength(2);
	});

	test("tells partial repetitions apart, and judges the first anew when it knows better", () => {
		const works: Work[] = [
			[3, 0.5, 1, 0.5, 0.2],
			[8, 0.5, 1, 0.5, 0.9],
			[13, 0.5, 1, 0.5, 0.2],
		];
		const kinds = ["partial", "full", "partial"];
		expect(count({}, samples(works)).map(({ kind }) => kind)).toEqual(kinds);
		expect(count({ referenceChange: null }, samples(works)).map(({ kind }) => kind)).toEqual(kinds);
	});

	test("calls nothing partial that is within the target", () => {
		const works: Work[] = [[3, 0.5, 1, 0.5, 0.25]];
		expect(count({}, samples(works))[0]!.kind).toBe("partial");
		expect(count({ target: { low: 20, high: 60 } }, samples(works))[0]!.kind).toBe("full");
	});

	test("learns direction and peaks from the session's earlier sets", () => {
		const counter = createRepetitionCounter({ ...usual, referenceChange: null });
		for (const [time, value] of samples(three)) counter.add(time, -value);
		counter.finish();
		const learned = counter.learning();
		expect(learned).toMatchObject({ direction: -1 });
		expect(learned.peaks).toHaveLength(3);
		expect(JSON.parse(JSON.stringify(learned))).toEqual(learned);
		const later = samples([[3, 0.5, 1, 0.5, 0.2]]).map(([time, value]) => [time, -value] as const);
		expect(count({ referenceChange: null, learned }, later).map(({ kind }) => kind)).toEqual(["partial"]);
		expect(count({ referenceChange: null }, later).map(({ kind }) => kind)).toEqual(["full"]);
	});

	test("says that a repetition is under way, and since when", () => {
		const counter = createRepetitionCounter(usual);
		const seen: number[] = [];
		for (const [time, value] of samples([[3, 0.5, 4, 0.5, 0.8]], { seconds: 9 })) {
			counter.add(time, value);
			if (counter.isActive) seen.push(counter.activeSince);
			else expect(counter.activeSince).toBeNaN();
		}
		expect(seen.length).toBeGreaterThan(100);
		expect(seen.every((since) => Math.abs(since - 3) < 0.15)).toBe(true);
		expect(counter.fullCount).toBe(1);
		expect(counter.isActive).toBe(false);
	});

	test("follows the live engagement in percent", () => {
		const counter = createRepetitionCounter({ ...usual, referenceChange: -0.5 });
		for (const [time, value] of samples([[3, 0.5, 4, 0.5, 0.25]], { seconds: 6 })) counter.add(time, -value);
		expect(counter.percent).toBeCloseTo(50, -1);
		expect(createRepetitionCounter({ ...usual, referenceChange: null }).percent).toBeNaN();
	});

	test("ends what is under way when the set is finished", () => {
		const found = count({}, samples([[3, 0.5, 10, 0.5, 0.8]], { seconds: 6 }));
		expect(found).toHaveLength(1);
		expect(found[0]!.offset).toBeGreaterThan(5.8);
	});

	test("keeps lost frames out and says how long they were missing", () => {
		const pairs = samples(three).filter(([time]) => time < 9 || time > 9.4);
		const found = count({}, pairs);
		expect(found).toHaveLength(3);
		expect(found[1]!.longestGap).toBeGreaterThan(0.39);
		expect(found[0]!.longestGap).toBeLessThan(0.05);
	});

	test("skips what is no number or comes again, and counts it", () => {
		const counter = createRepetitionCounter(usual);
		for (const [time, value] of samples(three)) {
			counter.add(time, value);
			counter.add(time, 5);
			counter.add(time + 1e-6, Number.NaN);
		}
		counter.finish();
		expect(counter.fullCount).toBe(3);
		expect(counter.skipped).toBe(1200);
	});

	test("gives up on a signal that does not come back, and counts on from there", () => {
		const works: Work[] = [[50, 0.5, 1, 0.5, 0.8]];
		const slipped = samples(works, { seconds: 60 }).map(
			([time, value]) => [time, value + (time > 10 ? 0.6 : 0)] as const,
		);
		const counter = createRepetitionCounter(usual);
		for (const [time, value] of slipped) counter.add(time, value);
		expect(counter.unendedCount).toBe(1);
		expect(counter.fullCount).toBe(1);
		expect(counter.repetitions().map(({ kind }) => kind)).toEqual(["unended", "full"]);
	});

	test("a single spike is nothing", () => {
		const pairs = samples([]).map(([time, value], i) => [time, i % 100 === 50 ? 0.9 : value] as const);
		expect(count({}, pairs)).toEqual([]);
	});

	test("allocates next to nothing per frame", () => {
		// One number on the heap takes 12 to 16 bytes; noise that is measured anew every 60 frames takes about 3 per frame.
		const script = fileURLToPath(new URL("count-allocations.ts", import.meta.url));
		const flags = ["--expose-gc", "--max-semi-space-size=128"];
		const output = execFileSync(process.execPath, [...flags, script], { encoding: "utf8" });
		const { rest, work } = JSON.parse(output) as { rest: number; work: number };
		expect(rest).toBeLessThan(8);
		expect(work).toBeLessThan(8);
	});

	test("counts a slow fall once", () => {
		// 3 s from the peak to rest, decaying like a muscle that lets go: it passes below the release long before rest
		const pairs = samples([]).map(([time, value]) => {
			const t = Math.max(0, time - 5);
			const up = Math.min(1, Math.max(0, time - 3));
			return [time, value + up * (1 + 1.6 * t) * Math.exp(-1.6 * t)] as const;
		});
		expect(count({}, pairs).map(({ kind }) => kind)).toEqual(["full"]);
	});

	test("finds its way where rest has risen after a repetition", () => {
		const pairs = samples([
			[3, 0.5, 1, 0.5, 0.8],
			[9, 0.5, 1, 0.5, 0.8],
			[14, 0.5, 1, 0.5, 0.8],
		]).map(([time, value]) => [time, value + (time > 4 ? 0.1 : 0)] as const);
		const found = count({}, pairs);
		expect(found.map(({ kind }) => kind)).toEqual(["full", "full", "full"]);
		expect(found[2]!.restLevel).toBeCloseTo(0.1, 1);
	});

	test("sees the whole peak of a repetition that is over within 0.4 s", () => {
		const found = count({}, samples([[3.05, 0.15, 0.15, 0.15, 1]], { rate: 10 }));
		expect(found).toHaveLength(1);
		expect(found[0]!.kind).toBe("full");
	});

	test("counts the repetition that was under way when the set began", () => {
		const pairs = samples(three).filter(([time]) => time > 4);
		const found = count({}, pairs);
		expect(found).toHaveLength(3);
		expect(found[0]!.onset).toBeCloseTo(4, 0);
	});

	test("publishes its rule", () => {
		// 3 deviations on, 1.5 to 2 off, at least 0.3 s on and off, 30 % of the reference: common practice, no source.
		expect(countingRule.onsetDeviations).toBe(3);
		expect(countingRule.releaseDeviations).toBeGreaterThanOrEqual(1.5);
		expect(countingRule.releaseDeviations).toBeLessThanOrEqual(2);
		expect(countingRule.minimumOnSeconds).toBeGreaterThanOrEqual(0.3);
		expect(countingRule.minimumOffSeconds).toBeGreaterThanOrEqual(0.3);
		expect(countingRule.fullShare).toBe(0.3);
	});

	test.each([
		[{ referenceChange: 0 }],
		[{ referenceChange: Number.NaN }],
		[{ rest: { level: Number.NaN, noise: 1 } }],
		[{ rest: { level: 0, noise: -1 } }],
		[{ longestSeconds: 0 }],
	])("refuses %j", (wrong) => {
		expect(() => createRepetitionCounter({ ...usual, ...wrong })).toThrow(RangeError);
	});
});

describe("the onset of a rise", () => {
	test.each([
		[1, 0.8],
		[1.5, 1],
		[2, 1.2],
	])("with power %d is found where it passes one deviation, within 150 ms", (power, scale) => {
		const random = createSeededRandom(3);
		for (let trial = 0; trial < 50; trial++) {
			const truth = 1 + random.next() * 0.2;
			const times = Float64Array.from({ length: 60 }, (_, i) => i / 30);
			const values = times.map((time) => scale * Math.max(0, time - truth) ** power + 0.02 * random.normal());
			const found = fitOnset(times, values, 60, 0, 0.02, 0.5, 2, [1, 1.5]);
			const passes = truth + (0.02 / scale) ** (1 / power);
			expect(Math.abs(found - passes)).toBeLessThan(0.15);
		}
	});

	test("is none where nothing rises", () => {
		const times = Float64Array.from({ length: 30 }, (_, i) => i / 30);
		expect(
			fitOnset(
				times,
				times.map((t) => -t),
				30,
				0,
				0.01,
				0,
				1,
				[1, 2],
			),
		).toBeNaN();
		expect(fitOnset(times, times, 2, 0, 0.01, 0, 1, [1, 2])).toBeNaN();
	});
});

describe("rest", () => {
	test("is told from work that is going on, and from moving about", () => {
		const random = createSeededRandom(8);
		for (let trial = 0; trial < 50; trial++) {
			const still = Array.from({ length: 60 }, () => 3 + 0.01 * random.normal());
			expect(isStill(still)).toBe(true);
			expect(isStill(still.map((value, i) => value + (i < 25 ? 0.3 : 0)))).toBe(false);
			expect(isStill(still.map((value, i) => value + 0.2 * Math.sin(i / 8)))).toBe(false);
		}
	});

	test("is the median and 1.4826 × the median absolute deviation", () => {
		// Worked by hand: median of 1 1 2 2 4 6 9 is 2, absolute deviations 1 1 0 0 2 4 7, their median 1.
		expect(restOf([1, 1, 2, 2, 4, 6, 9])).toEqual({ level: 2, noise: 1.4826 });
	});

	test("estimates a normal deviation although a tenth of it is spikes", () => {
		const random = createSeededRandom(5);
		const values = Array.from({ length: 4000 }, (_, i) => (i % 10 === 0 ? 50 : 3 + 2 * random.normal()));
		const { level, noise } = restOf(values);
		expect(level).toBeCloseTo(3.28, 0);
		expect(noise).toBeGreaterThan(1.9);
		expect(noise).toBeLessThan(2.6);
	});
});

describe("a simulated set", () => {
	test("is the same for the same seed and another for another", () => {
		expect(simulateSet("everything", 4).values).toEqual(simulateSet("everything", 4).values);
		expect(simulateSet("everything", 4).values).not.toEqual(simulateSet("everything", 5).values);
		expect(simulateCurves("combined", 4).values).toEqual(simulateCurves("combined", 4).values);
		expect(simulateCurves("combined", 4).values).not.toEqual(simulateCurves("combined", 5).values);
	});

	test("of either kind covers both directions and frame rates from 10 to 50", () => {
		for (const simulate of [
			(seed: number) => simulateSet("everything", seed),
			(seed: number) => simulateCurves("combined", seed),
		]) {
			const sets = Array.from({ length: 60 }, (_, i) => simulate(tuningSeeds.from + i));
			expect(sets.filter(({ referenceChange }) => referenceChange < 0).length).toBeGreaterThan(15);
			expect(sets.filter(({ referenceChange }) => referenceChange > 0).length).toBeGreaterThan(15);
			expect(Math.min(...sets.map(({ framesPerSecond }) => framesPerSecond))).toBe(10);
			expect(Math.max(...sets.map(({ framesPerSecond }) => framesPerSecond))).toBe(50);
		}
	});

	test("rests and moves as it says", () => {
		for (let seed = tuningSeeds.from; seed < tuningSeeds.from + 40; seed++) {
			const set = simulateCurves("breath and pulse", seed);
			const rest = set.values.filter((_, i) => set.times[i]! < set.restUntil);
			const mean = rest.reduce((sum, value) => sum + value, 0) / rest.length;
			const deviation = Math.sqrt(rest.reduce((sum, value) => sum + (value - mean) ** 2, 0) / rest.length);
			// five seconds hold one or two breaths only
			expect(deviation / set.restDeviation).toBeGreaterThan(0.6);
			expect(deviation / set.restDeviation).toBeLessThan(1.4);
		}
	});
});
