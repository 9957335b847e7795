/** How a person says the pain was: before a sitting, and on the morning after the one before. */
import type { Database } from "better-sqlite3";
import type { CheckIn } from "../contract.ts";

interface CheckInRow {
	readonly told_at: string;
	readonly pain_now: number | null;
	readonly pain_next_morning: number | null;
}

export interface CheckInRecords {
	add(personId: number, checkIn: CheckIn): void;
	/** In the order told. */
	list(personId: number): readonly CheckIn[];
}

export function prepareCheckIns(db: Database): CheckInRecords {
	const insert = db.prepare(
		"INSERT INTO pain_check_ins (person_id, told_at, pain_now, pain_next_morning) VALUES (?, ?, ?, ?)",
	);
	const ofPerson = db.prepare<[number], CheckInRow>(
		"SELECT * FROM pain_check_ins WHERE person_id = ? ORDER BY id",
	);
	return {
		add: (personId, { toldAt, now, nextMorning }) => void insert.run(personId, toldAt, now, nextMorning),
		list: (personId) =>
			ofPerson.all(personId).map((row) => ({
				toldAt: row.told_at,
				now: row.pain_now,
				nextMorning: row.pain_next_morning,
			})),
	};
}
