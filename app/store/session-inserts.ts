/** The statements that write a session, prepared once and shared by recording and importing. */
import type { Database } from "better-sqlite3";
import type { BoardIdentity } from "../../core/wire/frame.ts";
import { UNMARK_BROKEN_SETS } from "./broken-sets.ts";
import type { FrameRowWriter } from "./frame-batch.ts";
import type {
	NewBaseline,
	NewConfiguration,
	SessionCounters,
	SessionEvent,
	StoredContacts,
	StoredPictureSettings,
	TrendSeries,
} from "./records.ts";
import { blobOf } from "./typed-blob.ts";

export interface SessionRow extends StoredPictureSettings {
	readonly personId: number | null;
	readonly limbId: number | null;
	readonly bandId: number | null;
	readonly origin: "live" | "imported";
	readonly simulated: boolean;
	readonly title: string;
	readonly notes: string;
	readonly appVersion: string;
	readonly algorithmVersion: string;
	readonly board: BoardIdentity | null;
	readonly currentLimitMilliamp: number | null;
	/** Undefined for none. */
	readonly setup: unknown;
	readonly startedAt: string;
	readonly writerPid: number | null;
	readonly now: number;
}

export interface SessionProgress {
	readonly frames: number;
	/** Null before the first frame. */
	readonly firstTimeMicros: number | null;
	readonly durationMicros: number;
	readonly counters: SessionCounters;
	readonly now: number;
}

export interface SessionInserts {
	/** @returns the new session's id. */
	session(row: SessionRow): number;
	configuration(sessionId: number, id: number, configuration: NewConfiguration): void;
	/** Set once for a run of `frame` calls. */
	frame(sessionId: number): FrameRowWriter;
	baseline(sessionId: number, configurationId: number, baseline: NewBaseline): void;
	series(sessionId: number, id: number, series: TrendSeries): void;
	trends(
		sessionId: number,
		seriesId: number,
		batch: number,
		ordinals: Uint8Array,
		seconds: Uint8Array,
		means: Uint8Array,
	): void;
	event(sessionId: number, event: SessionEvent): void;
	contacts(sessionId: number, contacts: StoredContacts): void;
	progress(sessionId: number, progress: SessionProgress): void;
	close(sessionId: number, endedAt: string): void;
}

function json(value: unknown): string {
	return JSON.stringify(value === undefined ? null : value);
}

