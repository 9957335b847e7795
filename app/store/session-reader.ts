/** Reads what a session recorded: frames in pieces, baselines, events, contact values and region means. */
import type { Database } from "better-sqlite3";
import { jsonOf } from "./json-column.ts";
import { readReadings } from "./reading-blob.ts";
import type {
	EventKind,
	SessionEvent,
	StoredBaseline,
	StoredContacts,
	StoredFrame,
	StoredTrendSeries,
	TrendColumns,
} from "./records.ts";
import { DamagedRecordError } from "./store-fault.ts";
import { float32From, float64From, uint32From } from "./typed-blob.ts";

interface FrameRow {
	readonly ordinal: number;
	readonly band_index: number;
	readonly sequence: number;
	readonly device_time_us: number;
	readonly session_time_us: number;
	readonly received_ms: number;
	readonly lost_before: number;
	readonly configuration_id: number;
	readonly quality: number;
	readonly readings: Uint8Array;
}

interface BaselineRow {
	readonly band_index: number;
	readonly from_ordinal: number;
	readonly configuration_id: number;
	readonly wire_number: number;
	readonly taken_at: string;
	readonly duration_s: number;
	readonly frame_count: number;
	readonly automatic: number;
	readonly median: Uint8Array;
	readonly noise: Uint8Array;
}

interface EventRow {
	readonly kind: EventKind;
	readonly at: string;
	readonly ordinal: number;
	readonly label: string;
	readonly detail: string;
}

interface ContactRow {
	readonly band_index: number;
	readonly at: string;
	readonly ordinal: number;
	readonly impedance_ohm: Uint8Array;
}

interface TrendRow {
	readonly ordinals: Uint8Array;
	readonly seconds: Uint8Array;
	readonly means: Uint8Array;
}

export interface SessionReader {
	frames(sessionId: number, fromOrdinal: number, limit: number): StoredFrame[];
	ordinalAt(sessionId: number, sessionMicros: number): number;
	baselines(sessionId: number): StoredBaseline[];
	events(sessionId: number): SessionEvent[];
	contacts(sessionId: number): StoredContacts[];
	usableShare(sessionId: number): number | null;
	trends(sessionId: number, series: StoredTrendSeries): TrendColumns;
}

export function prepareSessionReader(db: Database): SessionReader {
	const frames = db.prepare<[number, number, number], FrameRow>(`
		SELECT ordinal, band_index, sequence, device_time_us, device_time_us - sessions.first_time_us AS session_time_us,
			received_ms, lost_before, configuration_id, quality, readings
		FROM frames JOIN sessions ON sessions.id = frames.session_id
		WHERE session_id = ? AND ordinal >= ? ORDER BY ordinal LIMIT ?`);
	const extent = db.prepare<[number], { frame_count: number; first_time_us: number | null }>(
		"SELECT frame_count, first_time_us FROM sessions WHERE id = ?",
	);
	const timeOf = db
		.prepare<[number, number], number>(
			"SELECT device_time_us FROM frames WHERE session_id = ? AND ordinal = ?",
		)
		.pluck();
	const baselines = db.prepare<[number], BaselineRow>(`
		SELECT baselines.*, configurations.wire_number
		FROM baselines JOIN configurations ON configurations.session_id = baselines.session_id
			AND configurations.id = baselines.configuration_id
		WHERE baselines.session_id = ? ORDER BY from_ordinal, baselines.band_index`);
	const events = db.prepare<[number], EventRow>(
		"SELECT kind, at, ordinal, label, detail FROM events WHERE session_id = ? ORDER BY ordinal, id",
	);
	const contacts = db.prepare<[number], ContactRow>(
		"SELECT band_index, at, ordinal, impedance_ohm FROM contacts WHERE session_id = ? ORDER BY ordinal, id",
	);
	const usableShare = db
		.prepare<[number], number | null>("SELECT avg(quality) FROM frames WHERE session_id = ?")
		.pluck();
	const trends = db.prepare<[number, number], TrendRow>(
		"SELECT ordinals, seconds, means FROM trends WHERE session_id = ? AND series_id = ? ORDER BY batch",
	);

	return {
		frames(sessionId, fromOrdinal, limit) {
			return frames.all(sessionId, fromOrdinal, limit).map((row) => ({
				ordinal: row.ordinal,
				bandIndex: row.band_index,
				sequence: row.sequence,
				timeMicros: row.device_time_us,
				sessionMicros: row.session_time_us,
				receivedAt: row.received_ms,
				lostBefore: row.lost_before,
				configurationId: row.configuration_id,
				quality: row.quality,
				values: readReadings(row.readings),
			}));
		},
		ordinalAt(sessionId, sessionMicros) {
			const session = extent.get(sessionId);
			if (session === undefined || session.first_time_us === null) return 0;
			const wanted = session.first_time_us + sessionMicros;
			// Device time never runs backwards, so halving finds the frame without an index over times.
			let low = 0;
			let high = session.frame_count;
			while (low < high) {
				const middle = (low + high) >>> 1;
				const time = timeOf.get(sessionId, middle);
				if (time === undefined)
					throw new DamagedRecordError(`frame ${middle} of session ${sessionId} is gone`);
				if (time < wanted) low = middle + 1;
				else high = middle;
			}
			return low;
		},
		baselines(sessionId) {
			return baselines.all(sessionId).map((row) => ({
				bandIndex: row.band_index,
				fromOrdinal: row.from_ordinal,
				configuration: row.wire_number,
				configurationId: row.configuration_id,
				takenAt: row.taken_at,
				seconds: row.duration_s,
				frameCount: row.frame_count,
				automatic: row.automatic === 1,
				median: float64From(row.median),
				noise: float64From(row.noise),
			}));
		},
		events(sessionId) {
			return events
				.all(sessionId)
				.map((row) => ({ ...row, detail: jsonOf(row.detail, `event of session ${sessionId}`) }));
		},
		contacts(sessionId) {
			return contacts.all(sessionId).map((row) => ({
				bandIndex: row.band_index,
				at: row.at,
				ordinal: row.ordinal,
				ohm: float64From(row.impedance_ohm),
			}));
		},
		usableShare: (sessionId) => usableShare.get(sessionId) ?? null,
		trends(sessionId, series) {
			const rows = trends.all(sessionId, series.id);
			let count = 0;
			for (const row of rows) count += row.ordinals.byteLength / 4;
			const regionCount = series.regions.length;
			const ordinals = new Uint32Array(count);
			const seconds = new Float64Array(count);
			const means = new Float32Array(count * regionCount);
			let at = 0;
			for (const row of rows) {
				const n = row.ordinals.byteLength / 4;
				if (row.seconds.byteLength !== 8 * n || row.means.byteLength !== 4 * n * regionCount) {
					throw new DamagedRecordError(`region means of series ${series.id} in session ${sessionId}`);
				}
				ordinals.set(uint32From(row.ordinals), at);
				seconds.set(float64From(row.seconds), at);
				means.set(float32From(row.means), at * regionCount);
				at += n;
			}
			return { series, ordinals, seconds, means };
		},
	};
}
