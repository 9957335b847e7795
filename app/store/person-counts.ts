/** What is stored of one person: what deleting would remove. */
import { readdirSync } from "node:fs";
import { basename, dirname } from "node:path";
import type { Database } from "better-sqlite3";
import type { PersonRecordCounts } from "../contract.ts";

export interface PersonCounts {
	of(personId: number): PersonRecordCounts;
}

type Counted = Omit<PersonRecordCounts, "keptCopies">;

export function preparePersonCounts(db: Database, path: string): PersonCounts {
	const count = db.prepare<{ person: number }, Counted>(`
		WITH theirs AS (SELECT id, frame_count FROM sessions WHERE person_id = @person AND removing = 0)
		SELECT
			(SELECT count(*) FROM limbs WHERE person_id = @person) AS limbs,
			(SELECT count(*) FROM plans WHERE person_id = @person) AS plans,
			(SELECT count(*) FROM plan_versions JOIN plans ON plans.id = plan_id WHERE person_id = @person) AS planVersions,
			(SELECT count(*) FROM reference_contractions WHERE person_id = @person) AS "references",
			(SELECT count(*) FROM theirs) AS sessions,
			(SELECT coalesce(sum(frame_count), 0) FROM theirs) AS frames,
			(SELECT count(*) FROM sets WHERE session_id IN (SELECT id FROM theirs)) AS sets,
			(SELECT count(*) FROM soap_notes WHERE session_id IN (SELECT id FROM theirs)) AS soapNotes,
			(SELECT count(*) FROM pain_check_ins WHERE person_id = @person) AS checkIns`);
	return {
		of: (personId) => ({ ...count.get({ person: personId })!, keptCopies: keptCopies(path) }),
	};
}

/** Copies made before updates and files that were put aside as damaged: nothing is removed from those. */
function keptCopies(path: string): readonly string[] {
	const name = basename(path);
	return readdirSync(dirname(path))
		.filter((other) => other.startsWith(`${name}.before-version-`) || other.startsWith(`${name}.damaged-`))
		.sort();
}
