/** People, their limbs and the bands they wear. */
import type { Database } from "better-sqlite3";
import { failure, type Result, success } from "../../core/result.ts";
import {
	type BandSetup,
	bandSetupSchema,
	type Fault,
	type LimbSetup,
	limbSetupSchema,
	type Person,
	type RequestArgument,
} from "../contract.ts";
import { jsonOf } from "./json-column.ts";
import { DamagedRecordError } from "./store-fault.ts";

interface PersonRow {
	readonly id: number;
	readonly code: string;
	readonly display_name: string | null;
	readonly affected_side: Person["affectedSide"];
	readonly session_count: number;
	readonly archived: number;
}

export interface LimbRow {
	readonly id: number;
	readonly side: string;
	readonly outline: string;
	readonly fat_thickness_m: number;
	readonly fat_source: string | null;
	readonly level_fraction: number;
}

export interface BandRow {
	readonly id: number;
	readonly name: string;
	readonly electrode_count: number;
	readonly electrode_width_m: number;
	readonly first_electrode_deg: number;
	readonly direction: string;
	readonly positions: string | null;
}

function personOf(row: PersonRow): Person {
	return {
		id: row.id,
		code: row.code,
		displayName: row.display_name,
		affectedSide: row.affected_side,
		sessionCount: row.session_count,
		archived: row.archived === 1,
	};
}

function looksOf(code: string): string {
	return code.normalize("NFKC").replace(/\p{C}/gu, "").toLowerCase();
}

/** @throws DamagedRecordError when the row is not a limb that this program accepts. */
export function limbOf(row: LimbRow): LimbSetup {
	const limb = limbSetupSchema.safeParse({
		side: row.side,
		outline: jsonOf(row.outline, `limb ${row.id}`),
		fatThickness: row.fat_thickness_m,
		...(row.fat_source !== null && { fatSource: row.fat_source }),
		level: row.level_fraction,
	});
	if (!limb.success) throw new DamagedRecordError(`limb ${row.id}: ${limb.error.message}`);
	return limb.data;
}

/** @throws DamagedRecordError when the row is not a band that this program accepts. */
export function bandOf(row: BandRow): BandSetup {
	const band = bandSetupSchema.safeParse({
		name: row.name,
		electrodeCount: row.electrode_count,
		electrodeWidth: row.electrode_width_m,
		firstElectrodeDegrees: row.first_electrode_deg,
		direction: row.direction,
		positions: row.positions === null ? null : jsonOf(row.positions, `band ${row.id}`),
	});
	if (!band.success) throw new DamagedRecordError(`band ${row.id}: ${band.error.message}`);
	return band.data;
}

export interface PeopleRecords {
	list(includeArchived: boolean): readonly Person[];
	get(personId: number): Person | null;
	/** Whose code looks like this one: two people are not told apart by capitals or by what is not seen. */
	ownerOf(code: string): { readonly id: number; readonly code: string } | null;
	save(person: RequestArgument<"savePerson">): Result<Person, Fault>;
	saveLimb(personId: number | null, limb: LimbSetup): Result<number, Fault>;
	saveBand(band: BandSetup): number;
	/** Of the first band like it that was stored, wherever its first electrode sat; null for none. */
	wornBandId(band: BandSetup): number | null;
	latestLimb(personId: number | null): LimbSetup | null;
}

