/** Notes of a session in subjective/objective/assessment/plan form. */
import type { Database } from "better-sqlite3";
import type { RequestArgument, SoapNotes } from "../contract.ts";
import { toRfc3339 } from "./date-time.ts";

export interface SoapRecords {
	get(sessionId: number): SoapNotes | null;
	/** `savedAt`: now when left out. */
	save(notes: RequestArgument<"saveSoap">, savedAt?: string): SoapNotes;
}

export function prepareSoap(db: Database, now: () => number): SoapRecords {
	const get = db.prepare<[number], SoapNotes>(`
		SELECT subjective, objective, assessment, plan, saved_at AS savedAt FROM soap_notes WHERE session_id = ?`);
	const save = db.prepare(`
		INSERT INTO soap_notes (session_id, subjective, objective, assessment, plan, saved_at)
		VALUES (?, ?, ?, ?, ?, ?)
		ON CONFLICT (session_id) DO UPDATE SET subjective = excluded.subjective, objective = excluded.objective,
			assessment = excluded.assessment, plan = excluded.plan, saved_at = excluded.saved_at`);
	return {
		get: (sessionId) => get.get(sessionId) ?? null,
		save({ sessionId, subjective, objective, assessment, plan }, savedAt = toRfc3339(now())) {
			save.run(sessionId, subjective, objective, assessment, plan, savedAt);
			return { subjective, objective, assessment, plan, savedAt };
		},
	};
}
