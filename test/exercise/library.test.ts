import { describe, expect, test } from "vitest";
import { type Exercise, exerciseSchema, quadriceps } from "../../core/exercise/exercise.ts";
import { library, libraryExerciseOf } from "../../core/exercise/library.ts";
import { redFlags } from "../../core/exercise/stop-rules.ts";
import { readAs } from "../../core/invalid-input.ts";
import { thighRegionIds } from "../../core/limb/thigh-atlas.ts";
import { readingGrade, syllablesOf } from "./readability.ts";

/** Reading age of about 11 years: grade 6. */
const HIGHEST_GRADE = 6;

const own: Exercise = {
	...library[0]!,
	id: "own-towel-push",
	origin: "own",
	name: "Towel push",
	drawing: null,
};

describe("the library", () => {
	test("has the seven quadriceps exercises", () => {
		expect(library.map(({ id }) => id)).toEqual([
			"quad-set",
			"straight-leg-raise",
			"terminal-knee-extension",
			"seated-knee-extension",
			"sit-to-stand",
			"mini-squat",
			"step-up",
		]);
		expect(libraryExerciseOf("step-up")?.name).toBe("Step up");
		expect(libraryExerciseOf("leg-press")).toBeUndefined();
	});

	test.each(library)(
		"$id is valid, targets the quadriceps of the atlas and says where its dose is from",
		(exercise) => {
			expect(readAs(exerciseSchema, exercise)).toEqual({ ok: true, value: exercise });
			expect(new Set(exercise.targetRegions)).toEqual(new Set(quadriceps));
			for (const region of exercise.targetRegions) expect(thighRegionIds).toContain(region);
			expect(exercise.doseSource).toMatch(/common practice|Sports Health/);
			expect(exercise.doseSource).not.toMatch(/Kaiser|Merck|Academy|clinic|hospital|surgeon/i);
			expect(exercise.stopRules.length).toBeGreaterThan(0);
		},
	);

	// Published doses: quad set 8–12 × 6 s with at most 10 s rest (patient sheet, Kaiser Permanente); 3 × 10 of straight leg
	// raise, terminal knee extension, mini squat and step-up (Sports Health 2(5):410, 2010, Table 1); 3 × 10 with a 5 s
	// hold of the seated extension (American Academy of Orthopaedic Surgeons). Sit to stand: common practice.
	test.each([
		["quad-set", 1, 10, 6, 10],
		["straight-leg-raise", 3, 10, 0, 0],
		["terminal-knee-extension", 3, 10, 0, 0],
		["seated-knee-extension", 3, 10, 5, 3],
		["sit-to-stand", 3, 8, 0, 0],
		["mini-squat", 3, 10, 0, 0],
		["step-up", 3, 10, 0, 0],
	])("%s has its published dose", (id, sets, repetitions, holdSeconds, pauseSeconds) => {
		expect(libraryExerciseOf(id)!.dose).toMatchObject({ sets, repetitions, holdSeconds, pauseSeconds });
	});

	test.each(library)("$id can be read at eleven", ({ instructions, cautions, stopRules }) => {
		expect(readingGrade(instructions)).toBeLessThanOrEqual(HIGHEST_GRADE);
		expect(readingGrade([...instructions, ...cautions, ...stopRules])).toBeLessThanOrEqual(HIGHEST_GRADE);
	});

	test("asks for symptoms in words that can be read at eleven", () => {
		expect(readingGrade(redFlags.map(({ text }) => `${text}.`))).toBeLessThanOrEqual(HIGHEST_GRADE);
	});
});

describe("an own exercise", () => {
	test("is read back as it was", () => {
		expect(readAs(exerciseSchema, JSON.parse(JSON.stringify(own)))).toEqual({ ok: true, value: own });
	});

	test.each([
		[{ name: " " }, "name"],
		[{ id: "Quad Set" }, "id"],
		[{ targetRegions: [] }, "targetRegions"],
		[{ instructions: [] }, "instructions"],
		[{ dose: { ...own.dose, sets: 0 } }, "dose.sets"],
		[{ dose: { ...own.dose, repetitions: 2.5 } }, "dose.repetitions"],
		[{ dose: { ...own.dose, target: { low: 80, high: 40 } } }, "dose.target"],
		[{ kind: "hold", dose: { ...own.dose, holdSeconds: 0 } }, "dose.holdSeconds"],
		[{ kind: "stretch" }, "kind"],
	])("is refused with %j, saying where", (wrong, path) => {
		expect(readAs(exerciseSchema, { ...own, ...wrong })).toMatchObject({ ok: false, error: { path } });
	});
});

describe("the reading grade", () => {
	test("counts syllables as people do", () => {
		// Counted by ear, no source.
		const words = {
			the: 1,
			knee: 1,
			straight: 1,
			exercise: 3,
			little: 2,
			towel: 2,
			breathe: 1,
			firm: 1,
			table: 2,
		};
		for (const [word, syllables] of Object.entries(words)) {
			expect([word, syllablesOf(word)]).toEqual([word, syllables]);
		}
	});

	test("follows its published formula", () => {
		// "The cat sat on the mat." has 6 words of one syllable: 0.39·6 + 11.8·1 − 15.59 = −1.45, the usual textbook example.
		expect(readingGrade(["The cat sat on the mat."])).toBeCloseTo(-1.45, 10);
	});
});
