/** What people say about the morning after a sitting, joined with that sitting. */
import type { CalendarDay } from "../../core/exercise/calendar-day.ts";
import { adviceNextMorning, type MorningAdvice, morningVerdict } from "../../core/exercise/next-morning.ts";
import { usualStopLimits } from "../../core/exercise/stop-rules.ts";
import { groupBy } from "../../core/group-by.ts";
import type { CheckIn, NextMorning, SetRecord } from "../contract.ts";

interface SittingPain {
	readonly sessionId: number;
	readonly day: CalendarDay;
	/** ms since the epoch */
	readonly endedAt: number;
	readonly before: number | null;
	/** The highest that was told after a set. */
	readonly worst: number | null;
}

/** @param sets in the order of their sessions */
function sittingsOf(sets: readonly SetRecord[]): readonly SittingPain[] {
	return [...groupBy(sets, ({ sessionId }) => sessionId)].map(([sessionId, own]) => {
		const told = own.map(({ answer }) => answer?.pain ?? null).filter((pain) => pain !== null);
		const last = own.at(-1)!.storedAt;
		return {
			sessionId,
			day: last.slice(0, 10),
			endedAt: Date.parse(last),
			before: own.find(({ painBefore }) => painBefore !== null)?.painBefore ?? null,
			worst: told.length === 0 ? null : Math.max(...told),
		};
	});
}

/** By session: the first that was told of the morning after it. */
export function nextMornings(
	sets: readonly SetRecord[],
	checkIns: readonly CheckIn[],
): ReadonlyMap<number, NextMorning> {
	const sittings = sittingsOf(sets);
	const found = new Map<number, NextMorning>();
	for (const { toldAt, nextMorning: pain } of checkIns) {
		if (pain === null) continue;
		const toldOn = toldAt.slice(0, 10);
		const sitting = sittings.findLast(({ endedAt, day }) => day < toldOn && endedAt <= Date.parse(toldAt));
		if (sitting === undefined || found.has(sitting.sessionId)) continue;
		found.set(sitting.sessionId, { toldAt, pain, verdict: morningVerdict(pain, sitting.before) });
	}
	return found;
}

/** Whether the morning after the last sitting is to be asked about: it hurt, its day is over, nobody has told yet. */
export function asksNextMorning(
	sets: readonly SetRecord[],
	checkIns: readonly CheckIn[],
	day: CalendarDay,
): boolean {
	const last = sittingsOf(sets).at(-1);
	if (last === undefined || last.day >= day || (last.worst ?? 0) <= usualStopLimits.painFine) return false;
	return !nextMornings(sets, checkIns).has(last.sessionId);
}

/** What the answers of a day say about the exercises of that day. */
export function morningAdviceOn(
	sets: readonly SetRecord[],
	checkIns: readonly CheckIn[],
	day: CalendarDay,
): MorningAdvice {
	const told = [...nextMornings(sets, checkIns).values()].findLast(
		({ toldAt }) => toldAt.slice(0, 10) === day,
	);
	return adviceNextMorning(told?.verdict ?? null);
}
