/** Tells a recording that is under way from one that was left open because its app was killed. */
import type { Database } from "better-sqlite3";
import { prepareBrokenSets } from "./broken-sets.ts";

/** ms: a recording writes at least every two seconds, so one that has been silent for so long has nobody. */
const SILENT_AFTER = 10_000;

function isAlive(pid: number): boolean {
	try {
		process.kill(pid, 0);
		return true;
	} catch (error) {
		// Not ours to signal, but there.
		return (error as NodeJS.ErrnoException).code === "EPERM";
	}
}

export function isLeftOpen(writerPid: number | null, lastWritten: number, now: number): boolean {
	if (writerPid === null || !isAlive(writerPid)) return true;
	// The number may have gone to another program since, or the file come from another machine.
	return Math.abs(now - lastWritten) > SILENT_AFTER;
}

/** Whether a recording of that person is under way. */
export function prepareIsRecorded(db: Database, now: () => number): (personId: number) => boolean {
	const open = db.prepare<[number], { writer_pid: number | null; last_written_ms: number }>(
		"SELECT writer_pid, last_written_ms FROM sessions WHERE person_id = ? AND closed_cleanly IS NULL",
	);
	return (personId) =>
		open.all(personId).some((session) => !isLeftOpen(session.writer_pid, session.last_written_ms, now()));
}

/** Marks sessions that were left open, and sets that were broken off in them; what had arrived stays as it is. @returns how many. */
export function closeLeftOpen(db: Database, now: number): number {
	const open = db
		.prepare<[], { id: number; writer_pid: number | null; last_written_ms: number }>(
			"SELECT id, writer_pid, last_written_ms FROM sessions WHERE closed_cleanly IS NULL",
		)
		.all();
	const mark = db.prepare("UPDATE sessions SET closed_cleanly = 0 WHERE id = ?");
	const brokenSets = prepareBrokenSets(db);
	const left = open.filter((session) => isLeftOpen(session.writer_pid, session.last_written_ms, now));
	const markAll = db.transaction(() => {
		for (const { id, last_written_ms } of left) {
			brokenSets.mark(id, last_written_ms);
			mark.run(id);
		}
	});
	if (left.length > 0) markAll.immediate();
	return left.length;
}
