import { describe, expect, test } from "vitest";
import type { RegionReference } from "../../core/exercise/engagement.ts";
import { createExerciseRun, type ExerciseRunOptions } from "../../core/exercise/exercise-run.ts";
import { libraryExerciseOf } from "../../core/exercise/library.ts";
import { planItemOf } from "../../core/exercise/plan.ts";
import { createSeededRandom } from "../../core/exercise/seeded-random.ts";
import { correctCount, countThatHolds, readSetCount } from "../../core/exercise/set-record.ts";

const regionIds = ["rectus-femoris", "vastus-lateralis", "vastus-medialis", "hamstrings"];
/** S/m at full reference effort: two regions fall, two rise. */
const scales = [-0.01, 0.008, -0.006, 0.004];
/** Engagement of each region at effort 1, as a share of its own reference. */
const shares = [1, 0.9, 0.72, 0.2];

function taken(change: number): RegionReference {
	return {
		state: "taken",
		rest: { level: 0, noise: 0.0002 },
		change,
		variationPercent: 4,
		repeatability: "repeatable",
	};
}

const well = { pain: 1, effort: 3, symptoms: [] };

interface Scene {
	readonly references?: readonly RegionReference[];
	readonly id?: string;
	/** Peak efforts of the repetitions of each set. */
	readonly efforts?: readonly number[];
	readonly sets?: number;
	/** −1 turns every reading upside down, noise and all. */
	readonly sign?: 1 | -1;
}

/** A person who follows the coach: pushes when told, holds as long as asked, keeps still else. */
function run({
	sign = 1,
	references = scales.map((scale) => taken(sign * scale)),
	id = "straight-leg-raise",
	efforts = [0.8],
	sets = 1,
}: Scene) {
	const item = planItemOf(libraryExerciseOf(id)!, "left");
	const options: ExerciseRunOptions = {
		item: { ...item, dose: { ...item.dose, sets, repetitions: efforts.length, restSeconds: 10 } },
		regionIds,
		references,
		learned: null,
		painBefore: 0,
		hadToStop: false,
	};
	const exercise = createExerciseRun(options);
	const random = createSeededRandom(9);
	const isHold = item.exercise.kind === "hold";
	let effort = 0;
	let aim = 0;
	let turn = Number.NaN;
	let done = 0;
	exercise.begin(500);
	for (let i = 1; i < 30 * 400 && exercise.view().phase !== "done"; i++) {
		const time = 500 + i / 30;
		const view = exercise.view();
		if (view.phase === "ask") {
			done = 0;
			exercise.answer(time, well);
		}
		if (view.phase !== "work") aim = 0;
		else if (isHold) {
			if (view.cue === "let-go" && aim > 0) {
				aim = 0;
				done++;
			} else if (view.cue === "work") aim = efforts[done] ?? 0;
		} else if (Number.isNaN(turn) || time >= turn) {
			// push for 1.5 s, let go for 2 s
			const wasUp = aim > 0;
			aim = wasUp ? 0 : (efforts[done] ?? 0);
			if (wasUp) done++;
			turn = time + (wasUp ? 2 : 1.5);
		}
		effort += (aim - effort) / 6;
		exercise.add(
			time,
			scales.map(
				(scale, region) => sign * (0.3 + scale * shares[region]! * effort + 0.0002 * random.normal()),
			),
		);
	}
	return exercise;
}

