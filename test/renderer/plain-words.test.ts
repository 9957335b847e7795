/** What a person reads alone at home, checked for a reading age of about 11 years. */
import { describe, expect, test } from "vitest";
import { adherenceOf, streakOf } from "../../core/exercise/adherence.ts";
import { dayNumberOf, dayOfNumber } from "../../core/exercise/calendar-day.ts";
import { library } from "../../core/exercise/library.ts";
import { createPlan, planItemOf } from "../../core/exercise/plan.ts";
import { effortScale, nextStepAfter, nextStepBefore, redFlags } from "../../core/exercise/stop-rules.ts";
import { tones } from "../../renderer/coach-tones.ts";
import {
	adviceWords,
	coachWords,
	cueWords,
	effortAnchors,
	hintWords,
	nextWords,
	painAnchors,
} from "../../renderer/text/coach-words.ts";
import { contactAdvice } from "../../renderer/text/contact-advice.ts";
import { homeFaultWords } from "../../renderer/text/home-faults.ts";
import { homeDose, homeWords, streakWords } from "../../renderer/text/home-words.ts";
import { removedWords } from "../../renderer/text/people-words.ts";
import { words } from "../../renderer/text/words.ts";
import { readingGrade } from "../exercise/readability.ts";
import { everyFault } from "./every-fault.ts";

/** Every text in a catalogue; functions are asked with a usual value. */
function textsOf(catalogue: unknown): string[] {
	if (typeof catalogue === "string") return [catalogue];
	if (typeof catalogue === "function") return [String(catalogue(2, 3, "Holds"))];
	return Object.values(catalogue as object).flatMap(textsOf);
}

/** What every pain before, pain after and effort can lead to, for who had to stop before and who had not. */
function everyAdvice(): string[] {
	const pains = [...Array(11).keys()];
	const steps = pains.flatMap((pain) => [
		nextStepBefore(pain),
		...effortScale.flatMap(({ value: effort }) =>
			[false, true].map((hadToStop) =>
				nextStepAfter({ pain, effort, symptoms: [] }, { painBefore: 0, hadToStop }),
			),
		),
	]);
	const helps = redFlags.map(({ id }) =>
		nextStepAfter({ pain: null, effort: null, symptoms: [id] }, { painBefore: null, hadToStop: false }),
	);
	return [...steps, ...helps].flatMap((step) => {
		const advice = adviceWords(step);
		return advice === null ? [] : [advice.title, advice.text];
	});
}

const { enter: _entering, off: _off, ...homeTexts } = homeWords;
const { title: _t, nobodyTitle: _n, nobodyText: _x, toPeople: _p, ...coachTexts } = coachWords;

const readAtHome = [
	...new Set([
		...[homeTexts, coachTexts, cueWords, hintWords, nextWords, painAnchors, effortAnchors].flatMap(textsOf),
		...everyAdvice(),
		...redFlags.map(({ text }) => text),
		...Object.values(everyFault).flatMap((fault) => Object.values(homeFaultWords(fault))),
		...library.flatMap(({ instructions, cautions, stopRules }) => [
			...instructions,
			...cautions,
			...stopRules,
		]),
		...library.map(({ kind, dose }) => homeDose(kind, dose)),
		words.navigation.skip,
		words.status.dismiss,
		words.status.lost,
		words.status.lostHint,
		words.status.opening,
	]),
];

const asSentence = (text: string) => text.replace(/[.!?…]?$/, ".");

/** Reading age of about 11 years: grade 6. A text of few words is graded by each of them, so that alone it may be higher. */
const HIGHEST_GRADE = 6;
const HIGHEST_OF_ONE = 8;

