import { describe, expect, test } from "vitest";
import {
	effortScale,
	nextStepAfter,
	nextStepBefore,
	redFlags,
	type SetAnswer,
} from "../../core/exercise/stop-rules.ts";

const well: SetAnswer = { pain: 0, effort: 3, symptoms: [] };
const fresh = { painBefore: 0, hadToStop: false };

describe("whether somebody who is alone may begin", () => {
	// The same habit as after a set: up to 5 is acceptable, 8 and more severe. From memory, no source.
	test.each([0, 3, 5])("with pain of %d", (pain) => {
		expect(nextStepBefore(pain)).toMatchObject({ action: "go-on", askTomorrow: pain > 2 });
	});

	test.each([
		[6, "pain-above-acceptable"],
		[8, "pain-severe"],
		[10, "pain-severe"],
	])("not with pain of %d", (pain, reason) => {
		expect(nextStepBefore(pain)).toEqual({ action: "stop-session", askTomorrow: true, reasons: [reason] });
	});

	test("and takes no pain off the scale", () => {
		expect(() => nextStepBefore(11)).toThrow(RangeError);
	});
});

describe("what comes after a set", () => {
	// Pain-monitoring habit: 0–2 fine, 3–5 acceptable if settled by next morning, above 5 reduce or stop. From memory, no
	// source.
	test.each([0, 1, 2])("pain of %d is fine", (pain) => {
		expect(nextStepAfter({ ...well, pain }, { ...fresh, painBefore: pain })).toEqual({
			action: "go-on",
			askTomorrow: false,
			reasons: [],
		});
	});

	test.each([3, 4, 5])("pain of %d is acceptable and asked about next morning", (pain) => {
		expect(nextStepAfter({ ...well, pain }, { ...fresh, painBefore: pain })).toEqual({
			action: "go-on",
			askTomorrow: true,
			reasons: ["pain-acceptable"],
		});
	});

	test.each([6, 7])("pain of %d ends the exercise, the second time the session", (pain) => {
		expect(nextStepAfter({ ...well, pain }, fresh)).toMatchObject({
			action: "stop-exercise",
			askTomorrow: true,
		});
		expect(nextStepAfter({ ...well, pain }, { ...fresh, hadToStop: true })).toMatchObject({
			action: "stop-session",
			reasons: ["pain-again"],
		});
	});

	test.each([8, 9, 10])("pain of %d ends the session", (pain) => {
		expect(nextStepAfter({ ...well, pain }, fresh)).toMatchObject({ action: "stop-session" });
	});

	test("pain that rises by two points makes it easier", () => {
		expect(nextStepAfter({ ...well, pain: 4 }, { ...fresh, painBefore: 2 })).toMatchObject({
			action: "ease",
			repetitionShare: 0.7,
			reasons: ["pain-acceptable", "pain-rising"],
		});
	});

	// Borg CR10: 7 very strong, 10 extremely strong (Borg 1982); where to act is our own choice.
	test.each([
		[5, "go-on", 1],
		[7, "ease", 1],
		[9, "ease", 0.7],
		[10, "ease", 0.7],
	])("effort of %d leads to %s", (effort, action, share) => {
		const step = nextStepAfter({ ...well, effort }, fresh);
		expect(step.action).toBe(action);
		if (step.action === "ease") expect(step.repetitionShare).toBe(share);
	});

	test("unanswered questions stop nobody", () => {
		expect(
			nextStepAfter({ pain: null, effort: null, symptoms: [] }, { ...fresh, painBefore: null }),
		).toMatchObject({
			action: "go-on",
		});
	});

	test("a clinician's own limits hold", () => {
		const limits = {
			painFine: 1,
			painAcceptable: 3,
			painSevere: 6,
			painRise: 2,
			effortHigh: 5,
			effortTooHigh: 7,
		};
		expect(nextStepAfter({ ...well, pain: 4 }, fresh, limits)).toMatchObject({ action: "stop-exercise" });
		expect(nextStepAfter({ ...well, pain: 6 }, fresh, limits)).toMatchObject({ action: "stop-session" });
	});

	test.each(redFlags)("$id means help, whatever else was answered", ({ id, urgency }) => {
		expect(nextStepAfter({ ...well, symptoms: [id] }, fresh)).toEqual({
			action: "get-help",
			urgency,
			symptoms: [id],
		});
		expect(nextStepAfter({ pain: 10, effort: 10, symptoms: [id] }, fresh).action).toBe("get-help");
	});

	test("the most urgent of several symptoms decides", () => {
		expect(nextStepAfter({ ...well, symptoms: ["fever", "chest"] }, fresh)).toMatchObject({
			urgency: "emergency",
		});
	});

	// Symptoms of patient leaflets after surgery and on thrombosis.
	test.each([
		"chest",
		"faint",
		"swollen-calf",
		"fever",
		"giving-way",
		"numb",
		"tense-thigh",
		"swollen-knee",
		"skin",
	])("%s is asked about", (id) => {
		expect(redFlags.map((flag) => flag.id)).toContain(id);
	});

	test.each([
		[{ ...well, pain: 11 }],
		[{ ...well, pain: Number.NaN }],
		[{ ...well, effort: 12 }],
		[{ ...well, symptoms: ["bored"] }],
	])("refuses %j", (answer) => {
		expect(() => nextStepAfter(answer, fresh)).toThrow(RangeError);
	});
});

describe("the effort scale", () => {
	test("has Borg's words at Borg's numbers", () => {
		// Borg, Med. Sci. Sports Exerc. 14:377, 1982 (from memory).
		const words = new Map(effortScale.map(({ value, words: text }) => [value, text]));
		expect(words.get(0.5)).toBe("extremely weak");
		expect(words.get(3)).toBe("moderate");
		expect(words.get(5)).toBe("strong");
		expect(words.get(7)).toBe("very strong");
		expect(words.get(10)).toBe("extremely strong");
	});
});