describe("a run of one exercise", () => {
	test("counts what the person did, set by set", () => {
		const exercise = run({ efforts: [0.8, 0.8, 0.8, 0.8, 0.8], sets: 2 });
		const results = exercise.results();
		expect(results).toHaveLength(2);
		for (const { summary, count, answer, countedIn } of results) {
			expect(countedIn).toBe("rectus-femoris");
			expect(summary).toMatchObject({ full: 5, partial: 0, unended: 0, unit: "percent" });
			expect(countThatHolds(count)).toEqual({ full: 5, partial: 0 });
			expect(answer).toEqual(well);
			expect(summary!.meanPeak).toBeGreaterThan(70);
			expect(summary!.meanPeak).toBeLessThan(85);
		}
		expect(results[0]!.end).toBeLessThan(results[1]!.start);
		expect(JSON.parse(JSON.stringify(results))).toEqual(results);
	});

	test("comes to the very same where every region answers the other way round", () => {
		const summaryOf = (sign: 1 | -1) => run({ sign, efforts: [0.8, 0.6, 0.8, 0.7] }).results()[0]!.summary!;
		const up = summaryOf(1);
		expect(up.coContraction.state).toBe("measured");
		const near = (_: string, value: unknown) =>
			typeof value === "number" ? Number(value.toPrecision(9)) : value;
		expect(JSON.stringify(summaryOf(-1), near)).toBe(JSON.stringify(up, near));
	});

	test("gives a region that was not detected no part in any number in percent", () => {
		const rest = { level: 0, noise: 0.0002 };
		const missing: RegionReference = { state: "not-detected", reason: "within-noise", rest };
		// the leg raise counts in the rectus femoris first; it was tried and not seen, so another one leads
		const references = scales.map((scale, i) => (i === 0 ? missing : taken(scale)));
		const [set] = run({ references, efforts: [0.8, 0.8, 0.8] }).results();
		expect(set!.countedIn).toBe("vastus-lateralis");
		const { coContraction } = set!.summary!;
		if (coContraction.state !== "measured") throw new Error(coContraction.state);
		expect(coContraction.ratio).toBeCloseTo(0.2 / ((0.9 + 0.72) / 2), 1);
	});

	test("leads through holds of the prescribed time", () => {
		const [set] = run({ id: "quad-set", efforts: [0.7, 0.7, 0.7] }).results();
		expect(set!.countedIn).toBe("vastus-medialis");
		expect(set!.summary!.full).toBe(3);
		// prescribed: 6 s; letting go takes the time to see the cue and to relax
		expect(set!.summary!.meanHoldSeconds).toBeGreaterThan(5.8);
		expect(set!.summary!.meanHoldSeconds).toBeLessThan(7);
	});

	test("measures ratios of engagement as they are, whichever sign each region has", () => {
		const summary = run({ efforts: [0.8, 0.8, 0.8, 0.8] }).results()[0]!.summary!;
		const { medialToLateral, coContraction } = summary;
		if (medialToLateral.state !== "measured" || coContraction.state !== "measured")
			throw new Error("no ratio");
		expect(medialToLateral.ratio).toBeCloseTo(0.72 / 0.9, 1);
		expect(coContraction.ratio).toBeCloseTo(0.2 / ((1 + 0.9 + 0.72) / 3), 1);
	});

	test("gives no ratio to a region that was not detected, or that stays within its noise", () => {
		const rest = { level: 0, noise: 0.0002 };
		const missing: RegionReference = { state: "not-detected", reason: "within-noise", rest };
		const lateralMissing = scales.map((scale, i) => (i === 1 ? missing : taken(scale)));
		const without = run({ references: lateralMissing, efforts: [0.8, 0.8] }).results()[0]!.summary!;
		expect(without.medialToLateral).toEqual({ state: "not-detected", in: ["quadriceps"] });
		expect(without.coContraction.state).toBe("measured");
		// the lateral region's noise is a third of its reference: its mean engagement of half of it is not clear of it
		const noisy = scales.map((scale, i) =>
			i === 1 ? ({ ...taken(scale), rest: { level: 0, noise: 0.003 } } as RegionReference) : taken(scale),
		);
		expect(run({ references: noisy, efforts: [0.8, 0.8] }).results()[0]!.summary!.medialToLateral).toEqual({
			state: "within-noise",
		});
	});

	test("finds the fall of the peaks over a tiring set", () => {
		const efforts = Array.from({ length: 8 }, (_, i) => 0.9 - 0.05 * i);
		const { fatigue } = run({ efforts }).results()[0]!.summary!;
		expect(fatigue).toMatchObject({ trend: "falling", repetitions: 8 });
		expect(fatigue!.slope).toBeCloseTo(-5, 0);
		expect(fatigue!.low).toBeLessThan(fatigue!.slope);
		expect(fatigue!.high).toBeGreaterThan(fatigue!.slope);
	});

	test("counts in raw units without a reference", () => {
		const none = scales.map((): RegionReference => ({ state: "none" }));
		const [set] = run({ references: none, efforts: [0.8, 0.8, 0.8] }).results();
		expect(set!.summary).toMatchObject({ full: 3, unit: "raw", timeInTargetSeconds: null });
		expect(set!.summary!.meanPeak).toBeCloseTo(0.008, 3);
		const missing = ["hamstrings", "quadriceps"];
		expect(set!.summary!.coContraction).toEqual({ state: "no-reference", missing });
	});

	test("lets the person count where no region was detected", () => {
		const rest = { level: 0, noise: 0.0002 };
		const missing = scales.map(
			(): RegionReference => ({ state: "not-detected", reason: "within-noise", rest }),
		);
		const item = planItemOf(libraryExerciseOf("straight-leg-raise")!, "left");
		const exercise = createExerciseRun({
			item: { ...item, dose: { ...item.dose, sets: 1, repetitions: 2 } },
			regionIds,
			references: missing,
			learned: null,
			painBefore: null,
			hadToStop: false,
		});
		exercise.begin(0);
		for (let i = 1; i < 60; i++) exercise.tick(i / 10);
		expect(exercise.view().phase).toBe("work");
		exercise.tap();
		exercise.tap();
		exercise.answer(7, well);
		expect(exercise.results()).toMatchObject([
			{ countedIn: null, summary: null, count: { automatic: null, personal: { full: 2, partial: 0 } } },
		]);
	});

	test("keeps what was done when it is stopped in the middle", () => {
		const exercise = run({ efforts: [0.8, 0.8] });
		expect(exercise.view().phase).toBe("done");
		const item = planItemOf(libraryExerciseOf("straight-leg-raise")!, "left");
		const stopped = createExerciseRun({
			item,
			regionIds,
			references: scales.map(taken),
			learned: exercise.learning(),
			painBefore: 0,
			hadToStop: false,
		});
		stopped.begin(0);
		for (let i = 1; i < 300; i++) {
			const time = i / 30;
			const effort = time > 6 && time < 8 ? 0.8 : 0;
			stopped.add(
				time,
				scales.map((scale, region) => 0.3 + scale * shares[region]! * effort + 1e-5 * (i % 3)),
			);
		}
		stopped.stop();
		expect(stopped.results()).toMatchObject([{ summary: { full: 1 }, answer: null }]);
		stopped.answer(10, well);
		expect(stopped.results()).toMatchObject([{ summary: { full: 1 }, answer: well }]);
		expect(stopped.view().phase).toBe("done");
	});

	test("goes on by the clock after a pause where the person counts", () => {
		const rest = { level: 0, noise: 0.0002 };
		const exercise = createExerciseRun({
			item: planItemOf(libraryExerciseOf("quad-set")!, "left"),
			regionIds,
			references: scales.map(() => ({ state: "not-detected", reason: "within-noise", rest }) as const),
			learned: null,
			painBefore: 0,
			hadToStop: false,
		});
		exercise.begin(0);
		for (let time = 0; time < 7; time += 0.25) exercise.add(time, scales);
		expect(exercise.view()).toMatchObject({ phase: "work", cue: "hold" });
		exercise.pause();
		exercise.resume(20);
		for (let time = 20; time < 24; time += 0.25) exercise.add(time, scales);
		expect(exercise.view()).toMatchObject({ phase: "work", cue: "hold", count: 0 });
	});

	test("keeps what ends exercise even if it was told before the work began, and nothing else", () => {
		const item = planItemOf(libraryExerciseOf("straight-leg-raise")!, "left");
		const answers = [{ ...well, symptoms: ["chest"] }, { ...well, pain: 8 }, { ...well, pain: 6 }, well];
		const kept = answers.map((answer) => {
			const exercise = createExerciseRun({
				item,
				regionIds,
				references: scales.map(taken),
				learned: null,
				painBefore: 0,
				hadToStop: false,
			});
			exercise.begin(0);
			exercise.tick(1);
			exercise.stop();
			expect(exercise.results()).toEqual([]);
			exercise.answer(3, answer);
			return exercise.results();
		});
		for (const [i, results] of kept.slice(0, 3).entries()) {
			expect(results).toMatchObject([{ set: 1, repetitions: [], summary: null, answer: answers[i] }]);
			expect(results[0]!.end).toBe(results[0]!.start);
		}
		expect(kept[3]).toEqual([]);
	});

	test("goes on counting after a pause in which the person moved", () => {
		const item = planItemOf(libraryExerciseOf("straight-leg-raise")!, "left");
		const exercise = createExerciseRun({
			item: { ...item, dose: { ...item.dose, sets: 1, repetitions: 2 } },
			regionIds,
			references: scales.map(taken),
			learned: null,
			painBefore: 0,
			hadToStop: false,
		});
		exercise.begin(0);
		for (let i = 1; i < 30 * 40; i++) {
			const time = i / 30;
			if (i === 300) exercise.pause();
			if (i === 600) exercise.resume(time);
			const isUp = (time > 6 && time < 8) || (time > 12 && time < 14) || (time > 25 && time < 27);
			exercise.add(
				time,
				scales.map(
					(scale, region) =>
						0.3 + (time > 15 ? 0.6 * scale : 0) + (isUp ? 0.8 : 0) * scale * shares[region]! + 1e-5 * (i % 3),
				),
			);
		}
		expect(exercise.view()).toMatchObject({ phase: "ask", count: 2 });
		expect(exercise.results()[0]!.repetitions.map(({ onset }) => Math.round(onset))).toEqual([6, 25]);
	});

	/** The same person by the clock: pushes for 1.5 s of every 3.5 s from `from` on, six times, at 0.8 of the reference. */
	function byClock({
		references = scales.map(restingAt),
		pushesAt = (time: number, from: number) => time > from && time < from + 21 && (time - from) % 3.5 < 1.5,
		from = 7,
		isLost = (_time: number) => false,
		levelAt = (_time: number) => 0.3,
		intervene = (_exercise: ReturnType<typeof createExerciseRun>, _time: number) => {},
	}) {
		const item = planItemOf(libraryExerciseOf("straight-leg-raise")!, "left");
		const exercise = createExerciseRun({
			item: { ...item, dose: { ...item.dose, sets: 1, repetitions: 6 } },
			regionIds,
			references,
			learned: null,
			painBefore: 0,
			hadToStop: false,
		});
		const random = createSeededRandom(4);
		exercise.begin(0);
		let effort = 0;
		for (let i = 1; i < 30 * 50; i++) {
			const time = i / 30;
			intervene(exercise, time);
			effort += ((pushesAt(time, from) ? 0.8 : 0) - effort) * 0.2;
			if (isLost(time)) exercise.tick(time);
			else
				exercise.add(
					time,
					scales.map((scale) => levelAt(time) + scale * effort + 0.0002 * random.normal()),
				);
		}
		return exercise;
	}

	const restingAt = (change: number) =>
		({ ...taken(change), rest: { level: 0.3, noise: 0.0002 } }) as RegionReference;
	const untaken = scales.map((): RegionReference => ({ state: "none" }));
	const onsets = (exercise: ReturnType<typeof createExerciseRun>) => {
		exercise.stop();
		return exercise.results()[0]!.repetitions.map(({ onset }) => onset);
	};

	test("waits for rest where nothing came from the band before the work", () => {
		const exercise = byClock({ references: untaken, from: 18, isLost: (time) => time < 15.5 });
		expect(exercise.view()).toMatchObject({ phase: "ask", count: 6 });
		onsets(exercise).forEach((onset, i) => {
			expect(onset).toBeCloseTo(18 + 3.5 * i, 0);
		});
	});

	test("does not take a push for rest: the set begins when the person lets go", () => {
		let began = Number.NaN;
		const exercise = byClock({
			from: 16,
			pushesAt: (time, from) => time < 7 || (time > from && time < from + 21 && (time - from) % 3.5 < 1.5),
			intervene: (run, time) => {
				if (Number.isNaN(began) && run.phase === "work") began = time;
			},
		});
		expect(began).toBeGreaterThan(7);
		expect(exercise.view().count).toBe(6);
	});

	test("takes rest anew after a short pause in the middle of a push", () => {
		const exercise = byClock({
			from: 18,
			pushesAt: (time, from) =>
				(time > 7 && time < 9.6) || (time > from && time < from + 21 && (time - from) % 3.5 < 1.5),
			intervene: (run, time) => {
				if (Math.abs(time - 9) < 0.01) run.pause();
				if (Math.abs(time - 9.4) < 0.01) run.resume(time);
			},
		});
		// the push that the pause cut counts, and five more make six
		expect(exercise.view()).toMatchObject({ phase: "ask", count: 6 });
		onsets(exercise).forEach((onset, i) => {
			expect(onset).toBeCloseTo([7, 18, 21.5, 25, 28.5, 32][i]!, 0);
		});
	});

	test("goes on where a region has no value for a while, even when rest is taken", () => {
		const exercise = byClock({
			levelAt: (time) => (time < 3.5 || (time > 12.2 && time < 13) ? Number.NaN : 0.3),
		});
		expect(exercise.view()).toMatchObject({ phase: "ask", count: 6 });
	});

	test("counts on after frames were lost, without what fell into the gap", () => {
		const exercise = byClock({ isLost: (time) => time > 12.9 && time < 16.5 });
		expect(exercise.view()).toMatchObject({ phase: "work", count: 5 });
	});

	test("refuses references that do not fit the regions", () => {
		const item = planItemOf(libraryExerciseOf("quad-set")!, "left");
		const options = { item, regionIds, references: [], learned: null, painBefore: 0, hadToStop: false };
		expect(() => createExerciseRun(options)).toThrow(RangeError);
	});
});

