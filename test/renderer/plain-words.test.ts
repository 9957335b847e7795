/** What a person reads alone at home, checked for a reading age of about 11 years. */
import { describe, expect, test } from "vitest";
import { nextStepAfter, redFlags } from "../../core/exercise/stop-rules.ts";
import { tones } from "../../renderer/coach-tones.ts";
import {
	adviceWords,
	coachWords,
	cueWords,
	effortAnchors,
	hintWords,
	painAnchors,
} from "../../renderer/text/coach-words.ts";
import { contactAdvice } from "../../renderer/text/contact-advice.ts";
import { homeWords } from "../../renderer/text/home-words.ts";
import { removedWords } from "../../renderer/text/people-words.ts";

/** Every text in a catalogue; functions are asked with a usual value. */
function textsOf(catalogue: unknown): string[] {
	if (typeof catalogue === "string") return [catalogue];
	if (typeof catalogue === "function") return [String(catalogue(2, 3))];
	return Object.values(catalogue as object).flatMap(textsOf);
}

/** Groups of vowels, less a silent e at the end: the usual count by rule, at least one. */
function syllablesOf(word: string): number {
	const plain = word.toLowerCase().replace(/(?:[^laeiouy]es|ed|[^laeiouy]e)$/, "");
	return Math.max(1, plain.match(/[aeiouy]+/g)?.length ?? 0);
}

/** US school grade: 0.39 · words/sentence + 11.8 · syllables/word − 15.59 (J. P. Kincaid et al., Research Branch Report
 *  8-75, Chief of Naval Technical Training, 1975). Grade 5 to 6 is an age of 10 to 12. */
function gradeOf(text: string): number {
	const sentences = text.split(/[.!?…]+/).filter((part) => /[a-z]/i.test(part));
	const words = text.match(/[A-Za-z’]+/g) ?? [];
	const syllables = words.reduce((sum, word) => sum + syllablesOf(word), 0);
	return (0.39 * words.length) / sentences.length + (11.8 * syllables) / words.length - 15.59;
}

const { enter: _forTherapist, off: _alsoForTherapist, lock: _lock, ...atHome } = homeWords;

const readAtHome = [
	...textsOf(atHome),
	...textsOf(cueWords),
	...textsOf(hintWords),
	...textsOf(painAnchors),
	...textsOf(effortAnchors),
	coachWords.painTitle,
	coachWords.effortTitle,
	coachWords.stoppedText,
	coachWords.pausedByLink,
];

describe("words at home", () => {
	test("the formula grades as published: a plain sentence low, an official one high", () => {
		expect(gradeOf("The cat sat on the mat.")).toBeLessThan(2);
		expect(
			gradeOf(
				"Reconstruction of conductivity distributions necessitates appropriate regularisation methodology.",
			),
		).toBeGreaterThan(15);
	});

	test("read on average at the age of 11 or below", () => {
		expect(gradeOf(readAtHome.map((text) => text.replace(/[.!?…]?$/, ".")).join(" "))).toBeLessThanOrEqual(5);
	});

	test.each(readAtHome.filter((text) => text.split(" ").length >= 6))("%j is plain by itself", (text) => {
		expect(gradeOf(text)).toBeLessThanOrEqual(8);
		for (const sentence of text.split(/[.!?]/)) expect(sentence.split(" ").length).toBeLessThanOrEqual(16);
	});

	test("never speak of what the band does not measure, or of failing", () => {
		const all = [...readAtHome, ...textsOf(coachWords)].join(" ").toLowerCase();
		for (const word of ["force", "strength", "emg", "missed", "fail", "should have", "bad day", "lazy"]) {
			expect(all).not.toContain(word);
		}
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
		const advice = contactAdvice({ link: streaming, contacts: list });
		expect(advice.text).toMatch(text);
		expect(advice.isGood).toBe(isGood);
	});

	test("says when the band is silent or gone, whatever the pads said before", () => {
		const good = contacts("good");
		expect(contactAdvice({ link: { state: "idle" }, contacts: good }).text).toMatch(/switched on/);
		const failed = { state: "failed", label: "band", fault: { kind: "not-connected" } } as const;
		expect(contactAdvice({ link: failed, contacts: good }).text).toMatch(/gone/);
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