describe("words at home", () => {
	test("the formula grades as published: a plain sentence low, an official one high", () => {
		expect(readingGrade(["The cat sat on the mat."])).toBeLessThan(2);
		expect(
			readingGrade([
				"Reconstruction of conductivity distributions necessitates appropriate regularisation methodology.",
			]),
		).toBeGreaterThan(15);
	});

	test("are all of them gone through", () => {
		expect(readAtHome.length).toBeGreaterThan(200);
	});

	test("read on average at the age of 11 or below", () => {
		expect(readingGrade(readAtHome.map(asSentence))).toBeLessThanOrEqual(HIGHEST_GRADE - 1);
	});

	test.each(readAtHome.filter((text) => text.split(" ").length >= 6))("%j is plain by itself", (text) => {
		expect(readingGrade([asSentence(text)])).toBeLessThanOrEqual(HIGHEST_OF_ONE);
		for (const sentence of text.split(/[.!?]/)) {
			expect(sentence.trim().split(" ").length).toBeLessThanOrEqual(16);
		}
	});

	test("never speak of what the band does not measure, or of failing", () => {
		const all = readAtHome.join(" ").toLowerCase();
		for (const word of ["force", "strength", "emg", "missed", "fail", "should have", "bad day", "lazy"]) {
			expect(all).not.toContain(word);
		}
	});

	test("name no path, port, code or setting when something goes wrong", () => {
		for (const fault of Object.values(everyFault)) {
			const { what, next } = homeFaultWords(fault);
			expect(`${what} ${next}`).not.toMatch(/[/\\_]|tty|sqlite|baud|board|protocol|undefined|null|NaN/);
			for (const text of [what, next]) expect(text).toMatch(/^[A-Z].*[.!?]$/);
		}
	});
});

/** A plan for every day; done on each of `daysDone` days, then missed for so many, and looked at on the day after. */
function afterMissing(missed: number, daysDone: number): string {
	const item = planItemOf(library[0]!, "left");
	const schedule = { weekdays: [1, 2, 3, 4, 5, 6, 7], timesPerDay: 1 };
	const plan = createPlan({ from: "2026-01-01", items: [item], schedule, reason: "" });
	if (!plan.ok) throw new Error(plan.error.expected);
	const first = dayNumberOf("2026-03-01");
	const sessions = Array.from({ length: daysDone }, (_, i) => ({ day: dayOfNumber(first + i), items: [] }));
	const today = first + daysDone + missed;
	// as the app tells it: over four weeks, without a day that is not over
	const adherence = adherenceOf(plan.value, sessions, dayOfNumber(today - 27), dayOfNumber(today - 1));
	return streakWords({ streak: streakOf(plan.value, sessions, dayOfNumber(today)), adherence });
}

describe("a person who comes back", () => {
	test.each([
		[0, "You did your exercises 5 days in a row. Nice. You did them on 5 days in the last 4 weeks."],
		[1, "Good to see you again. Today is a good day to go on. You did them on 5 days in the last 4 weeks."],
		[7, "Good to see you again. Today is a good day to go on. You did them on 5 days in the last 4 weeks."],
		[30, "Today is a good day to begin."],
	])("after %d missed days reads what was done, kindly", (missed, text) => {
		expect(afterMissing(missed, 5)).toBe(text);
	});

	test.each([1, 7, 30])("is blamed for none of %d missed days, and no number tells them", (missed) => {
		const text = afterMissing(missed, 5);
		expect(text).not.toMatch(/miss|lost|broke|only|again tomorrow|behind|but|not\b|%|0 /i);
		expect(text).not.toMatch(new RegExp(`\\b${missed}\\b`));
	});

	test("is welcomed on the first day, and praised after it", () => {
		expect(streakWords({ streak: 0, adherence: null })).toBe("Today is a good day to begin.");
		expect(afterMissing(0, 1)).toMatch(/^You have made a start\. Nice\./);
	});
});

describe("the dose in plain words", () => {
	const [quadSet] = library;

	test.each([
		["hold", { sets: 1, repetitions: 10, holdSeconds: 6 }, "10 holds of 6 seconds"],
		["hold", { sets: 3, repetitions: 1, holdSeconds: 1 }, "1 hold of 1 second, 3 sets"],
		["repetition", { sets: 2, repetitions: 10, holdSeconds: 0 }, "10 times, 2 sets"],
		["repetition", { sets: 1, repetitions: 1, holdSeconds: 0 }, "1 time"],
	] as const)("%s %j is %s", (kind, part, text) => {
		expect(homeDose(kind, { ...quadSet!.dose, ...part })).toBe(text);
	});

	test("one minute is one minute", () => {
		expect([1, 2].map(homeWords.minutes)).toEqual(["About 1 minute", "About 2 minutes"]);
	});
});

