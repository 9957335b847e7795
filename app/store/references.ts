/** Reference contractions: what engagement is a share of. A stored one is never changed; a new one takes its place. */
import type { Database } from "better-sqlite3";
import { z } from "zod";
import { referenceTargets } from "../../core/exercise/reference-target.ts";
import type { ReferenceRecord } from "../contract.ts";
import type { NewReference } from "./care-types.ts";
import {
	type ConditionsRow,
	conditionsColumns,
	conditionsOf,
	conditionsParameters,
	conditionsRow,
} from "./conditions-columns.ts";
import { jsonAs } from "./json-column.ts";

export const protocolSchema = z.object({
	/** The only one that there was before it was kept. */
	target: z.enum(referenceTargets).default("quadriceps"),
	effort: z.enum(["maximal", "comfortable"]),
	contractions: z.int().min(1).max(10),
	restSeconds: z.number(),
	contractionSeconds: z.number(),
	pauseSeconds: z.number(),
});

const restSchema = z.object({ level: z.number(), noise: z.number().min(0) });

export const regionReferenceSchema = z.discriminatedUnion("state", [
	z.object({ state: z.literal("none") }),
	z.object({
		state: z.literal("not-detected"),
		reason: z.enum(["within-noise", "directions-differ"]),
		rest: restSchema,
	}),
	z.object({
		state: z.literal("taken"),
		rest: restSchema,
		change: z.number().refine((change) => change !== 0, "a change that is not zero"),
		variationPercent: z.number().nullable(),
		repeatability: z.enum(["repeatable", "not-repeatable", "unknown"]),
	}),
]);

export const referenceRegionsSchema = z.array(
	z.object({ id: z.string(), name: z.string(), reference: regionReferenceSchema }),
);

interface ReferenceRow extends ConditionsRow {
	readonly id: number;
	readonly person_id: number | null;
	readonly taken_at: string;
	readonly protocol: string;
	readonly unit: "S/m" | "relative";
	readonly regions: string;
}

export interface ReferenceRecords {
	/** @returns its id. */
	add(reference: NewReference): number;
	get(id: number): ReferenceRecord | null;
	/** Newest first. */
	list(personId: number): readonly ReferenceRecord[];
	/** The newest of that person (null for nobody in particular) on that side. */
	latest(personId: number | null, side: "left" | "right"): ReferenceRecord | null;
}

export function prepareReferences(db: Database): ReferenceRecords {
	const insert = db.prepare(`
		INSERT INTO reference_contractions (person_id, taken_at, protocol, unit, regions, ${conditionsColumns})
		VALUES (@person_id, @taken_at, @protocol, @unit, @regions, ${conditionsParameters})`);
	const one = db.prepare<[number], ReferenceRow>("SELECT * FROM reference_contractions WHERE id = ?");
	const ofPerson = db.prepare<[number], ReferenceRow>(
		"SELECT * FROM reference_contractions WHERE person_id = ? ORDER BY id DESC",
	);
	const latest = db.prepare<[number | null, string], ReferenceRow>(`
		SELECT * FROM reference_contractions WHERE person_id IS ? AND side = ? ORDER BY id DESC LIMIT 1`);

	return {
		add({ personId, takenAt, protocol, unit, regions, conditions }) {
			const added = insert.run({
				person_id: personId,
				taken_at: takenAt,
				protocol: JSON.stringify(protocol),
				unit,
				regions: JSON.stringify(regions),
				...conditionsRow(conditions),
			});
			return Number(added.lastInsertRowid);
		},
		get(id) {
			const row = one.get(id);
			return row === undefined ? null : referenceOf(row);
		},
		list: (personId) => ofPerson.all(personId).map(referenceOf),
		latest(personId, side) {
			const row = latest.get(personId, side);
			return row === undefined ? null : referenceOf(row);
		},
	};
}

function referenceOf(row: ReferenceRow): ReferenceRecord {
	const what = `reference ${row.id}`;
	return {
		id: row.id,
		personId: row.person_id,
		takenAt: row.taken_at,
		protocol: jsonAs(protocolSchema, row.protocol, what),
		unit: row.unit,
		regions: jsonAs(referenceRegionsSchema, row.regions, what),
		conditions: conditionsOf(row, { referenceId: null, hamstringReferenceId: null }),
	};
}
