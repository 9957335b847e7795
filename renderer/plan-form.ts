/** A plan as people enter it (text) and as the app takes it; pure, so that it can be tested. */
import { type CalendarDay, isCalendarDay } from "../core/exercise/calendar-day.ts";
import type { Exercise } from "../core/exercise/exercise.ts";
import {
	type Plan,
	type PlanDraft,
	type PlanItem,
	type PlanVersion,
	planItemOf,
} from "../core/exercise/plan.ts";
import { type DoseErrors, type DoseForm, doseFormOf, readDose } from "./dose-form.ts";
import { parseNumber } from "./set-up-form.ts";
import { planWords } from "./text/plan-words.ts";

export interface ItemForm {
	/** Stays with the item when it is moved; unlike all others of the form. */
	readonly key: number;
	readonly exercise: Exercise;
	readonly side: "left" | "right";
	readonly dose: DoseForm;
	readonly note: string;
}

export interface PlanForm {
	readonly items: readonly ItemForm[];
	readonly from: string;
	/** ISO 8601: 1 Monday … 7 Sunday, rising. */
	readonly weekdays: readonly number[];
	readonly timesPerDay: string;
	readonly reason: string;
}

export interface PlanErrors {
	/** By the item's key. */
	readonly doses: ReadonlyMap<number, DoseErrors>;
	readonly items: string | null;
	readonly from: string | null;
	readonly weekdays: string | null;
	readonly timesPerDay: string | null;
}

export type ReadPlan =
	| { readonly ok: true; readonly draft: PlanDraft }
	| { readonly ok: false; readonly errors: PlanErrors };

/** What a new plan starts from: every day, once. */
const everyDay = [1, 2, 3, 4, 5, 6, 7] as const;

/** @param version to start from; null for a plan that is new */
export function planFormFrom(version: PlanVersion | null, today: CalendarDay): PlanForm {
	return {
		items: (version?.items ?? []).map((item, key) => itemFormOf(item, key)),
		from: version !== null && version.from > today ? version.from : today,
		weekdays: version?.schedule.weekdays ?? everyDay,
		timesPerDay: String(version?.schedule.timesPerDay ?? 1),
		reason: "",
	};
}

export function addExercise(form: PlanForm, exercise: Exercise, side: "left" | "right"): PlanForm {
	const key = 1 + Math.max(-1, ...form.items.map((item) => item.key));
	const item = itemFormOf(planItemOf(exercise, side), key);
	return { ...form, items: [...form.items, item] };
}

export function removeItem(form: PlanForm, key: number): PlanForm {
	return { ...form, items: form.items.filter((item) => item.key !== key) };
}

export function changeItem(form: PlanForm, key: number, part: Partial<ItemForm>): PlanForm {
	return { ...form, items: form.items.map((item) => (item.key === key ? { ...item, ...part } : item)) };
}

/** @param by −1 up, 1 down; at either end nothing moves */
export function moveItem(form: PlanForm, key: number, by: -1 | 1): PlanForm {
	const from = form.items.findIndex((item) => item.key === key);
	const to = from + by;
	if (from < 0 || to < 0 || to >= form.items.length) return form;
	const items = [...form.items];
	[items[from], items[to]] = [items[to]!, items[from]!];
	return { ...form, items };
}

export function toggleWeekday(form: PlanForm, weekday: number): PlanForm {
	const weekdays = form.weekdays.includes(weekday)
		? form.weekdays.filter((day) => day !== weekday)
		: [...form.weekdays, weekday].sort((a, b) => a - b);
	return { ...form, weekdays };
}

/** @param plan what is there already, unless it has ended: a version may not hold earlier than the one before */
export function readPlanForm(form: PlanForm, plan: Plan | null): ReadPlan {
	const doses = new Map<number, DoseErrors>();
	const items: PlanItem[] = [];
	for (const { key, exercise, side, dose, note } of form.items) {
		const read = readDose(dose, exercise.kind);
		if (read.ok) items.push({ exercise, side, dose: read.dose, note: note.trim() });
		else doses.set(key, read.errors);
	}
	const earliest = plan === null || plan.endedOn !== null ? "" : plan.versions.at(-1)!.from;
	const times = parseNumber(form.timesPerDay);
	const errors: PlanErrors = {
		doses,
		items: form.items.length === 0 ? planWords.errors.items : null,
		from: !isCalendarDay(form.from)
			? planWords.errors.day
			: form.from < earliest
				? planWords.errors.from(earliest)
				: null,
		weekdays: form.weekdays.length === 0 ? planWords.errors.weekdays : null,
		timesPerDay:
			times !== null && Number.isInteger(times) && times >= 1 && times <= 12
				? null
				: planWords.errors.enter("a whole number from 1 to 12"),
	};
	const { doses: _doses, ...rest } = errors;
	if (doses.size > 0 || Object.values(rest).some((error) => error !== null)) return { ok: false, errors };
	return {
		ok: true,
		draft: {
			from: form.from,
			items,
			schedule: { weekdays: form.weekdays, timesPerDay: times! },
			reason: form.reason.trim(),
		},
	};
}

/** Whether saving would change nothing but the version's number. */
export function isSameAs(form: PlanForm, version: PlanVersion | null): boolean {
	if (version === null) return form.items.length === 0;
	const plain = ({ items, weekdays, timesPerDay, from }: PlanForm) =>
		JSON.stringify([items.map(({ key: _key, ...item }) => item), weekdays, timesPerDay, from]);
	return plain(form) === plain({ ...planFormFrom(version, version.from), from: form.from });
}

function itemFormOf(item: PlanItem, key: number): ItemForm {
	return { key, exercise: item.exercise, side: item.side, dose: doseFormOf(item.dose), note: item.note };
}