describe("advice after a set", () => {
	const session = { painBefore: 0, hadToStop: false };
	const adviceFor = (pain: number, effort: number, symptoms: readonly string[] = []) =>
		adviceWords(nextStepAfter({ pain, effort, symptoms }, session));

	test("is silent when all is well, calm when it eases, serious when it stops", () => {
		expect(adviceWords(null)).toBeNull();
		expect(adviceFor(0, 3)).toBeNull();
		expect(adviceFor(3, 3)).toMatchObject({ isSerious: false });
		expect(adviceFor(6, 3)).toMatchObject({ isSerious: true });
		expect(adviceFor(9, 3)?.title).toMatch(/No more/);
	});

	test.each(redFlags)("$id says to get help, at once if it is an emergency", ({ id, urgency }) => {
		const words = adviceFor(0, 3, [id]);
		expect(words?.isSerious).toBe(true);
		expect(words?.title).toMatch(urgency === "emergency" ? /call for help now/ : /today/);
	});
});

describe("the contact check in plain words", () => {
	const streaming = { state: "streaming", label: "band" } as const;
	const contacts = (...verdicts: readonly ("good" | "fair" | "poor" | "off" | "unknown")[]) =>
		verdicts.map((verdict) => ({ ohm: null, verdict }));

	test.each([
		["all good", contacts("good", "good"), /All pads/, true],
		["one off", contacts("good", "off", "poor"), /2, 3/, false],
		["some fair", contacts("good", "fair"), /press on these pads a little: 2/, true],
		["many off", contacts("off", "off", "poor", "off", "off"), /Many pads/, false],
		["not reported", contacts("unknown", "unknown"), /cannot tell/, false],
		["none", contacts(), /cannot tell/, false],
	] as const)("%s", (_name, list, text, isGood) => {
		const advice = contactAdvice({ link: streaming, contacts: list, leftOut: null });
		expect(advice.text).toMatch(text);
		expect(advice.isGood).toBe(isGood);
	});

	test("says when the band is silent or gone, whatever the pads said before", () => {
		const good = contacts("good");
		expect(contactAdvice({ link: { state: "idle" }, contacts: good, leftOut: null }).text).toMatch(
			/switched on/,
		);
		const failed = { state: "failed", label: "band", fault: { kind: "not-connected" } } as const;
		expect(contactAdvice({ link: failed, contacts: good, leftOut: null }).text).toMatch(
			/not there\. Switch it on/,
		);
		const fault = { kind: "no-data", path: "band" } as const;
		const reconnecting = { state: "reconnecting", label: "band", attempt: 1, fault } as const;
		expect(contactAdvice({ link: reconnecting, contacts: good, leftOut: null }).text).toMatch(/gone/);
	});

	test("asks nobody to switch a band on again that was stopped for its current", () => {
		const link = { state: "failed", label: "band", fault: everyFault["over-current-limit"] } as const;
		const { text, isGood } = contactAdvice({ link, contacts: contacts("good"), leftOut: null });
		expect(isGood).toBe(false);
		expect(text).toMatch(/Take the band off/);
		expect(text).not.toMatch(/[Ss]witch it on/);
	});
});

test("every tone has notes that end, and no two sound alike", () => {
	const all = Object.values(tones);
	for (const notes of all) {
		for (const { pitch, at, length } of notes) {
			expect(pitch).toBeGreaterThan(200);
			expect(pitch).toBeLessThan(2000);
			expect(at + length).toBeLessThan(1.5);
		}
	}
	expect(new Set(all.map((notes) => JSON.stringify(notes))).size).toBe(all.length);
});

test("deleting states everything there is and nothing that there is not", () => {
	const none = {
		limbs: 0,
		plans: 0,
		planVersions: 0,
		references: 0,
		sessions: 0,
		frames: 0,
		sets: 0,
		soapNotes: 0,
		checkIns: 0,
		keptCopies: [],
	};
	expect(removedWords(none)).toEqual([]);
	expect(removedWords({ ...none, sessions: 1, frames: 12_345, plans: 1, planVersions: 3 })).toEqual([
		"1 session",
		"12\u00a0345 frames of raw readings",
		"1 plan (3 versions)",
	]);
});
