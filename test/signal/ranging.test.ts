/** The search for current and gain against boards in tables: loads of 0.2 to 5 kΩ, converters that saturate, boards that
 *  refuse, that answer late or not at all. Ohm's law is the outside check: reading = current × load × gain. */
import { describe, expect, test } from "vitest";
import {
	aimedShare,
	type RangingFacts,
	type RangingOutcome,
	type RangingReply,
	RangingSearch,
} from "../../core/signal/ranging.ts";

interface Board {
	/** Ω, of the largest reading */
	readonly load: number;
	readonly fullScaleVolt: number;
	readonly answerMs: number;
	readonly framesPerSecond: number;
	/** Gains that the board has; null for any. */
	readonly gains: readonly number[] | null;
	readonly refusesCurrentAbove: number;
	readonly refusesGainAbove: number;
	readonly isSilent: boolean;
	readonly sendsFrames: boolean;
	/** Answers that are lost, the first ones. */
	readonly lostAnswers: number;
}

const usualFacts: RangingFacts = {
	minimumMilliamp: 0.1,
	maximumMilliamp: 2,
	minimumGain: 1,
	maximumGain: 200,
	limitMilliamp: 1,
	currentMilliamp: 0.5,
	gain: 10,
	knowsFullScale: true,
};
const usualBoard: Board = {
	load: 1000,
	fullScaleVolt: 1,
	answerMs: 20,
	framesPerSecond: 30,
	gains: null,
	refusesCurrentAbove: Number.POSITIVE_INFINITY,
	refusesGainAbove: Number.POSITIVE_INFINITY,
	isSilent: false,
	sendsFrames: true,
	lostAnswers: 0,
};

type Untimed = RangingReply extends infer R ? (R extends RangingReply ? Omit<R, "elapsedMs"> : never) : never;

interface Run {
	readonly outcome: RangingOutcome;
	readonly seconds: number;
	readonly largestMilliamp: number;
	readonly steps: string[];
}

function run(board: Partial<Board> = {}, facts: Partial<RangingFacts> = {}): Run {
	const b = { ...usualBoard, ...board };
	const search = new RangingSearch({ ...usualFacts, ...facts });
	let current = facts.currentMilliamp ?? usualFacts.currentMilliamp;
	let gain = facts.gain ?? usualFacts.gain;
	let largestMilliamp = 0;
	let ms = 0;
	let lost = b.lostAnswers;
	const steps: string[] = [];
	while (search.step.do !== "done") {
		const { step } = search;
		steps.push(step.do);
		if (steps.length > 60) throw new Error("no end");
		let reply: Untimed;
		if (step.do === "look") {
			ms += 3 * (1000 / b.framesPerSecond);
			const share = (Math.abs(current / 1000) * b.load * gain) / b.fullScaleVolt;
			reply = b.sendsFrames
				? { kind: "saw", largestShare: Math.min(1, share), clippedShare: share >= 1 ? 0.1 : 0 }
				: { kind: "no-frames" };
		} else if (b.isSilent || lost-- > 0) {
			ms += 600;
			reply = { kind: "silent" };
		} else if (step.do === "set-current") {
			ms += b.answerMs;
			const isRefused = step.milliamp > b.refusesCurrentAbove;
			if (!isRefused) current = step.milliamp;
			reply = isRefused ? { kind: "refused" } : { kind: "set", inForce: current };
		} else {
			ms += b.answerMs;
			const isRefused = step.gain > b.refusesGainAbove;
			const { gain: wanted } = step;
			if (!isRefused) gain = b.gains === null ? wanted : nearest(b.gains, wanted);
			reply = isRefused ? { kind: "refused" } : { kind: "set", inForce: gain };
		}
		largestMilliamp = Math.max(largestMilliamp, current);
		search.reply({ ...reply, elapsedMs: ms });
	}
	const { outcome } = search.step;
	expect(outcome.currentMilliamp).toBe(current);
	expect(outcome.gain).toBe(gain);
	return { outcome, seconds: ms / 1000, largestMilliamp, steps };
}

function nearest(gains: readonly number[], wanted: number): number {
	return gains.reduce((best, gain) => (Math.abs(gain - wanted) < Math.abs(best - wanted) ? gain : best));
}

const loads = [200, 300, 500, 800, 1200, 2000, 3000, 5000];
const gains = [1, 3, 10, 40, 200];

