import type { Database } from "better-sqlite3";
import { jsonOf } from "./json-column.ts";

export interface Settings {
	/** JSON value; undefined when never saved. */
	get(key: string): unknown;
	save(key: string, value: unknown): void;
}

export function prepareSettings(db: Database, now: () => number): Settings {
	const get = db.prepare<[string], string>("SELECT value FROM settings WHERE key = ?").pluck();
	const save = db.prepare(`
		INSERT INTO settings (key, value, saved_ms) VALUES (?, ?, ?)
		ON CONFLICT (key) DO UPDATE SET value = excluded.value, saved_ms = excluded.saved_ms`);
	return {
		get(key) {
			const text = get.get(key);
			return text === undefined ? undefined : jsonOf(text, `setting ${key}`);
		},
		save(key, value) {
			if (value === undefined) throw new TypeError(`setting ${key}: undefined is no JSON value`);
			save.run(key, JSON.stringify(value), now());
		},
	};
}