describe("the count of a set", () => {
	const automatic = { automatic: { full: 9, partial: 1 }, personal: null, corrections: [] };
	const correction = {
		count: { full: 10, partial: 0 },
		by: "patient",
		at: "2025-03-04T09:15:30+01:00",
		reason: "the first one was missed",
	} as const;

	test("keeps the automatic count beside what a person says", () => {
		const corrected = correctCount(automatic, correction);
		if (!corrected.ok) throw new Error(corrected.error.path);
		expect(corrected.value.automatic).toEqual({ full: 9, partial: 1 });
		expect(countThatHolds(corrected.value)).toEqual({ full: 10, partial: 0 });
		expect(countThatHolds(automatic)).toEqual({ full: 9, partial: 1 });
		expect(automatic.corrections).toEqual([]);
	});

	test("keeps every correction", () => {
		const once = correctCount(automatic, correction);
		if (!once.ok) throw new Error(once.error.path);
		const twice = correctCount(once.value, { ...correction, count: { full: 8, partial: 2 } });
		expect(twice).toMatchObject({
			ok: true,
			value: { corrections: [{ count: { full: 10 } }, { count: { full: 8 } }] },
		});
	});

	test.each([
		[{ ...correction, count: { full: -1, partial: 0 } }, "corrections[0].count.full"],
		[{ ...correction, count: { full: 1.5, partial: 0 } }, "corrections[0].count.full"],
		[{ ...correction, at: "yesterday" }, "corrections[0].at"],
	])("refuses %j, saying where", (wrong, path) => {
		expect(correctCount(automatic, wrong)).toMatchObject({ ok: false, error: { path } });
	});

	test("is unknown where nobody counted", () => {
		expect(countThatHolds({ automatic: null, personal: null, corrections: [] })).toBeNull();
		expect(readSetCount({ automatic: null }).ok).toBe(false);
	});
});