export function preparePeople(db: Database, now: () => number): PeopleRecords {
	const select = `
		SELECT people.id, code, display_name, affected_side, archived, count(sessions.id) AS session_count
		FROM people LEFT JOIN sessions ON sessions.person_id = people.id`;
	const all = db.prepare<[number], PersonRow>(
		`${select} WHERE archived <= ? GROUP BY people.id ORDER BY code COLLATE NOCASE`,
	);
	const one = db.prepare<[number], PersonRow>(`${select} WHERE people.id = ? GROUP BY people.id`);
	const codes = db.prepare<[], { id: number; code: string }>("SELECT id, code FROM people");
	const insert = db.prepare(`
		INSERT INTO people (code, display_name, affected_side, created_ms, record_key)
		VALUES (?, ?, ?, ?, lower(hex(randomblob(16))))`);
	const update = db.prepare("UPDATE people SET code = ?, display_name = ?, affected_side = ? WHERE id = ?");
	const newestLimb = db.prepare<[number | null], LimbRow>(
		"SELECT * FROM limbs WHERE person_id IS ? ORDER BY id DESC LIMIT 1",
	);
	const insertLimb = db.prepare(`
		INSERT INTO limbs (person_id, side, outline, fat_thickness_m, fat_source, level_fraction, created_ms)
		VALUES (?, ?, ?, ?, ?, ?, ?)`);
	const newestBand = db.prepare<[string], BandRow>(
		"SELECT * FROM bands WHERE name = ? ORDER BY id DESC LIMIT 1",
	);
	const firstBandLike = db
		.prepare<[string, number, number, string, string | null], number>(
			`SELECT id FROM bands WHERE name = ? AND electrode_count = ? AND electrode_width_m = ? AND direction = ?
				AND positions IS ? ORDER BY id LIMIT 1`,
		)
		.pluck();
	const insertBand = db.prepare(`
		INSERT INTO bands (name, electrode_count, electrode_width_m, first_electrode_deg, direction, positions, created_ms)
		VALUES (?, ?, ?, ?, ?, ?, ?)`);

	function ownersOf(code: string): { id: number; code: string }[] {
		const looks = looksOf(code);
		return codes.all().filter((one) => looksOf(one.code) === looks);
	}

	return {
		list: (includeArchived) => all.all(includeArchived ? 1 : 0).map(personOf),
		get(personId) {
			const row = one.get(personId);
			return row === undefined ? null : personOf(row);
		},
		ownerOf: (code) => ownersOf(code)[0] ?? null,
		save(person) {
			const owner = ownersOf(person.code).find(({ id }) => id !== person.id);
			if (owner !== undefined) {
				const expected = "a code that no other person has";
				return failure({ kind: "invalid-argument", path: "code", expected, got: owner.code });
			}
			let id = person.id;
			if (id === null) {
				const added = insert.run(person.code, person.displayName, person.affectedSide, now());
				id = Number(added.lastInsertRowid);
			} else if (update.run(person.code, person.displayName, person.affectedSide, id).changes === 0) {
				return failure({ kind: "no-such-record", what: "person", id });
			}
			return success(personOf(one.get(id)!));
		},
		saveLimb(personId, limb) {
			if (personId !== null && one.get(personId) === undefined) {
				return failure({ kind: "no-such-record", what: "person", id: personId });
			}
			const outline = JSON.stringify(limb.outline);
			const newest = newestLimb.get(personId);
			if (
				newest !== undefined &&
				newest.side === limb.side &&
				newest.outline === outline &&
				newest.fat_thickness_m === limb.fatThickness &&
				newest.fat_source === (limb.fatSource ?? null) &&
				newest.level_fraction === limb.level
			) {
				return success(newest.id);
			}
			const added = insertLimb.run(
				personId,
				limb.side,
				outline,
				limb.fatThickness,
				limb.fatSource ?? null,
				limb.level,
				now(),
			);
			return success(Number(added.lastInsertRowid));
		},
		saveBand(band) {
			const positions = band.positions === null ? null : JSON.stringify(band.positions);
			const newest = newestBand.get(band.name);
			if (
				newest !== undefined &&
				newest.electrode_count === band.electrodeCount &&
				newest.electrode_width_m === band.electrodeWidth &&
				newest.first_electrode_deg === band.firstElectrodeDegrees &&
				newest.direction === band.direction &&
				newest.positions === positions
			) {
				return newest.id;
			}
			const added = insertBand.run(
				band.name,
				band.electrodeCount,
				band.electrodeWidth,
				band.firstElectrodeDegrees,
				band.direction,
				positions,
				now(),
			);
			return Number(added.lastInsertRowid);
		},
		wornBandId({ name, electrodeCount, electrodeWidth, direction, positions }) {
			const places = positions === null ? null : JSON.stringify(positions);
			return firstBandLike.get(name, electrodeCount, electrodeWidth, direction, places) ?? null;
		},
		latestLimb(personId) {
			const row = newestLimb.get(personId);
			return row === undefined ? null : limbOf(row);
		},
	};
}
