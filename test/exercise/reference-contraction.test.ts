import { describe, expect, test } from "vitest";
import {
	createReferenceRecorder,
	type ReferenceProtocol,
	usualReference,
} from "../../core/exercise/reference-contraction.ts";
import { VARIATION_LIMIT_PERCENT, variationPercentOf } from "../../core/exercise/reference-result.ts";
import { createSeededRandom } from "../../core/exercise/seeded-random.ts";

const short: ReferenceProtocol = { ...usualReference, pauseSeconds: 20 };

interface Person {
	/** [contraction] change of a region while the person pushes. */
	readonly changes: readonly number[];
	readonly noise?: number;
	/** Per second. */
	readonly drift?: number;
}

/** A person does what the recorder says, half a second late. */
function record(
	people: readonly Person[],
	{ protocol = short, rate = 20, seed = 1, isLost = (_seconds: number): boolean => false } = {},
) {
	const recorder = createReferenceRecorder(people.length, protocol);
	const random = createSeededRandom(seed);
	const steps: string[] = [];
	const effort = new Float64Array(people.length);
	recorder.begin(100);
	for (let i = 0; recorder.view().step !== "done" && i < 100_000; i++) {
		const time = 100 + i / rate;
		const view = recorder.view();
		if (steps.at(-1) !== view.step) steps.push(view.step);
		const values = people.map(({ changes, noise = 0.1, drift = 0 }, region) => {
			const wanted = view.step === "contract" ? changes[view.contraction - 1]! : 0;
			effort[region]! += (wanted - effort[region]!) / (0.4 * rate);
			return 7 + effort[region]! + drift * (time - 100) + noise * random.normal();
		});
		if (!isLost(time - 100)) recorder.add(time, values);
	}
	return { recorder, steps, result: recorder.result() };
}

function regionsOf(people: readonly Person[], seed = 1) {
	const { result } = record(people, { seed });
	if (!result.ok) throw new Error(result.error.kind);
	return result.value;
}

