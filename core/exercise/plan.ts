import { z } from "zod";
import { type InvalidInput, readAs } from "../invalid-input.ts";
import type { Result } from "../result.ts";
import { type CalendarDay, dayNumberOf, dayOfNumber, isCalendarDay, weekdayOf } from "./calendar-day.ts";
import { doseSchema, type Exercise, exerciseSchema } from "./exercise.ts";

const day = z.string("a day").refine(isCalendarDay, "a day such as 2025-03-04");
/** A year that was mistyped, such as 0202, would make a hundred thousand weeks of plan to look back on. */
const startDay = day.refine((from) => from >= "2000" && from < "3000", "a day from 2000 to 2999");

export const planItemSchema = z
	.object({
		/** The exercise as it was when the plan was made: a later change of it leaves the plan alone. */
		exercise: exerciseSchema,
		/** What is prescribed. */
		dose: doseSchema,
		side: z.enum(["left", "right"], "left or right"),
		note: z.string().max(500, "at most 500 characters"),
	})
	.readonly()
	.refine(({ exercise, dose }) => exercise.kind === "repetition" || dose.holdSeconds > 0, {
		path: ["dose", "holdSeconds"],
		message: "a hold of more than 0 s",
	});

export const scheduleSchema = z
	.object({
		/** ISO 8601: 1 Monday … 7 Sunday, rising. */
		weekdays: z
			.array(z.int("a weekday from 1 to 7").min(1).max(7))
			.min(1, "at least one weekday")
			.refine((days) => days.every((d, i) => i === 0 || d > days[i - 1]!), "weekdays that rise, each once")
			.readonly(),
		timesPerDay: z.int("a whole number from 1 to 12").min(1).max(12),
	})
	.readonly();

export const planVersionSchema = z
	.object({
		/** 1, 2, 3 … without gaps. */
		version: z.int("a version number").min(1),
		/** First day on which it holds; until the day before the next version. */
		from: startDay,
		items: z.array(planItemSchema).min(1, "at least one exercise").max(30, "at most 30 exercises").readonly(),
		schedule: scheduleSchema,
		/** Why it was changed, for the clinician. */
		reason: z.string().max(500, "at most 500 characters"),
	})
	.readonly();

export const planSchema = z
	.object({
		versions: z
			.array(planVersionSchema)
			.min(1, "at least one version")
			.refine((all) => all.every(({ version }, i) => version === i + 1), "versions 1, 2, 3 … without gaps")
			.refine((all) => all.every(({ from }, i) => i === 0 || from >= all[i - 1]!.from), "days that rise")
			.readonly(),
		/** First day on which nothing is prescribed any more; null while the plan runs. */
		endedOn: day.nullable(),
	})
	.readonly();

export type PlanItem = z.infer<typeof planItemSchema>;
export type Schedule = z.infer<typeof scheduleSchema>;
export type PlanVersion = z.infer<typeof planVersionSchema>;
/** An ordered list of exercises for a person, with every version it ever had. */
export type Plan = z.infer<typeof planSchema>;
export type PlanDraft = Omit<PlanVersion, "version">;

export function readPlan(input: unknown): Result<Plan, InvalidInput> {
	return readAs(planSchema, input);
}

export function createPlan(draft: PlanDraft): Result<Plan, InvalidInput> {
	return readPlan({ versions: [{ ...draft, version: 1 }], endedOn: null });
}

/** A plan with one more version. What was prescribed before its first day stays as it was. */
export function revisePlan(plan: Plan, draft: PlanDraft): Result<Plan, InvalidInput> {
	const version = plan.versions.length + 1;
	return readPlan({ versions: [...plan.versions, { ...draft, version }], endedOn: null });
}

export function endPlan(plan: Plan, endedOn: CalendarDay): Result<Plan, InvalidInput> {
	return readPlan({ ...plan, endedOn });
}

/** An exercise with its usual dose, to be changed as wanted. */
export function planItemOf(exercise: Exercise, side: "left" | "right"): PlanItem {
	return { exercise, dose: exercise.dose, side, note: "" };
}

export function hasEnded({ endedOn }: Plan, on: CalendarDay): boolean {
	return endedOn !== null && on >= endedOn;
}

/** The version that holds on a day; null before the plan begins and from the day on which it ended. */
export function versionOn(plan: Plan, on: CalendarDay): PlanVersion | null {
	if (hasEnded(plan, on)) return null;
	return plan.versions.findLast(({ from }) => from <= on) ?? null;
}

export interface DayPlan {
	readonly day: CalendarDay;
	readonly version: PlanVersion | null;
	/** How often the plan asks for it on this day; 0 on a day off. */
	readonly timesDue: number;
	readonly timesDone: number;
	readonly timesLeft: number;
	/** The next day after this one that asks for anything; null if none does within the next week. */
	readonly nextDay: CalendarDay | null;
}

/** What is to be done on a day. @param timesDone how often the plan was done on it already */
export function planOn(plan: Plan, on: CalendarDay, timesDone: number): DayPlan {
	const timesDue = timesDueOn(plan, on);
	const number = dayNumberOf(on);
	const week = Array.from({ length: 7 }, (_, i) => dayOfNumber(number + 1 + i));
	return {
		day: on,
		version: versionOn(plan, on),
		timesDue,
		timesDone,
		timesLeft: Math.max(0, timesDue - timesDone),
		nextDay: week.find((next) => timesDueOn(plan, next) > 0) ?? null,
	};
}

export function timesDueOn(plan: Plan, on: CalendarDay): number {
	const version = versionOn(plan, on);
	if (version === null || !version.schedule.weekdays.includes(weekdayOf(on))) return 0;
	return version.schedule.timesPerDay;
}