describe("a board that does as it is told", () => {
	test.each(loads.flatMap((load) => gains.map((gain) => [load, gain] as const)))(
		"%i Ω from a gain of %i",
		(load, gain) => {
			// Four-terminal readings: a hundredth of the load.
			const { outcome, seconds } = run({ load: load / 100 }, { gain, maximumGain: 1000 });
			expect(outcome.verdict).toBe("good");
			expect(outcome.currentMilliamp).toBe(1);
			expect(outcome.reasons).toContain("current-at-limit");
			// Ohm's law with what was chosen.
			const share = (outcome.currentMilliamp / 1000) * (load / 100) * outcome.gain;
			expect(share).toBeGreaterThanOrEqual(aimedShare.least);
			expect(share).toBeLessThanOrEqual(aimedShare.most);
			expect(seconds).toBeLessThanOrEqual(3);
		},
	);

	test("takes less current when the least gain still clips", () => {
		const { outcome } = run({ load: 1700 }, { currentMilliamp: 0.1 });
		expect(outcome).toMatchObject({ currentMilliamp: 0.5, gain: 1, verdict: "good" });
		expect(outcome.reasons).toContain("current-lowered");
	});

	test("says so when even the least current clips", () => {
		const { outcome } = run({ load: 50_000 });
		expect(outcome.verdict).toBe("failed");
		expect(outcome.reasons).toContain("still-clipped");
	});

	test("says so when no gain is large enough", () => {
		const { outcome } = run({ load: 0.5 });
		expect(outcome).toMatchObject({ gain: 200, verdict: "fair" });
		expect(outcome.reasons).toContain("gain-at-most");
	});

	test("takes the nearest of a few gains", () => {
		const { outcome } = run({ load: 10, gains: [1, 10, 50, 100, 200] });
		expect(outcome).toMatchObject({ gain: 50, verdict: "fair" });
	});
});

describe("the limit", () => {
	test.each([0.2, 0.5, 1])("no step exceeds %d mA, whatever the board could do", (limitMilliamp) => {
		for (const load of loads) {
			const { largestMilliamp } = run({ load: load / 50 }, { limitMilliamp, currentMilliamp: 0.1 });
			expect(largestMilliamp).toBeLessThanOrEqual(limitMilliamp);
		}
	});

	test("a current above it goes down before anything else", () => {
		const { steps, outcome } = run({ load: 10 }, { currentMilliamp: 2 });
		expect(steps[0]).toBe("set-current");
		expect(outcome.currentMilliamp).toBeLessThanOrEqual(1);
	});

	test("a limit below the band's least current is kept", () => {
		const { largestMilliamp } = run(
			{ load: 10 },
			{ minimumMilliamp: 0.5, limitMilliamp: 0.3, currentMilliamp: 0.3 },
		);
		expect(largestMilliamp).toBeLessThanOrEqual(0.3);
	});
});

describe("boards that make trouble", () => {
	test("refuses more current: what it took last stays", () => {
		const { outcome } = run({ load: 10, refusesCurrentAbove: 0.6 });
		expect(outcome).toMatchObject({ currentMilliamp: 0.5, verdict: "good" });
		expect(outcome.reasons).toContain("current-refused");
	});

	test("refuses more gain", () => {
		const { outcome } = run({ load: 5, refusesGainAbove: 20 });
		expect(outcome).toMatchObject({ gain: 10, verdict: "fair" });
		expect(outcome.reasons).toContain("gain-refused");
	});

	test("one answer is lost: asked again", () => {
		expect(run({ load: 10, lostAnswers: 1 }).outcome.verdict).toBe("good");
	});

	test("answers nothing", () => {
		const { outcome, seconds } = run({ isSilent: true });
		expect(outcome.verdict).toBe("failed");
		expect(outcome.reasons).toContain("board-silent");
		expect(seconds).toBeLessThanOrEqual(3);
	});

	test("sends no frames", () => {
		expect(run({ sendsFrames: false }).outcome).toMatchObject({ verdict: "failed", reasons: ["no-frames"] });
	});

	test.each(loads.flatMap((load) => [100, 300, 500].map((answerMs) => [load, answerMs] as const)))(
		"%i Ω, answers after %i ms: ends within 3 s without a clipped reading",
		(load, answerMs) => {
			const { outcome, seconds } = run({ load: load / 100, answerMs, framesPerSecond: 20 });
			expect(seconds).toBeLessThanOrEqual(3);
			expect(outcome.verdict).not.toBe("failed");
			expect(outcome.largestShare).toBeLessThan(1);
		},
	);

	test("does not tell its full scale", () => {
		expect(run({}, { knowsFullScale: false })).toMatchObject({
			steps: [],
			outcome: { verdict: "fair", reasons: ["full-scale-unknown"] },
		});
	});
});

test("the same board gives the same search", () => {
	expect(run({ load: 7 })).toEqual(run({ load: 7 }));
});