describe("a reference contraction", () => {
	test("guides through rest, three contractions and their pauses", () => {
		const { steps, recorder } = record([{ changes: [5, 5, 5] }]);
		expect(steps).toEqual(["rest", "contract", "pause", "contract", "pause", "contract", "pause"]);
		expect(recorder.view()).toEqual({ step: "done" });
	});

	test("says what is asked and how long it still takes", () => {
		const recorder = createReferenceRecorder(1, short);
		expect(recorder.view()).toEqual({ step: "ready" });
		recorder.begin(50);
		recorder.add(52, [0]);
		expect(recorder.view()).toMatchObject({ step: "rest", contraction: 0, of: 3, secondsLeft: 6 });
		recorder.add(59, [0]);
		expect(recorder.view()).toMatchObject({ step: "contract", contraction: 1, secondsLeft: 4 });
		recorder.add(63, [0]);
		expect(recorder.view()).toMatchObject({ step: "pause", contraction: 1, secondsLeft: 20 });
		recorder.stop();
		expect(recorder.view()).toEqual({ step: "stopped" });
		expect(recorder.result()).toEqual({ ok: false, error: { kind: "not-finished" } });
	});

	test("takes the best second of the best contraction, with its sign", () => {
		const [rising, falling] = regionsOf([{ changes: [4.6, 5, 4.8] }, { changes: [-4.6, -5, -4.8] }]);
		expect(rising).toMatchObject({ state: "taken", repeatability: "repeatable" });
		expect(falling).toMatchObject({ state: "taken", repeatability: "repeatable" });
		if (rising?.state !== "taken" || falling?.state !== "taken") return;
		// noise of 0.1 over a second of 20 samples moves the largest of some eighty means by less than 3·0.1/√20
		expect(Math.abs(rising.change - 5)).toBeLessThan(0.1);
		expect(Math.abs(falling.change + 5)).toBeLessThan(0.1);
		expect(rising.rest.level).toBeCloseTo(7, 0);
		expect(rising.rest.noise).toBeGreaterThan(0.07);
		expect(rising.rest.noise).toBeLessThan(0.14);
	});

	test("tells how repeatable it was", () => {
		// Worked by hand: 4, 5, 6 have mean 5 and standard deviation 1.
		expect(variationPercentOf([4, 5, 6])).toBeCloseTo(20, 10);
		expect(variationPercentOf([4])).toBeNull();
		const [uneven] = regionsOf([{ changes: [2, 5, 4] }]);
		expect(uneven).toMatchObject({ state: "taken", repeatability: "not-repeatable" });
		if (uneven?.state === "taken") expect(uneven.variationPercent).toBeGreaterThan(VARIATION_LIMIT_PERCENT);
	});

	test("is not detected in noise, whatever the noise", () => {
		for (let seed = 0; seed < 50; seed++) {
			const [region] = regionsOf([{ changes: [0, 0, 0] }], seed);
			expect(region).toMatchObject({ state: "not-detected", reason: "within-noise" });
		}
	});

	test("is detected above three deviations of rest and not below", () => {
		// The limit of three deviations at rest is common practice, without a source.
		const [below, above] = regionsOf([{ changes: [0.2, 0.2, 0.2] }, { changes: [0.4, 0.4, 0.4] }]);
		expect(below).toMatchObject({ state: "not-detected" });
		expect(above).toMatchObject({ state: "taken" });
	});

	test("does not sell drift as a change", () => {
		const [still, working] = regionsOf([
			{ changes: [0, 0, 0], drift: 0.05 },
			{ changes: [-5, -5, -5], drift: 0.05 },
		]);
		expect(still).toMatchObject({ state: "not-detected" });
		expect(working).toMatchObject({ state: "taken" });
		if (working?.state === "taken") expect(Math.abs(working.change + 5)).toBeLessThan(0.1);
	});

	test("is not detected where the contractions disagree about the direction", () => {
		const [region] = regionsOf([{ changes: [5, -5, 5] }]);
		expect(region).toMatchObject({ state: "not-detected", reason: "directions-differ" });
	});

	test("is nothing but zeros from a silent board", () => {
		const [region] = regionsOf([{ changes: [0, 0, 0], noise: 0 }]);
		expect(region).toMatchObject({ state: "not-detected" });
	});

	test("survives being stored", () => {
		const regions = regionsOf([{ changes: [5, 5, 5] }, { changes: [0, 0, 0] }]);
		expect(JSON.parse(JSON.stringify(regions))).toEqual(regions);
	});

	test("asks for more frames where too many were missing", () => {
		const { result } = record([{ changes: [5, 5, 5] }], { rate: 1 });
		expect(result).toMatchObject({ ok: false, error: { kind: "too-few-frames", contraction: 1 } });
	});

	test("asks for it again where frames were lost for longer than the best second", () => {
		// the second one lasts from 33 to 38 s
		const lost = (from: number, to: number) =>
			record([{ changes: [5, 5, 5] }], { isLost: (seconds) => seconds > from && seconds < to }).result;
		const again = { ok: false, error: { kind: "too-few-frames", contraction: 2 } };
		expect(lost(33.6, 38)).toMatchObject(again);
		expect(lost(34, 35.2)).toMatchObject(again);
		expect(lost(34, 34.8)).toMatchObject({ ok: true });
	});

	test.each([2, 3, 4, 7])("is detected at %d frames a second, too", (rate) => {
		const { result } = record([{ changes: [5, 5, 5], noise: 0.01 }], { rate });
		expect(result).toMatchObject({ ok: true, value: [{ state: "taken", repeatability: "repeatable" }] });
	});

	test("is not detected where rest never moves: a signal that is stuck or too coarse", () => {
		const [region] = regionsOf([{ changes: [1e-9, 1e-9, 1e-9], noise: 0 }]);
		expect(region).toMatchObject({ state: "not-detected", reason: "within-noise" });
	});

	test.each([
		[{ contractions: 0 }],
		[{ restSeconds: 1 }],
		[{ contractionSeconds: 1 }],
		[{ pauseSeconds: 3 }],
	])("refuses the protocol %j", (wrong) => {
		expect(() => createReferenceRecorder(1, { ...usualReference, ...wrong })).toThrow(RangeError);
	});

	test("refuses frames of another size", () => {
		expect(() => createReferenceRecorder(2, usualReference).add(1, [1])).toThrow(RangeError);
	});
});