export function prepareSessionInserts(db: Database): SessionInserts {
	const session = db.prepare(`
		INSERT INTO sessions (person_id, limb_id, band_id, origin, simulated, title, notes, app_version,
			algorithm_version, prior, rule, lambda_by_hand, allows_movement, board, current_limit_ma, setup, started_at, writer_pid,
			last_written_ms, frame_count, duration_us, lost_count, bad_count, bad_by_cause)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 0, 0, 0, 0, '{}')`);
	const configuration = db.prepare(`
		INSERT INTO configurations (session_id, id, band_index, wire_number, electrode_count, drive, terminals,
			current_ma, frequency_hz, gain, volts_per_unit, full_scale, pattern, reading_current_a)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`);
	const frame = db.prepare(`
		INSERT INTO frames (session_id, ordinal, band_index, sequence, device_time_us, received_ms, lost_before,
			configuration_id, quality, readings)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`);
	const baseline = db.prepare(`
		INSERT OR REPLACE INTO baselines (session_id, band_index, from_ordinal, configuration_id, taken_at,
			duration_s, frame_count, automatic, median, noise)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`);
	const series = db.prepare(`
		INSERT INTO trend_series (session_id, id, band_index, algorithm_version, prior, rule, lambda_by_hand,
			allows_movement, lambda, noise_figure, unit, regions)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`);
	const trends = db.prepare(`
		INSERT INTO trends (session_id, series_id, batch, ordinals, seconds, means) VALUES (?, ?, ?, ?, ?, ?)`);
	const event = db.prepare(`
		INSERT INTO events (session_id, kind, at, ordinal, label, detail) VALUES (?, ?, ?, ?, ?, ?)`);
	const contacts = db.prepare(`
		INSERT INTO contacts (session_id, band_index, at, ordinal, impedance_ohm) VALUES (?, ?, ?, ?, ?)`);
	const progress = db.prepare(`
		UPDATE sessions SET frame_count = ?, first_time_us = ?, duration_us = ?, lost_count = ?, bad_count = ?,
			bad_by_cause = ?, last_written_ms = ? WHERE id = ?`);
	const close = db.prepare("UPDATE sessions SET ended_at = ?, closed_cleanly = 1 WHERE id = ?");
	const unmark = db.prepare<[number]>(UNMARK_BROKEN_SETS);

	return {
		session(row) {
			const added = session.run(
				row.personId,
				row.limbId,
				row.bandId,
				row.origin,
				row.simulated ? 1 : 0,
				row.title,
				row.notes,
				row.appVersion,
				row.algorithmVersion,
				row.prior,
				row.rule,
				row.lambdaByHand ?? null,
				row.allowsMovement === true ? 1 : 0,
				row.board === null ? null : json(row.board),
				row.currentLimitMilliamp,
				row.setup === undefined ? null : json(row.setup),
				row.startedAt,
				row.writerPid,
				row.now,
			);
			return Number(added.lastInsertRowid);
		},
		configuration(sessionId, id, given) {
			configuration.run(
				sessionId,
				id,
				given.bandIndex,
				given.configuration,
				given.electrodeCount,
				given.drive,
				given.terminals,
				given.currentMilliamp,
				given.frequencyHertz,
				given.gain,
				given.voltsPerUnit,
				given.fullScale,
				blobOf(given.pattern),
				given.readingCurrentAmpere === null ? null : blobOf(given.readingCurrentAmpere),
			);
		},
		frame(sessionId) {
			return (ordinal, bandIndex, sequence, time, receivedAt, lost, configurationId, quality, readings) => {
				frame.run(
					sessionId,
					ordinal,
					bandIndex,
					sequence,
					time,
					receivedAt,
					lost,
					configurationId,
					quality,
					readings,
				);
			};
		},
		baseline(sessionId, configurationId, given) {
			baseline.run(
				sessionId,
				given.bandIndex,
				given.fromOrdinal,
				configurationId,
				given.takenAt,
				given.seconds,
				given.frameCount,
				given.automatic ? 1 : 0,
				blobOf(given.median),
				blobOf(given.noise),
			);
		},
		series(sessionId, id, given) {
			series.run(
				sessionId,
				id,
				given.bandIndex,
				given.algorithmVersion,
				given.prior,
				given.rule,
				given.lambdaByHand ?? null,
				given.allowsMovement === true ? 1 : 0,
				given.lambda,
				given.noiseFigure,
				given.unit,
				json(given.regions),
			);
		},
		trends(sessionId, seriesId, batch, ordinals, seconds, means) {
			trends.run(sessionId, seriesId, batch, ordinals, seconds, means);
		},
		event(sessionId, { kind, at, ordinal, label, detail }) {
			event.run(sessionId, kind, at, ordinal, label, json(detail));
		},
		contacts(sessionId, { bandIndex, at, ordinal, ohm }) {
			contacts.run(sessionId, bandIndex, at, ordinal, blobOf(ohm));
		},
		progress(sessionId, now) {
			let bad = 0;
			for (const lines of Object.values(now.counters.bad)) bad += lines;
			progress.run(
				now.frames,
				now.firstTimeMicros,
				now.durationMicros,
				now.counters.lost,
				bad,
				json(now.counters.bad),
				now.now,
				sessionId,
			);
		},
		close(sessionId, endedAt) {
			close.run(endedAt, sessionId);
			unmark.run(sessionId);
		},
	};
}
