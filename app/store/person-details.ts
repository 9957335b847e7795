/** What is kept of a person besides code, name and side: goals, whether archived, the cautions told, limbs over time. */
import type { Database } from "better-sqlite3";
import { failure, type Result, success } from "../../core/result.ts";
import { cautions } from "../../core/safety/cautions.ts";
import type { Fault, LimbRecord, RequestArgument } from "../contract.ts";
import { toRfc3339 } from "./date-time.ts";
import { type LimbRow, limbOf } from "./people.ts";

export interface PersonDetails {
	readonly goals: string;
	readonly archived: boolean;
	/** Null when never told, or told an older version of the cautions. */
	readonly cautionsAcknowledgedAt: string | null;
	/** Newest first. */
	readonly limbs: readonly LimbRecord[];
}

export interface PersonDetailRecords {
	get(personId: number): Result<PersonDetails, Fault>;
	save(details: RequestArgument<"savePersonDetails">): Result<null, Fault>;
	acknowledge(wish: RequestArgument<"acknowledgeForPerson">): Result<null, Fault>;
}

interface DetailRow {
	readonly goals: string;
	readonly archived: number;
	readonly cautions_version: number | null;
	readonly cautions_acknowledged_at: string | null;
}

export function preparePersonDetails(db: Database, now: () => number): PersonDetailRecords {
	const one = db.prepare<[number], DetailRow>(
		"SELECT goals, archived, cautions_version, cautions_acknowledged_at FROM people WHERE id = ?",
	);
	const limbs = db.prepare<[number], LimbRow & { created_ms: number }>(
		"SELECT * FROM limbs WHERE person_id = ? ORDER BY id DESC",
	);
	const save = db.prepare("UPDATE people SET goals = ?, archived = ? WHERE id = ?");
	const acknowledge = db.prepare(
		"UPDATE people SET cautions_version = ?, cautions_acknowledged_at = ? WHERE id = ?",
	);

	return {
		get(personId) {
			const row = one.get(personId);
			if (row === undefined) return noPerson(personId);
			const isPresent = (row.cautions_version ?? 0) >= cautions.version;
			return success({
				goals: row.goals,
				archived: row.archived === 1,
				cautionsAcknowledgedAt: isPresent ? row.cautions_acknowledged_at : null,
				limbs: limbs.all(personId).map((limb) => ({
					id: limb.id,
					measuredAt: toRfc3339(limb.created_ms),
					setup: limbOf(limb),
				})),
			});
		},
		save({ personId, goals, archived }) {
			const { changes } = save.run(goals, archived ? 1 : 0, personId);
			return changes === 0 ? noPerson(personId) : success(null);
		},
		acknowledge({ personId, version }) {
			if (version !== cautions.version) {
				const expected = `${cautions.version}, the version that was shown`;
				return failure({ kind: "invalid-argument", path: "version", expected, got: String(version) });
			}
			const { changes } = acknowledge.run(version, toRfc3339(now()), personId);
			return changes === 0 ? noPerson(personId) : success(null);
		},
	};
}

export function noPerson(personId: number): Result<never, Fault> {
	return failure({ kind: "no-such-record", what: "person", id: personId });
}
