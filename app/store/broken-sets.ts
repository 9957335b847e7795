/** Sets that had begun and were never stored, because the app was ended in their middle: told by their sessions' events. */
import type { Database } from "better-sqlite3";
import { toRfc3339 } from "./date-time.ts";

/** Label of the `status` event with which a set begins; its detail is a `BegunSet`. */
export const SET_BEGUN = "set begun";

export interface BegunSet {
	readonly exercise: string;
	/** 1 for the first of its exercise. */
	readonly set: number;
	/** The board's clock, s, as the set is stored with. */
	readonly start: number;
}

export interface BrokenSets {
	/** Marks them at the last frame that was kept. */
	mark(sessionId: number, lastWrittenMs: number): void;
}

export function prepareBrokenSets(db: Database): BrokenSets {
	const insert = db.prepare<{ session: number; at: string; begun: string }>(`
		INSERT INTO events (session_id, kind, at, ordinal, label, detail)
		SELECT begun.session_id, 'mark', @at, max(0, sessions.frame_count - 1),
			'Set broken off: ' || json_extract(begun.detail, '$.exercise') || ', set ' || json_extract(begun.detail, '$.set'),
			json_set(begun.detail, '$.brokenOff', json('true'))
		FROM events AS begun JOIN sessions ON sessions.id = begun.session_id
		WHERE begun.session_id = @session AND begun.kind = 'status' AND begun.label = @begun AND NOT EXISTS (
			SELECT 1 FROM sets
			WHERE sets.session_id = begun.session_id AND sets.start_s = json_extract(begun.detail, '$.start'))`);
	return {
		mark(session, lastWrittenMs) {
			insert.run({ session, at: toRfc3339(lastWrittenMs), begun: SET_BEGUN });
		},
	};
}

/** For a session that was taken for left open and has gone on: what was marked is not so. */
export const UNMARK_BROKEN_SETS = `
	DELETE FROM events WHERE session_id = ? AND kind = 'mark' AND json_extract(detail, '$.brokenOff') IS NOT NULL`;
