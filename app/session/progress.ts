/** A person's way over weeks, computed from the stored sets: the renderer draws it and computes nothing. */
import { type Adherence, adherenceOf, type DoneSession } from "../../core/exercise/adherence.ts";
import { type CalendarDay, dayNumberOf, dayOfNumber, weekdayOf } from "../../core/exercise/calendar-day.ts";
import { limbSymmetry, symmetryError } from "../../core/exercise/limb-symmetry.ts";
import { neighbourErrorOf } from "../../core/exercise/neighbour-error.ts";
import { painChange } from "../../core/exercise/pain.ts";
import type { Plan } from "../../core/exercise/plan.ts";
import { type MeasuredValue, progressOf } from "../../core/exercise/progress.ts";
import { groupBy } from "../../core/group-by.ts";
import { type Result, success } from "../../core/result.ts";
import type {
	Fault,
	MeasureKind,
	MeasureProgress,
	NextMorning,
	Person,
	Progress,
	SessionSummary,
	SetRecord,
} from "../contract.ts";
import { doneSessionsOf } from "../store/sets.ts";
import type { Store } from "../store/store.ts";
import {
	conditionsFor,
	type ExerciseHistory,
	historiesOf,
	type Measure,
	meanOf,
	measures,
} from "./measures.ts";
import { nextMornings } from "./next-morning.ts";

/** More sessions than anybody has. */
const ALL_SESSIONS = 1_000_000;
const DAYS_IN_WEEK = 7;
/** One bad day makes no course: the first sessions are compared with the last ones (our own choice). */
const PAIN_SESSIONS = 3;

export function progressOfPerson(
	store: Store,
	personId: number,
	today: CalendarDay,
): Result<Progress, Fault> {
	const record = store.person(personId);
	if (!record.ok) return record;
	const sets = store.personSets(personId);
	if (!sets.ok) return sets;
	const listed = store.listSessions({ personId, offset: 0, limit: ALL_SESSIONS });
	if (!listed.ok) return listed;
	const plans = store.listPlans(personId);
	if (!plans.ok) return plans;
	const checkIns = store.listCheckIns(personId);
	if (!checkIns.ok) return checkIns;
	const { person } = record.value;
	const sessions = sessionsOf(listed.value.sessions, sets.value);
	const dayOf = new Map(listed.value.sessions.map(({ id, startedAt }) => [id, startedAt.slice(0, 10)]));
	const done = doneSessionsOf(sets.value, (sessionId) => dayOf.get(sessionId)!);
	const presentPlan = record.value.plan;
	const histories = historiesOf(sets.value);
	const days = new Map(sessions.map(({ sessionId, day }) => [sessionId, day]));
	const starts = new Map(sessions.map(({ sessionId, startedAt }) => [sessionId, startedAt]));
	const frameSeconds = frameSecondsOf(listed.value.sessions);
	const followed = histories.flatMap((history) =>
		measures
			.map((measure) => measureOf(measure, history, days, starts, frameSeconds))
			.filter((one) => one !== null),
	);
	return success({
		person,
		startedAt: sessions[0]?.startedAt ?? null,
		measures: followed,
		adherence: plans.value.flatMap(({ plan }) => weeksOf(plan, done, today)),
		adherenceOverall: presentPlan === null ? null : overallOf(presentPlan, done, today),
		pain: painOf(sessions, nextMornings(sets.value, checkIns.value)),
		effort: sessions.flatMap(({ sets: own, sessionId, startedAt, day }) => {
			const told = own.map(({ answer }) => answer?.effort ?? null).filter((effort) => effort !== null);
			const mean = meanOf(told);
			return mean === null ? [] : { sessionId, startedAt, day, mean, highest: Math.max(...told) };
		}),
		symmetry: symmetryOf(person, histories, followed),
	});
}

interface DoneOn {
	readonly sessionId: number;
	readonly startedAt: string;
	/** From the first session with sets. */
	readonly day: number;
	readonly sets: readonly SetRecord[];
}

function sessionsOf(listed: readonly SessionSummary[], sets: readonly SetRecord[]): readonly DoneOn[] {
	const starts = new Map(listed.map(({ id, startedAt }) => [id, startedAt]));
	const groups = [...groupBy(sets, ({ sessionId }) => sessionId)];
	const dayOf = (sessionId: number) => dayNumberOf(starts.get(sessionId)!.slice(0, 10));
	const first = groups[0] === undefined ? 0 : dayOf(groups[0][0]);
	return groups.map(([sessionId, own]) => ({
		sessionId,
		startedAt: starts.get(sessionId)!,
		day: dayOf(sessionId) - first,
		sets: own,
	}));
}

function measureOf(
	measure: Measure,
	{ exerciseId, exerciseName, side, sessions }: ExerciseHistory,
	days: ReadonlyMap<number, number>,
	starts: ReadonlyMap<number, string>,
	frameSeconds: number,
): MeasureProgress | null {
	const known = sessions.flatMap(({ sessionId, sets }) => {
		const with_ = sets.filter((set) => measure.of(set) !== null);
		const value = meanOf(with_.map(measure.of));
		if (value === null) return [];
		const first = with_[0]!;
		const asked = measure.asked?.(first.item.dose);
		return {
			sessionId,
			sets: with_.length,
			value,
			conditions: conditionsFor(measure, first),
			...(asked === undefined ? {} : { asked }),
		};
	});
	if (known.length === 0) return null;
	const values: MeasuredValue[] = known.map(({ sessionId, sets: _, ...measured }) => ({
		day: days.get(sessionId)!,
		...measured,
	}));
	const { kind, name, unit, isPositive } = measure;
	const error = neighbourErrorOf(values, unit === "s" ? Math.max(measure.step, frameSeconds) : measure.step);
	return {
		id: `${exerciseId} ${side} ${kind} ${unit}`,
		kind,
		exerciseId,
		exerciseName,
		side,
		name,
		unit,
		points: progressOf(values, error?.sem ?? null).map((point, i) => {
			const { sessionId, sets, asked = null } = known[i]!;
			const [low, high] = point.band ?? [0, 0];
			const band = point.band === null ? null : ([isPositive ? Math.max(0, low) : low, high] as const);
			return { ...point, band, sessionId, startedAt: starts.get(sessionId)!, sets, asked };
		}),
		error,
	};
}

