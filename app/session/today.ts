/** What a plan asks of a person on a day, and how it has gone, from the sets that are stored. */
import { type Adherence, adherenceOf, type DoneSession, streakOf } from "../../core/exercise/adherence.ts";
import { type CalendarDay, dayNumberOf, dayOfNumber } from "../../core/exercise/calendar-day.ts";
import { type Plan, type PlanItem, planOn, versionOn } from "../../core/exercise/plan.ts";
import { type NextStep, nextStepAfter } from "../../core/exercise/stop-rules.ts";
import { groupBy } from "../../core/group-by.ts";
import type { SetRecord, Today } from "../contract.ts";

/** Adherence is told over so many days. */
const LOOK_BACK_DAYS = 28;

/** @param sets all of the person, oldest first @param sessions what they come to, session by session */
export function todayOf(
	plan: Plan | null,
	sets: readonly SetRecord[],
	sessions: readonly DoneSession[],
	day: CalendarDay,
	cautionsAcknowledged: boolean,
): Omit<Today, "asksNextMorning"> {
	const { over } = soFarOn(sets, day);
	if (plan === null) {
		return { plan: null, setsDone: [], adherence: null, streak: 0, over, cautionsAcknowledged };
	}
	const items = versionOn(plan, day)?.items ?? [];
	const setsDone = setsDoneOf(items, sets, day);
	return {
		plan: planOn(plan, day, timesDoneOf(items, setsDone)),
		setsDone,
		adherence: adherenceUpTo(plan, sessions, day),
		streak: streakOf(plan, sessions, day),
		over,
		cautionsAcknowledged,
	};
}

export function dayOf({ storedAt }: SetRecord): CalendarDay {
	return storedAt.slice(0, 10);
}

export interface DaySoFar {
	/** Why the answers given on the day end exercise for that day; null if it goes on. */
	readonly over: Over | null;
	/** Whether pain has already ended one exercise of the day. */
	readonly hadToStop: boolean;
}

export type Over = NextStep & { readonly action: "stop-session" | "get-help" };

/** What the answers of a day have led to. @param sets oldest first */
export function soFarOn(sets: readonly SetRecord[], day: CalendarDay): DaySoFar {
	let hadToStop = false;
	let over: Over | null = null;
	for (const set of sets) {
		if (dayOf(set) !== day || set.answer === null) continue;
		const step = nextStepAfter(set.answer, { painBefore: set.painBefore, hadToStop });
		if (isOver(step) && (over === null || graveness(step) > graveness(over))) over = step;
		if (step.action !== "go-on" && step.action !== "ease") hadToStop = true;
	}
	return { over, hadToStop };
}

/** The gravest of a day's advice is what a person must see. */
function graveness(step: Over): number {
	if (step.action === "stop-session") return 0;
	return step.urgency === "today" ? 1 : 2;
}

export function isOver(step: NextStep | null): step is Over {
	return step?.action === "stop-session" || step?.action === "get-help";
}

/** An exercise that stands in the plan twice, such as once for each leg, is told apart by its leg; the same one on the
 *  same leg fills its first place first. */
function setsDoneOf(items: readonly PlanItem[], sets: readonly SetRecord[], day: CalendarDay): number[] {
	const key = ({ exercise, side }: PlanItem) => `${exercise.id} ${side}`;
	const left = new Map<string, number>();
	for (const set of sets) {
		if (dayOf(set) === day) left.set(key(set.item), (left.get(key(set.item)) ?? 0) + 1);
	}
	const places = groupBy([...items.keys()], (index) => key(items[index]!));
	const done = items.map(() => 0);
	for (const [name, indices] of places) {
		const all = left.get(name) ?? 0;
		const asked = indices.reduce((sum, index) => sum + items[index]!.dose.sets, 0);
		const rounds = Math.floor(all / asked);
		let rest = all - rounds * asked;
		for (const index of indices) {
			const { sets: wanted } = items[index]!.dose;
			const here = Math.min(rest, wanted);
			done[index] = rounds * wanted + here;
			rest -= here;
		}
	}
	return done;
}

/** How often the whole list was gone through. An exercise that was begun counts: its sets may have been ended early on
 *  good grounds. */
function timesDoneOf(items: readonly PlanItem[], setsDone: readonly number[]): number {
	const times = items.map(({ dose }, index) => Math.ceil(setsDone[index]! / dose.sets));
	return times.length === 0 ? 0 : Math.min(...times);
}

/** Today is not over: it takes part only once something was done. */
function adherenceUpTo(plan: Plan, sessions: readonly DoneSession[], day: CalendarDay): Adherence | null {
	const number = dayNumberOf(day);
	const wasActive = sessions.some((session) => session.day === day);
	const to = wasActive ? number : number - 1;
	const from = Math.max(dayNumberOf(plan.versions[0]!.from), number - LOOK_BACK_DAYS + 1);
	return from > to ? null : adherenceOf(plan, sessions, dayOfNumber(from), dayOfNumber(to));
}
