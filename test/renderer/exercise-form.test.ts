import { describe, expect, test } from "vitest";
import { exerciseSchema } from "../../core/exercise/exercise.ts";
import { library } from "../../core/exercise/library.ts";
import { readAs } from "../../core/invalid-input.ts";
import { type ExerciseForm, exerciseFormOf, readExerciseForm } from "../../renderer/exercise-form.ts";

function createForm(part: Partial<ExerciseForm> = {}): ExerciseForm {
	return {
		...exerciseFormOf(null),
		name: "Wall sit, gentle",
		targetRegions: ["vastus-medialis"],
		instructions: "Lean on the wall.\n\n Slide down a little. ",
		...part,
	};
}

describe("an own exercise's form", () => {
	test("reads to an exercise that the app takes, one line for each line", () => {
		const read = readExerciseForm(createForm(), library);
		expect(read.ok).toBe(true);
		if (!read.ok) return;
		expect(readAs(exerciseSchema, read.exercise).ok).toBe(true);
		expect(read.exercise).toMatchObject({
			id: "own-wall-sit-gentle",
			origin: "own",
			drawing: null,
			instructions: ["Lean on the wall.", "Slide down a little."],
		});
	});

	test("goes through an own exercise without a change", () => {
		const read = readExerciseForm(createForm(), library);
		if (!read.ok) throw new TypeError("the form does not read");
		const again = readExerciseForm(exerciseFormOf(read.exercise), [...library, read.exercise]);
		expect(again.ok && again.exercise).toEqual(read.exercise);
	});

	test("refuses a name that is taken, but not its own", () => {
		const read = readExerciseForm(createForm({ name: "quad SET" }), library);
		expect(!read.ok && read.errors.name).toMatch(/already/);
	});

	test("gives a second exercise of like letters an id of its own", () => {
		const first = readExerciseForm(createForm({ name: "Ä – 1" }), library);
		if (!first.ok) throw new TypeError("the form does not read");
		const second = readExerciseForm(createForm({ name: "A 1" }), [...library, first.exercise]);
		expect(second.ok && second.exercise.id).not.toBe(first.exercise.id);
	});

	test("says what is missing", () => {
		const read = readExerciseForm(
			createForm({
				name: " ",
				targetRegions: [],
				instructions: "",
				dose: { ...createForm().dose, sets: "" },
			}),
			library,
		);
		expect(read.ok).toBe(false);
		if (read.ok) return;
		expect(read.errors).toMatchObject({ cautions: null, stopRules: null });
		for (const field of ["name", "targetRegions", "instructions"] as const) {
			expect(read.errors[field]).toMatch(/\.$/);
		}
		expect(read.errors.dose.sets).toMatch(/\.$/);
	});

	test("a hold needs time, a repetition does not", () => {
		const dose = { ...createForm().dose, holdSeconds: "0" };
		expect(readExerciseForm(createForm({ dose }), library).ok).toBe(false);
		expect(readExerciseForm(createForm({ dose, kind: "repetition" }), library).ok).toBe(true);
	});
});
