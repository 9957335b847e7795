/** Sets that were done in a session, each with what was counted automatically and every correction of it. */
import type { Database } from "better-sqlite3";
import type { DoneSession } from "../../core/exercise/adherence.ts";
import type { CalendarDay } from "../../core/exercise/calendar-day.ts";
import type { PlanItem } from "../../core/exercise/plan.ts";
import { referenceIdOf } from "../../core/exercise/reference-target.ts";
import type { Repetition } from "../../core/exercise/repetition.ts";
import {
	type CountCorrection,
	correctCount,
	countThatHolds,
	type RepetitionCount,
	type SetCount,
} from "../../core/exercise/set-record.ts";
import type { SetAnswer } from "../../core/exercise/stop-rules.ts";
import { groupBy } from "../../core/group-by.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, SetRecord } from "../contract.ts";
import type { NewSet } from "./care-types.ts";
import {
	type ConditionsRow,
	conditionsColumns,
	conditionsOf,
	conditionsParameters,
	conditionsRow,
} from "./conditions-columns.ts";
import { toRfc3339 } from "./date-time.ts";
import { jsonAs } from "./json-column.ts";
import type { ReferenceRecords } from "./references.ts";
import { answerSchema, itemSchema, repetitionsSchema, summarySchema } from "./set-columns.ts";

interface SetRow extends ConditionsRow {
	readonly id: number;
	readonly session_id: number;
	readonly stored_at: string;
	readonly plan_id: number | null;
	readonly plan_version: number | null;
	readonly item_index: number | null;
	readonly item: string;
	readonly set_number: number;
	readonly start_s: number;
	readonly end_s: number;
	readonly counted_in: string | null;
	readonly repetitions: string;
	readonly summary: string | null;
	readonly automatic_full: number | null;
	readonly automatic_partial: number | null;
	readonly personal_full: number | null;
	readonly personal_partial: number | null;
	readonly pain_before: number | null;
	readonly answer: string | null;
	readonly reference_id: number | null;
	readonly hamstring_reference_id: number | null;
	/** Of its session; null where no frame was stored. */
	readonly first_time_us: number | null;
}

interface CorrectionRow {
	readonly set_id: number;
	readonly full_count: number;
	readonly partial_count: number;
	readonly made_by: "patient" | "clinician";
	readonly made_at: string;
	readonly reason: string;
}

export interface SetRecords {
	/** In order; those of one session. */
	list(sessionId: number): readonly SetRecord[];
	get(setId: number): Result<SetRecord, Fault>;
	/** All sets of a person, in order of their sessions. */
	ofPerson(personId: number): readonly SetRecord[];
	/** `storedAt`: now when left out. @returns its id. */
	add(set: NewSet, storedAt?: string): number;
	/** The answers came after the set was stored. */
	answer(setId: number, answer: SetAnswer): Result<null, Fault>;
	correct(setId: number, correction: CountCorrection): Result<SetRecord, Fault>;
	/** What a person did, session by session. */
	done(personId: number): readonly DoneSession[];
}

const columns = `session_id, stored_at, plan_id, plan_version, item_index, item, set_number, start_s, end_s, counted_in,
	repetitions, summary, automatic_full, automatic_partial, personal_full, personal_partial, pain_before, answer,
	reference_id, hamstring_reference_id`;

const MOST_ITEMS = 500;

