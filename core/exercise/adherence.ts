import { type CalendarDay, dayNumberOf, dayOfNumber } from "./calendar-day.ts";
import { type Plan, type PlanItem, timesDueOn, versionOn } from "./plan.ts";

/** What a person did in one recording. */
export interface DoneSession {
	readonly day: CalendarDay;
	readonly items: readonly {
		readonly exerciseId: string;
		readonly sets: number;
		/** Full repetitions or holds over all sets, as corrected. */
		readonly repetitions: number;
		/** Mean time held, s; null for repetitions that are not held. */
		readonly meanHoldSeconds: number | null;
	}[];
}

/** Part of what was prescribed that was done, percent and at most 100; what went beyond is told apart, because more than
 *  prescribed does not make up for another day. Null where nothing was prescribed. */
export interface Share {
	readonly percent: number | null;
	readonly done: number;
	readonly prescribed: number;
	readonly beyond: number;
}

export interface Adherence {
	readonly from: CalendarDay;
	readonly to: CalendarDay;
	readonly sessions: Share;
	readonly sets: Share;
	readonly repetitions: Share;
	/** Days on which anything was done, out of the days that asked for it. */
	readonly days: Share;
	/** Mean time held over the time prescribed, percent, at most 100; null without holds. */
	readonly holdPercent: number | null;
}

/**
 * Adherence from one day to another, both included. Sessions, sets, repetitions and days done over prescribed, and
 * holds over their target, are common practice without a source; no self-report of adherence is well validated (J. C.
 * Bollen et al., BMJ Open 4:e005044, 2014), so these count what was recorded.
 * @throws RangeError if `from` is after `to`
 */
export function adherenceOf(
	plan: Plan,
	sessions: readonly DoneSession[],
	from: CalendarDay,
	to: CalendarDay,
): Adherence {
	const first = dayNumberOf(from);
	const last = dayNumberOf(to);
	if (first > last) throw new RangeError(`adherence: ${from} is after ${to}`);
	const tally = { sessions: newTally(), sets: newTally(), repetitions: newTally(), days: newTally() };
	let held = 0;
	let holdTarget = 0;
	for (let number = first; number <= last; number++) {
		const day = dayOfNumber(number);
		const version = versionOn(plan, day);
		const due = timesDueOn(plan, day);
		const onDay = sessions.filter((session) => session.day === day);
		const items = version?.items ?? [];
		const setsDue = due * items.reduce((sum, { dose }) => sum + dose.sets, 0);
		const repetitionsDue = due * items.reduce((sum, { dose }) => sum + dose.sets * dose.repetitions, 0);
		const done = onDay.flatMap((session) => session.items);
		count(tally.sessions, occasionsOf(onDay, items), due);
		count(tally.days, onDay.length > 0 ? 1 : 0, due > 0 ? 1 : 0);
		count(tally.sets, sumOf(done.map(({ sets }) => sets)), setsDue);
		count(tally.repetitions, sumOf(done.map(({ repetitions }) => repetitions)), repetitionsDue);
		for (const { exerciseId, repetitions, meanHoldSeconds } of done) {
			const target = items.find(({ exercise }) => exercise.id === exerciseId)?.dose.holdSeconds ?? 0;
			if (meanHoldSeconds === null || target === 0) continue;
			held += repetitions * Math.min(meanHoldSeconds, target);
			holdTarget += repetitions * target;
		}
	}
	return {
		from,
		to,
		sessions: shareOf(tally.sessions),
		sets: shareOf(tally.sets),
		repetitions: shareOf(tally.repetitions),
		days: shareOf(tally.days),
		holdPercent: holdTarget > 0 ? (100 * held) / holdTarget : null,
	};
}

/**
 * Days in a row, up to `today`, on which the plan was done at least once when it asked for it. Days off neither add nor
 * break, and today counts once it is done but breaks nothing while it is not over.
 */
export function streakOf(plan: Plan, sessions: readonly DoneSession[], today: CalendarDay): number {
	const done = new Set(sessions.map(({ day }) => day));
	const begin = dayNumberOf(plan.versions[0]!.from);
	let streak = done.has(today) ? 1 : 0;
	for (let number = dayNumberOf(today) - 1; number >= begin; number--) {
		const day = dayOfNumber(number);
		if (done.has(day)) streak++;
		else if (timesDueOn(plan, day) > 0) break;
	}
	return streak;
}

/**
 * How often a person went about it on a day. The band on the other leg, or going on after a break, is a recording of its
 * own but the same occasion, as long as no exercise of it is done more often than one time of the plan asks for.
 * @param sessions of one day, in order
 */
function occasionsOf(sessions: readonly DoneSession[], items: readonly PlanItem[]): number {
	const asked = setsOf(items.map(({ exercise, dose }) => ({ exerciseId: exercise.id, sets: dose.sets })));
	let occasions = 0;
	let done: DoneSession["items"] = [];
	for (const session of sessions) {
		const together = [...done, ...session.items];
		const goesOn = [...setsOf(together)].every(([id, sets]) => sets <= (asked.get(id) ?? 0));
		if (occasions === 0 || !goesOn) occasions++;
		done = goesOn ? together : session.items;
	}
	return occasions;
}

function setsOf(
	items: readonly { readonly exerciseId: string; readonly sets: number }[],
): Map<string, number> {
	const sets = new Map<string, number>();
	for (const item of items) sets.set(item.exerciseId, (sets.get(item.exerciseId) ?? 0) + item.sets);
	return sets;
}

interface Tally {
	done: number;
	prescribed: number;
	counted: number;
}

function newTally(): Tally {
	return { done: 0, prescribed: 0, counted: 0 };
}

/** Day by day, so that one eager day does not hide a missed one. */
function count(tally: Tally, done: number, prescribed: number): void {
	tally.done += done;
	tally.prescribed += prescribed;
	tally.counted += Math.min(done, prescribed);
}

function shareOf({ done, prescribed, counted }: Tally): Share {
	return {
		percent: prescribed > 0 ? (100 * counted) / prescribed : null,
		done,
		prescribed,
		beyond: done - counted,
	};
}

function sumOf(values: readonly number[]): number {
	return values.reduce((sum, value) => sum + value, 0);
}
