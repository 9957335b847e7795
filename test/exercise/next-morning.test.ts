import { describe, expect, test } from "vitest";
import { createCoach } from "../../core/exercise/coach.ts";
import { libraryExerciseOf } from "../../core/exercise/library.ts";
import { adviceNextMorning, morningVerdict } from "../../core/exercise/next-morning.ts";

describe("the morning after", () => {
	// Pain-monitoring model: up to 5 of 10 is allowed and has settled by the next morning (Thomeé, Phys. Ther. 77:1690,
	// 1997; Silbernagel et al., Am. J. Sports Med. 35:897, 2007; from memory).
	test.each([
		[0, 0, "settled"],
		[2, 0, "settled"],
		[3, 0, "not-settled"],
		[3, null, "not-settled"],
		[4, 4, "settled"],
		[5, 4, "not-settled"],
		[6, 4, "too-high"],
		[6, 8, "too-high"],
	] as const)("pain of %d after pain of %s before is %s", (morning, before, verdict) => {
		expect(morningVerdict(morning, before)).toBe(verdict);
	});

	test.each([
		[11, 0],
		[Number.NaN, 0],
		[3, -1],
	])("refuses %d after %d", (morning, before) => {
		expect(() => morningVerdict(morning, before)).toThrow(RangeError);
	});

	test("goes on as planned where it settled or nobody asked, and with less where it did not", () => {
		expect(adviceNextMorning("settled")).toEqual({ step: "as-planned" });
		expect(adviceNextMorning(null)).toEqual({ step: "as-planned" });
		expect(adviceNextMorning("not-settled")).toMatchObject({ step: "less-today", tellTherapist: false });
		expect(adviceNextMorning("too-high")).toMatchObject({ step: "less-today", tellTherapist: true });
	});

	test("takes a third off every set and rests half as long again", () => {
		const exercise = libraryExerciseOf("straight-leg-raise")!;
		const advice = adviceNextMorning("not-settled");
		if (advice.step !== "less-today") throw new Error(advice.step);
		const coach = createCoach({
			exercise,
			dose: exercise.dose,
			mode: "self-counted",
			painBefore: 1,
			hadToStop: false,
			ease: advice.ease,
		});
		coach.begin(0);
		for (let time = 1; time < 10; time++) coach.advance(time, null);
		expect(coach.view()).toMatchObject({ phase: "work", goal: 7 });
		for (let i = 0; i < 7; i++) coach.tap();
		coach.answer(20, { pain: 1, effort: 2, symptoms: [] });
		expect(coach.view()).toMatchObject({ phase: "rest", secondsOf: 90, goal: 7 });
	});
});