/** Median time from one frame to the next, s: what a time is known to at best. 0 where no session has frames. */
function frameSecondsOf(sessions: readonly SessionSummary[]): number {
	const intervals = sessions
		.filter(({ frameCount, durationSeconds }) => frameCount > 1 && durationSeconds > 0)
		.map(({ frameCount, durationSeconds }) => durationSeconds / (frameCount - 1))
		.sort((a, b) => a - b);
	return intervals[intervals.length >> 1] ?? 0;
}

/** Last day on which the plan asks for anything, up to today. */
function lastDayOf(plan: Plan, today: CalendarDay): number {
	const now = dayNumberOf(today);
	return plan.endedOn === null ? now : Math.min(now, dayNumberOf(plan.endedOn) - 1);
}

function weeksOf(plan: Plan, done: readonly DoneSession[], today: CalendarDay): Adherence[] {
	const last = lastDayOf(plan, today);
	const weeks: Adherence[] = [];
	for (let from = dayNumberOf(plan.versions[0]!.from); from <= last; ) {
		const sunday = from + DAYS_IN_WEEK - weekdayOf(dayOfNumber(from));
		const to = Math.min(sunday, last);
		weeks.push(adherenceOf(plan, done, dayOfNumber(from), dayOfNumber(to)));
		from = to + 1;
	}
	return weeks;
}

function overallOf(plan: Plan, done: readonly DoneSession[], today: CalendarDay): Adherence | null {
	const from = plan.versions[0]!.from;
	const last = lastDayOf(plan, today);
	return dayNumberOf(from) > last ? null : adherenceOf(plan, done, from, dayOfNumber(last));
}

function painOf(sessions: readonly DoneOn[], mornings: ReadonlyMap<number, NextMorning>): Progress["pain"] {
	const points = sessions.map(({ sessionId, startedAt, day, sets }) => {
		const after = sets.map(({ answer }) => answer?.pain ?? null).filter((pain) => pain !== null);
		return {
			sessionId,
			startedAt,
			day,
			before: sets.find(({ painBefore }) => painBefore !== null)?.painBefore ?? null,
			worst: after.length === 0 ? null : Math.max(...after),
			nextMorning: mornings.get(sessionId) ?? null,
		};
	});
	const told = points.map(({ worst }) => worst).filter((worst) => worst !== null);
	if (told.length < 2) return { points, verdict: null };
	const some = Math.min(PAIN_SESSIONS, told.length >> 1);
	return { points, verdict: painChange(meanOf(told.slice(0, some))!, meanOf(told.slice(-some))!) };
}

/** Measures of which an index can be made: not of a share of each side's own reference. */
const forSymmetry: readonly MeasureKind[] = ["hold-seconds", "repetitions", "time-in-target"];

function symmetryOf(
	{ affectedSide }: Person,
	histories: readonly ExerciseHistory[],
	followed: readonly MeasureProgress[],
): Progress["symmetry"] {
	if (affectedSide !== "left" && affectedSide !== "right") return [];
	return histories.flatMap((involved) => {
		if (involved.side !== affectedSide) return [];
		const other = histories.find(
			({ exerciseId, side }) => exerciseId === involved.exerciseId && side !== affectedSide,
		);
		if (other === undefined) return [];
		return measures.flatMap((measure) => {
			if (!forSymmetry.includes(measure.kind)) return [];
			const ours = newestOf(measure, involved);
			const theirs = newestOf(measure, other);
			if (ours === null || theirs === null || ours.asked !== theirs.asked) return [];
			const errorOf = ({ exerciseId, side }: ExerciseHistory): number | null =>
				followed.find(
					(one) => one.kind === measure.kind && one.exerciseId === exerciseId && one.side === side,
				)?.error?.sem ?? null;
			const index = limbSymmetry(ours.value, theirs.value, "higher", "band");
			const sides = {
				involved: { sessionId: ours.sessionId, value: ours.value, sem: errorOf(involved) },
				uninvolved: { sessionId: theirs.sessionId, value: theirs.value, sem: errorOf(other) },
			};
			return {
				kind: measure.kind,
				unit: measure.unit,
				exerciseId: involved.exerciseId,
				exerciseName: involved.exerciseName,
				...sides,
				index,
				error:
					index.state === "measured" ? symmetryError(index.percent, sides.involved, sides.uninvolved) : null,
			};
		});
	});
}

function newestOf(
	measure: Measure,
	{ sessions }: ExerciseHistory,
): { sessionId: number; value: number; asked: string | undefined } | null {
	for (const { sessionId, sets } of sessions.toReversed()) {
		const value = meanOf(sets.map(measure.of));
		if (value !== null) return { sessionId, value, asked: measure.asked?.(sets[0]!.item.dose) };
	}
	return null;
}
