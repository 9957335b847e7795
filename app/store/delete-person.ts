/**
 * Removes a person for good. One transaction takes everything out of sight and removes all but the bulk of the
 * sessions; those rows follow piece by piece, so that no step holds the thread for long. A kill in between loses
 * nothing of the removal: sessions that are marked are removed on.
 */
import type { Database } from "better-sqlite3";
import { failure, type Result, success } from "../../core/result.ts";
import type { Fault, PersonRecordCounts } from "../contract.ts";
import { isLeftOpen, prepareIsRecorded } from "./left-open.ts";
import type { PersonCounts } from "./person-counts.ts";
import { noPerson } from "./person-details.ts";

export interface Removal {
	/** `code` must be the person's. @returns what is removed. */
	person(personId: number, code: string): Result<PersonRecordCounts, Fault>;
	/** One piece of what is marked as removed. @returns whether there is more that can be done now. */
	next(): boolean;
	/** Whether what was removed may still be read in the write-ahead log, because another program read the file when it
	 *  was to be emptied. `next` tries again. */
	readonly isWaiting: boolean;
}

/** Some 5 ms of work each. */
const FRAMES = 250;
const TREND_ROWS = 50;
const PAGES = 128;
const INCREMENTAL = 2;

interface OpenRow {
	readonly writer_pid: number | null;
	readonly last_written_ms: number;
}

export function prepareRemoval(db: Database, now: () => number, counts: PersonCounts): Removal {
	const codeOf = db.prepare<[number], string>("SELECT code FROM people WHERE id = ?").pluck();
	const isRecorded = prepareIsRecorded(db, now);
	const theirs = "(SELECT id FROM sessions WHERE person_id = @person)";
	const theirPlans = "(SELECT id FROM plans WHERE person_id = @person)";
	const theirReferences = "(SELECT id FROM reference_contractions WHERE person_id = @person)";
	const steps = [
		`DELETE FROM set_corrections WHERE set_id IN (SELECT id FROM sets WHERE session_id IN ${theirs})`,
		`DELETE FROM sets WHERE session_id IN ${theirs}`,
		`DELETE FROM soap_notes WHERE session_id IN ${theirs}`,
		// A set of nobody's session may have been done for this plan or against this reference: it stays without.
		`UPDATE sets SET plan_id = NULL, plan_version = NULL, item_index = NULL WHERE plan_id IN ${theirPlans}`,
		`UPDATE sets SET reference_id = NULL WHERE reference_id IN ${theirReferences}`,
		`UPDATE sets SET hamstring_reference_id = NULL WHERE hamstring_reference_id IN ${theirReferences}`,
		`DELETE FROM plan_versions WHERE plan_id IN ${theirPlans}`,
		"DELETE FROM plans WHERE person_id = @person",
		"DELETE FROM reference_contractions WHERE person_id = @person",
		`UPDATE sessions SET removing = 1, person_id = NULL, limb_id = NULL, title = '', notes = '', writer_pid = NULL
			WHERE person_id = @person`,
		"DELETE FROM pain_check_ins WHERE person_id = @person",
		"DELETE FROM limbs WHERE person_id = @person",
		"DELETE FROM people WHERE id = @person",
	].map((sql) => db.prepare<{ person: number }>(sql));
	const hide = db.transaction((person: number) => {
		for (const step of steps) step.run({ person });
	});

	const marked = db.prepare<[], OpenRow & { readonly id: number }>(
		"SELECT id, writer_pid, last_written_ms FROM sessions WHERE removing = 1",
	);
	const frames = db.prepare<[number]>(`
		DELETE FROM frames WHERE rowid IN (SELECT rowid FROM frames WHERE session_id = ? LIMIT ${FRAMES})`);
	const trends = db.prepare<[number]>(`
		DELETE FROM trends WHERE rowid IN (SELECT rowid FROM trends WHERE session_id = ? LIMIT ${TREND_ROWS})`);
	const rest = ["baselines", "trend_series", "events", "contacts", "configurations"].map((table) =>
		db.prepare<[number]>(`DELETE FROM ${table} WHERE session_id = ?`),
	);
	const session = db.prepare<[number]>("DELETE FROM sessions WHERE id = ?");
	const finishSession = db.transaction((sessionId: number) => {
		for (const step of rest) step.run(sessionId);
		session.run(sessionId);
	});

	/** @returns whether there is more. */
	function freePages(): boolean {
		const isIncremental = db.pragma("auto_vacuum", { simple: true }) === INCREMENTAL;
		const free = () => db.pragma("freelist_count", { simple: true }) as number;
		const before = free();
		if (isIncremental && before > 0) {
			db.pragma(`incremental_vacuum(${PAGES})`);
			if (free() < before) return true;
		}
		return false;
	}

	/** What was removed must not stay readable in the log. @returns whether it is empty; a reader keeps what it may need. */
	function emptyLog(): boolean {
		const [outcome] = db.pragma("wal_checkpoint(TRUNCATE)") as { busy: number }[];
		return outcome?.busy === 0;
	}

	// a start before may have been ended on the way to it
	let hasRemoved = true;

	return {
		person(personId, code) {
			const own = codeOf.get(personId);
			if (own === undefined) return noPerson(personId);
			if (own !== code) {
				const expected = "the person's code, typed again";
				return failure({ kind: "invalid-argument", path: "code", expected, got: code });
			}
			if (isRecorded(personId)) return failure({ kind: "already-recording" });
			const removed = counts.of(personId);
			hide.immediate(personId);
			hasRemoved = true;
			return success(removed);
		},
		next() {
			// A person's file that is just being read in is marked, too: whoever reads it is still there.
			const left = marked
				.all()
				.find(({ writer_pid, last_written_ms }) => isLeftOpen(writer_pid, last_written_ms, now()));
			const sessionId = left?.id;
			if (sessionId === undefined) {
				if (!hasRemoved) return false;
				if (freePages()) return true;
				hasRemoved = !emptyLog();
				return false;
			}
			hasRemoved = true;
			if (frames.run(sessionId).changes > 0 || trends.run(sessionId).changes > 0) return true;
			finishSession.immediate(sessionId);
			return true;
		},
		get isWaiting() {
			return hasRemoved;
		},
	};
}
