import { targetOf } from "../../core/exercise/reference-target.ts";
import type { ExerciseState, ReferenceState } from "../contract.ts";

/** Efforts of a simulated person, as shares of a full one: all of it for a reference, the middle of a usual target after. */
const REFERENCE_EFFORT = 1;
const EXERCISE_EFFORT = 0.75;
/** Repetitions at one's own pace, s: wait for the signal to sink in, push, let go. */
const WAIT = 0.5;
const REPETITION = { push: 1.5, letGo: 2 } as const;

/** Shares of a full effort, 0 to 1, of the front and the back of the thigh. */
export interface ObeyedEffort {
	readonly front: number;
	readonly back: number;
}

export interface Obedience {
	/** Efforts that the screen asks for just now. @param seconds the board's clock */
	effort(reference: ReferenceState | null, exercise: ExerciseState | null, seconds: number): ObeyedEffort;
}

const still: ObeyedEffort = { front: 0, back: 0 };

/** A person who does what the screen says. */
export function createObedience(): Obedience {
	let workSince = Number.NaN;

	function ownPace(seconds: number): number {
		if (Number.isNaN(workSince)) workSince = seconds;
		const since = seconds - workSince - WAIT;
		return since >= 0 && since % (REPETITION.push + REPETITION.letGo) < REPETITION.push ? EXERCISE_EFFORT : 0;
	}

	function workEffort(exercise: ExerciseState, seconds: number): number {
		if (exercise.item.exercise.kind === "repetition") return ownPace(seconds);
		const { cue } = exercise.view;
		return cue === "work" || cue === "hold" ? EXERCISE_EFFORT : 0;
	}

	return {
		effort(reference, exercise, seconds) {
			if (reference?.view.step === "contract") {
				return reference.target === "quadriceps"
					? { front: REFERENCE_EFFORT, back: 0 }
					: { front: 0, back: REFERENCE_EFFORT };
			}
			if (exercise === null || exercise.view.phase !== "work") {
				workSince = Number.NaN;
				return still;
			}
			const effort = workEffort(exercise, seconds);
			const [lead] = exercise.item.exercise.targetRegions;
			return lead !== undefined && targetOf(lead) === "hamstrings"
				? { front: 0, back: effort }
				: { front: effort, back: 0 };
		},
	};
}
