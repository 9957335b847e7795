import type { ExerciseState, ReferenceState } from "../contract.ts";

/** Efforts of a simulated person, as shares of a full one: all of it for a reference, the middle of a usual target after. */
const REFERENCE_EFFORT = 1;
const EXERCISE_EFFORT = 0.75;
/** Repetitions at one's own pace, s: wait for the signal to sink in, push, let go. */
const WAIT = 0.5;
const REPETITION = { push: 1.5, letGo: 2 } as const;

export interface Obedience {
	/** Effort that the screen asks for just now, 0 to 1. @param seconds the board's clock */
	effort(reference: ReferenceState | null, exercise: ExerciseState | null, seconds: number): number;
}

/** A person who does what the screen says. */
export function createObedience(): Obedience {
	let workSince = Number.NaN;

	function ownPace(seconds: number): number {
		if (Number.isNaN(workSince)) workSince = seconds;
		const since = seconds - workSince - WAIT;
		return since >= 0 && since % (REPETITION.push + REPETITION.letGo) < REPETITION.push ? EXERCISE_EFFORT : 0;
	}

	return {
		effort(reference, exercise, seconds) {
			if (reference?.view.step === "contract") return REFERENCE_EFFORT;
			if (exercise === null || exercise.view.phase !== "work") {
				workSince = Number.NaN;
				return 0;
			}
			if (exercise.item.exercise.kind === "repetition") return ownPace(seconds);
			const { cue } = exercise.view;
			return cue === "work" || cue === "hold" ? EXERCISE_EFFORT : 0;
		},
	};
}
