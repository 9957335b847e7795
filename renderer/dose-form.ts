/** How much of an exercise, as people enter it (text) and as the app takes it. What it may be is told by the exercise's
 *  own schema. */
import { type Dose, doseSchema, type Exercise } from "../core/exercise/exercise.ts";
import { parseNumber } from "./set-up-form.ts";
import { planWords } from "./text/plan-words.ts";

export interface DoseForm {
	readonly sets: string;
	readonly repetitions: string;
	/** s */
	readonly holdSeconds: string;
	/** s */
	readonly pauseSeconds: string;
	/** s */
	readonly restSeconds: string;
	/** % of the reference */
	readonly low: string;
	/** % of the reference */
	readonly high: string;
}

export type DoseField = keyof DoseForm;
export type DoseErrors = Partial<Record<DoseField, string>>;

export function doseFormOf(dose: Dose): DoseForm {
	return {
		sets: String(dose.sets),
		repetitions: String(dose.repetitions),
		holdSeconds: String(dose.holdSeconds),
		pauseSeconds: String(dose.pauseSeconds),
		restSeconds: String(dose.restSeconds),
		low: String(dose.target.low),
		high: String(dose.target.high),
	};
}

export type ReadDose =
	| { readonly ok: true; readonly dose: Dose }
	| { readonly ok: false; readonly errors: DoseErrors };

export function readDose(form: DoseForm, kind: Exercise["kind"]): ReadDose {
	const number = (entered: string) => parseNumber(entered) ?? Number.NaN;
	const parsed = doseSchema.safeParse({
		sets: number(form.sets),
		repetitions: number(form.repetitions),
		holdSeconds: number(form.holdSeconds),
		pauseSeconds: number(form.pauseSeconds),
		restSeconds: number(form.restSeconds),
		target: { low: number(form.low), high: number(form.high) },
	});
	const errors: DoseErrors = {};
	for (const issue of parsed.error?.issues ?? []) {
		const place = issue.path[0] === "target" ? (issue.path[1] ?? "high") : issue.path[0];
		const field = place as DoseField;
		errors[field] ??= planWords.errors.enter(issue.message);
	}
	if (parsed.success && kind === "hold" && parsed.data.holdSeconds === 0) {
		errors.holdSeconds = planWords.errors.enter("a hold of more than 0 s");
	}
	return parsed.success && Object.keys(errors).length === 0
		? { ok: true, dose: parsed.data }
		: { ok: false, errors };
}
