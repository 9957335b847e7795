/** An exercise of the clinic's own, as it is entered and as the app takes it; pure. */
import { type Dose, type Exercise, exerciseSchema } from "../core/exercise/exercise.ts";
import { type DoseErrors, type DoseForm, doseFormOf, readDose } from "./dose-form.ts";
import { planWords } from "./text/plan-words.ts";

export interface ExerciseForm {
	/** Null for a new one. */
	readonly id: string | null;
	readonly name: string;
	readonly kind: Exercise["kind"];
	/** In the order chosen: the first is counted in. */
	readonly targetRegions: readonly string[];
	readonly dose: DoseForm;
	/** One a line. */
	readonly instructions: string;
	readonly cautions: string;
	readonly stopRules: string;
	readonly drawing: string;
}

export interface ExerciseErrors {
	readonly dose: DoseErrors;
	readonly name: string | null;
	readonly targetRegions: string | null;
	readonly instructions: string | null;
	readonly cautions: string | null;
	readonly stopRules: string | null;
}

export type ReadExercise =
	| { readonly ok: true; readonly exercise: Exercise }
	| { readonly ok: false; readonly errors: ExerciseErrors };

const usualDose: Dose = {
	sets: 3,
	repetitions: 10,
	holdSeconds: 5,
	pauseSeconds: 5,
	restSeconds: 60,
	target: { low: 40, high: 100 },
};

/** @param exercise an own one to change; null for a new one */
export function exerciseFormOf(exercise: Exercise | null): ExerciseForm {
	return {
		id: exercise?.id ?? null,
		name: exercise?.name ?? "",
		kind: exercise?.kind ?? "hold",
		targetRegions: exercise?.targetRegions ?? [],
		dose: doseFormOf(exercise?.dose ?? usualDose),
		instructions: (exercise?.instructions ?? []).join("\n"),
		cautions: (exercise?.cautions ?? []).join("\n"),
		stopRules: (exercise?.stopRules ?? [planWords.exercise.usualStop]).join("\n"),
		drawing: exercise?.drawing ?? "general",
	};
}

/** @param taken all exercises there are, so that a new one gets a name and an id of its own */
export function readExerciseForm(form: ExerciseForm, taken: readonly Exercise[]): ReadExercise {
	const dose = readDose(form.dose, form.kind);
	const others = taken.filter(({ id }) => id !== form.id);
	const name = form.name.trim();
	const isTaken = others.some((other) => other.name.toLowerCase() === name.toLowerCase());
	const parsed = exerciseSchema.safeParse({
		id: form.id ?? idFor(name, taken),
		origin: "own",
		name,
		kind: form.kind,
		targetRegions: form.targetRegions,
		dose: dose.ok ? dose.dose : usualDose,
		instructions: linesOf(form.instructions),
		cautions: linesOf(form.cautions),
		stopRules: linesOf(form.stopRules),
		drawing: form.drawing === "general" ? null : form.drawing,
		doseSource: planWords.exercise.ownSource,
	});
	if (parsed.success && dose.ok && !isTaken) return { ok: true, exercise: parsed.data };
	const messageAt = (field: string): string | null => {
		const issue = parsed.error?.issues.find(({ path }) => path[0] === field);
		return issue === undefined ? null : planWords.errors.enter(issue.message);
	};
	return {
		ok: false,
		errors: {
			dose: dose.ok ? {} : dose.errors,
			name: isTaken ? planWords.errors.nameTaken : messageAt("name"),
			targetRegions: messageAt("targetRegions") === null ? null : planWords.errors.regions,
			instructions:
				linesOf(form.instructions).length === 0 ? planWords.errors.lines : messageAt("instructions"),
			cautions: messageAt("cautions"),
			stopRules: messageAt("stopRules"),
		},
	};
}

/** `own-` and the name in small letters and dashes, with a number where that is taken. */
function idFor(name: string, taken: readonly Exercise[]): string {
	const plain = name
		.toLowerCase()
		.normalize("NFKD")
		.replace(/[^a-z0-9]+/g, "-")
		.replace(/^-+|-+$/g, "")
		.slice(0, 40);
	const id = `own-${plain === "" ? "exercise" : plain}`;
	const isTaken = (wanted: string) => taken.some((exercise) => exercise.id === wanted);
	if (!isTaken(id)) return id;
	for (let number = 2; ; number++) if (!isTaken(`${id}-${number}`)) return `${id}-${number}`;
}

function linesOf(text: string): string[] {
	return text
		.split("\n")
		.map((line) => line.trim())
		.filter((line) => line !== "");
}
