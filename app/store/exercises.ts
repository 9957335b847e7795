/** The exercises that can be planned: those of the program, then those added here. */
import type { Database } from "better-sqlite3";
import { type Exercise, exerciseSchema } from "../../core/exercise/exercise.ts";
import { library } from "../../core/exercise/library.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { jsonAs } from "./json-column.ts";

export interface ExerciseRecords {
	list(): readonly Exercise[];
	/** Own ones only; an id of the library is an `invalid-argument`. */
	save(exercise: Exercise): Result<Exercise, Fault>;
}

export function prepareExercises(db: Database, now: () => number): ExerciseRecords {
	const own = db.prepare<[], { id: string; exercise: string }>("SELECT id, exercise FROM own_exercises");
	const save = db.prepare(`
		INSERT INTO own_exercises (id, exercise, saved_ms) VALUES (?, ?, ?)
		ON CONFLICT (id) DO UPDATE SET exercise = excluded.exercise, saved_ms = excluded.saved_ms`);
	return {
		list() {
			const added = own
				.all()
				.map(({ id, exercise }) => jsonAs(exerciseSchema, exercise, `exercise ${id}`))
				.sort((a, b) => (a.name.toLowerCase() < b.name.toLowerCase() ? -1 : 1));
			return [...library, ...added];
		},
		save(exercise) {
			if (library.some(({ id }) => id === exercise.id)) {
				const expected = "an id that no exercise of the library has";
				return failure({ kind: "invalid-argument", path: "exercise.id", expected, got: exercise.id });
			}
			save.run(exercise.id, JSON.stringify(exercise), now());
			return success(exercise);
		},
	};
}