export function prepareSets(db: Database, now: () => number, references: ReferenceRecords): SetRecords {
	/** References never change. */
	const changes = new Map<string, number | null>();
	const select = `SELECT sets.*, sessions.first_time_us FROM sets JOIN sessions ON sessions.id = sets.session_id`;
	const ofSession = db.prepare<[number], SetRow>(`${select} WHERE session_id = ? ORDER BY sets.id`);
	// by instant: in the hour in which clocks are set back, local times run twice
	const ofPerson = db.prepare<[number], SetRow>(
		`${select} WHERE sessions.person_id = ? AND sessions.removing = 0 ORDER BY julianday(sessions.started_at), sets.id`,
	);
	const one = db.prepare<[number], SetRow>(`${select} WHERE sets.id = ? AND sessions.removing = 0`);
	const correctionsOf = db.prepare<[number], CorrectionRow>(
		"SELECT * FROM set_corrections WHERE set_id = ? ORDER BY number",
	);
	const correctionsOfPerson = db.prepare<[number], CorrectionRow>(`
		SELECT set_corrections.* FROM set_corrections JOIN sets ON sets.id = set_id
			JOIN sessions ON sessions.id = session_id
		WHERE sessions.person_id = ? ORDER BY set_id, number`);
	const insert = db.prepare(`
		INSERT INTO sets (${columns}, ${conditionsColumns})
		VALUES (@${columns.split(/,\s*/).join(", @")}, ${conditionsParameters})`);
	const insertCorrection = db.prepare(`
		INSERT INTO set_corrections (set_id, number, full_count, partial_count, made_by, made_at, reason)
		VALUES (?, ?, ?, ?, ?, ?, ?)`);
	const setAnswer = db.prepare("UPDATE sets SET answer = ? WHERE id = ?");
	const days = db.prepare<[number], { id: number; day: string }>(
		"SELECT id, substr(started_at, 1, 10) AS day FROM sessions WHERE person_id = ? AND removing = 0",
	);

	/** Sets of one exercise share its text. */
	const items = new Map<string, PlanItem>();

	function itemOf(text: string, setId: number): PlanItem {
		let item = items.get(text);
		if (item === undefined) {
			item = jsonAs(itemSchema, text, `set ${setId}`);
			if (items.size >= MOST_ITEMS) items.clear();
			items.set(text, item);
		}
		return item;
	}

	/** What peaks are multiplied by to be in the summary's unit; null where that cannot be told. */
	function scaleOf({ summary, conditions, countedIn }: Omit<SetRecord, "peaks">): number | null {
		if (summary === null || countedIn === null) return null;
		if (summary.unit === "raw") return 1;
		const referenceId = referenceIdOf(conditions, countedIn);
		if (referenceId === null) return null;
		const key = `${referenceId} ${countedIn}`;
		let change = changes.get(key);
		if (change === undefined) {
			const region = references.get(referenceId)?.regions.find(({ id }) => id === countedIn);
			change = region?.reference.state === "taken" ? region.reference.change : null;
			changes.set(key, change);
		}
		return change === null ? null : 100 / Math.abs(change);
	}

	function setOf(row: SetRow, corrections: readonly CorrectionRow[]): SetRecord {
		const set = withoutPeaks(row, itemOf(row.item, row.id), corrections);
		const scale = scaleOf(set);
		return { ...set, peaks: scale === null ? [] : set.repetitions.map(({ peak }) => scale * peak) };
	}

	function list(
		rows: readonly SetRow[],
		corrections: (setId: number) => readonly CorrectionRow[],
	): SetRecord[] {
		return rows.map((row) => setOf(row, corrections(row.id)));
	}

	function personCorrections(personId: number): (setId: number) => readonly CorrectionRow[] {
		const bySet = groupBy(correctionsOfPerson.all(personId), (row) => row.set_id);
		return (setId) => bySet.get(setId) ?? [];
	}

	function get(setId: number): Result<SetRecord, Fault> {
		const row = one.get(setId);
		return row === undefined
			? failure({ kind: "no-such-record", what: "set", id: setId })
			: success(setOf(row, correctionsOf.all(setId)));
	}

	const add = db.transaction((set: NewSet, storedAt: string): number => {
		const { result, plan, conditions } = set;
		const { automatic, personal, corrections } = result.count;
		const added = insert.run({
			session_id: set.sessionId,
			stored_at: storedAt,
			plan_id: plan?.planId ?? null,
			plan_version: plan?.version ?? null,
			item_index: plan?.itemIndex ?? null,
			item: JSON.stringify(set.item),
			set_number: result.set,
			start_s: result.start,
			end_s: result.end,
			counted_in: result.countedIn,
			repetitions: JSON.stringify(result.repetitions),
			summary: result.summary === null ? null : JSON.stringify(result.summary),
			automatic_full: automatic?.full ?? null,
			automatic_partial: automatic?.partial ?? null,
			personal_full: personal?.full ?? null,
			personal_partial: personal?.partial ?? null,
			pain_before: set.painBefore,
			answer: result.answer === null ? null : JSON.stringify(result.answer),
			reference_id: conditions.referenceId,
			hamstring_reference_id: conditions.hamstringReferenceId,
			...conditionsRow(conditions),
		});
		const setId = Number(added.lastInsertRowid);
		for (const correction of corrections) addCorrection(setId, correction);
		return setId;
	});

	function addCorrection(setId: number, { count, by, at, reason }: CountCorrection): void {
		const number = correctionsOf.all(setId).length + 1;
		insertCorrection.run(setId, number, count.full, count.partial, by, at, reason);
	}

	return {
		list: (sessionId) => list(ofSession.all(sessionId), (setId) => correctionsOf.all(setId)),
		get,
		ofPerson: (personId) => list(ofPerson.all(personId), personCorrections(personId)),
		add: (set, storedAt = toRfc3339(now())) => add(set, storedAt),
		answer(setId, answer) {
			const { changes } = setAnswer.run(JSON.stringify(answer), setId);
			return changes === 0 ? failure({ kind: "no-such-record", what: "set", id: setId }) : success(null);
		},
		correct(setId, correction) {
			const found = get(setId);
			if (!found.ok) return found;
			const corrected = correctCount(found.value.count, correction);
			if (!corrected.ok) return failure({ kind: "invalid-argument", ...corrected.error });
			addCorrection(setId, correction);
			return get(setId);
		},
		done(personId) {
			const dayOf = new Map(days.all(personId).map(({ id, day }) => [id, day]));
			const sets = list(ofPerson.all(personId), personCorrections(personId));
			return doneSessionsOf(sets, (sessionId) => dayOf.get(sessionId)!);
		},
	};
}

