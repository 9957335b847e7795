/** What a plan asks of a person on a day, and how it has gone, from the sets that are stored. */
import { type Adherence, adherenceOf, type DoneSession, streakOf } from "../../core/exercise/adherence.ts";
import { type CalendarDay, dayNumberOf, dayOfNumber } from "../../core/exercise/calendar-day.ts";
import { type Plan, type PlanItem, planOn, timesDueOn, versionOn } from "../../core/exercise/plan.ts";
import { type NextStep, nextStepAfter } from "../../core/exercise/stop-rules.ts";
import { groupBy } from "../../core/group-by.ts";
import type { SetRecord, Today, UnansweredSet } from "../contract.ts";

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
	const unanswered = unansweredOn(sets, day);
	if (plan === null) {
		const nothing = { plan: null, setsDone: [], isEnded: [], adherence: null, streak: 0 };
		return { ...nothing, unanswered, over, cautionsAcknowledged };
	}
	const items = versionOn(plan, day)?.items ?? [];
	const setsDone = setsDoneOf(items, sets, day);
	const isEnded = items.map((item) => isEndedOn(item, sets, day));
	const timesDone = isEnded.every((ended) => ended)
		? timesDueOn(plan, day)
		: timesDoneOf(
				items.filter((_, i) => !isEnded[i]),
				setsDone.filter((_, i) => !isEnded[i]),
			);
	return {
		plan: planOn(plan, day, timesDone),
		setsDone,
		isEnded,
		unanswered,
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
	const steps = stepsOn(sets, day).map(({ step }) => step);
	let over: Over | null = null;
	for (const step of steps) {
		if (isOver(step) && (over === null || graveness(step) > graveness(over))) over = step;
	}
	return { over, hadToStop: steps.some(isStop) };
}

/** What each set of a day that was answered has led to. */
function stepsOn(
	sets: readonly SetRecord[],
	day: CalendarDay,
): { readonly item: PlanItem; readonly step: NextStep }[] {
	const steps: { item: PlanItem; step: NextStep }[] = [];
	for (const set of sets) {
		if (dayOf(set) !== day || set.answer === null) continue;
		const hadToStop = steps.some(({ step }) => isStop(step));
		steps.push({
			item: set.item,
			step: nextStepAfter(set.answer, { painBefore: set.painBefore, hadToStop }),
		});
	}
	return steps;
}

function isStop({ action }: NextStep): boolean {
	return action !== "go-on" && action !== "ease";
}

/** Whether pain has ended that exercise for the day, on that leg. */
export function isEndedOn(item: PlanItem, sets: readonly SetRecord[], day: CalendarDay): boolean {
	const key = keyOf(item);
	return stepsOn(sets, day).some((done) => isStop(done.step) && keyOf(done.item) === key);
}

/** The first set of the day whose questions were left; null for none. @param sets oldest first */
export function unansweredOn(sets: readonly SetRecord[], day: CalendarDay): UnansweredSet | null {
	const left = sets.find((set) => dayOf(set) === day && set.answer === null);
	if (left === undefined) return null;
	const { id, item, set } = left;
	return { setId: id, exerciseName: item.exercise.name, side: item.side, set };
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
	const left = new Map<string, number>();
	for (const set of sets) {
		if (dayOf(set) === day) left.set(keyOf(set.item), (left.get(keyOf(set.item)) ?? 0) + 1);
	}
	const places = groupBy([...items.keys()], (index) => keyOf(items[index]!));
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

function keyOf({ exercise, side }: PlanItem): string {
	return `${exercise.id} ${side}`;
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
