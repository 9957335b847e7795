import type { ExerciseState, ReferenceState } from "../contract.ts";

/** Efforts of a simulated person, as shares of a full one: all of it for a reference, the middle of a usual target after. */
const REFERENCE_EFFORT = 1;
const EXERCISE_EFFORT = 0.75;
/** Repetitions at one's own pace, s. */
const REPETITION = { push: 1.5, let: 2 } as const;

/** What a person who follows the screen does just now. @param seconds the board's clock */
export function askedEffort(
	reference: ReferenceState | null,
	exercise: ExerciseState | null,
	seconds: number,
): number {
	if (reference?.view.step === "contract") return REFERENCE_EFFORT;
	if (exercise === null || exercise.view.phase !== "work") return 0;
	const { cue } = exercise.view;
	if (exercise.item.exercise.kind === "hold") return cue === "work" || cue === "hold" ? EXERCISE_EFFORT : 0;
	return seconds % (REPETITION.push + REPETITION.let) < REPETITION.push ? EXERCISE_EFFORT : 0;
}