function countOf(full: number | null, partial: number | null): RepetitionCount | null {
	return full === null ? null : { full, partial: partial ?? 0 };
}

function withoutPeaks(
	row: SetRow,
	item: PlanItem,
	corrections: readonly CorrectionRow[],
): Omit<SetRecord, "peaks"> {
	const what = `set ${row.id}`;
	const origin = (row.first_time_us ?? 0) / 1e6;
	const stored: readonly Repetition[] = jsonAs(repetitionsSchema, row.repetitions, what);
	const summary = row.summary === null ? null : jsonAs(summarySchema, row.summary, what);
	const count: SetCount = {
		automatic: countOf(row.automatic_full, row.automatic_partial),
		personal: countOf(row.personal_full, row.personal_partial),
		corrections: corrections.map(({ full_count, partial_count, made_by, made_at, reason }) => ({
			count: { full: full_count, partial: partial_count },
			by: made_by,
			at: made_at,
			reason,
		})),
	};
	return {
		id: row.id,
		sessionId: row.session_id,
		storedAt: row.stored_at,
		planId: row.plan_id,
		planVersion: row.plan_version,
		itemIndex: row.item_index,
		item,
		set: row.set_number,
		startSeconds: row.start_s - origin,
		endSeconds: row.end_s - origin,
		countedIn: row.counted_in,
		repetitions: stored.map((one) => ({ ...one, onset: one.onset - origin, offset: one.offset - origin })),
		summary,
		count,
		countThatHolds: countThatHolds(count),
		painBefore: row.pain_before,
		answer: row.answer === null ? null : jsonAs(answerSchema, row.answer, what),
		conditions: conditionsOf(row, {
			referenceId: row.reference_id,
			hamstringReferenceId: row.hamstring_reference_id,
		}),
	};
}

/** False where somebody stopped before the work: such a set is kept for its answers, and is nothing done. */
export function wasBegun({ startSeconds, endSeconds, countThatHolds: held }: SetRecord): boolean {
	return endSeconds > startSeconds || (held?.full ?? 0) > 0;
}

/** What was done on which day, session by session. */
export function doneSessionsOf(
	sets: readonly SetRecord[],
	dayOf: (sessionId: number) => CalendarDay,
): readonly DoneSession[] {
	return [...groupBy(sets.filter(wasBegun), ({ sessionId }) => sessionId)].map(([sessionId, own]) => ({
		day: dayOf(sessionId),
		items: itemsOf(own),
	}));
}

function itemsOf(sets: readonly SetRecord[]): DoneSession["items"] {
	const byExercise = groupBy(sets, ({ item }) => item.exercise.id);
	return [...byExercise].map(([exerciseId, ofExercise]) => ({
		exerciseId,
		sets: ofExercise.length,
		repetitions: ofExercise.reduce((sum, { countThatHolds: held }) => sum + (held?.full ?? 0), 0),
		meanHoldSeconds: meanHoldOf(ofExercise),
	}));
}

/** Mean over full repetitions, s; null where nothing is held or nothing was measured. */
function meanHoldOf(sets: readonly SetRecord[]): number | null {
	let held = 0;
	let repetitions = 0;
	for (const { item, summary } of sets) {
		if (item.exercise.kind !== "hold" || summary === null || summary.meanHoldSeconds === null) continue;
		held += summary.meanHoldSeconds * summary.full;
		repetitions += summary.full;
	}
	return repetitions === 0 ? null : held / repetitions;
}
