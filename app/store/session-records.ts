/** Lists sessions and tells all about one, save its frames. */
import type { Database } from "better-sqlite3";
import { z } from "zod";
import { failure, type Result, success } from "../../core/result.ts";
import type { BoardIdentity } from "../../core/wire/frame.ts";
import type { Fault, RequestArgument, SessionSummary } from "../contract.ts";
import { jsonAs, jsonOf } from "./json-column.ts";
import { isLeftOpen } from "./left-open.ts";
import { type BandRow, bandOf, type LimbRow, limbOf } from "./people.ts";
import type { Prior, Rule, SessionDetail, StoredConfiguration, StoredTrendSeries } from "./records.ts";
import { float64From, uint16From } from "./typed-blob.ts";

interface SessionRow {
	readonly id: number;
	readonly person_id: number | null;
	readonly person_code: string | null;
	readonly limb_id: number | null;
	readonly band_id: number | null;
	readonly side: "left" | "right" | null;
	readonly origin: "live" | "imported";
	readonly simulated: number;
	readonly title: string;
	readonly notes: string;
	readonly app_version: string;
	readonly algorithm_version: string;
	readonly prior: Prior;
	readonly rule: Rule;
	readonly lambda_by_hand: number | null;
	readonly allows_movement: number;
	readonly board: string | null;
	readonly current_limit_ma: number | null;
	readonly setup: string | null;
	readonly started_at: string;
	readonly ended_at: string | null;
	readonly closed_cleanly: number | null;
	readonly writer_pid: number | null;
	readonly last_written_ms: number;
	readonly frame_count: number;
	readonly duration_us: number;
	readonly lost_count: number;
	readonly bad_count: number;
	readonly bad_by_cause: string;
}

interface ConfigurationRow {
	readonly id: number;
	readonly band_index: number;
	readonly wire_number: number;
	readonly electrode_count: number;
	readonly drive: string;
	readonly terminals: "four-terminal" | "two-terminal";
	readonly current_ma: number;
	readonly frequency_hz: number;
	readonly gain: number;
	readonly volts_per_unit: number;
	readonly full_scale: number;
	readonly pattern: Uint8Array;
	readonly reading_current_a: Uint8Array | null;
}

interface SeriesRow {
	readonly id: number;
	readonly band_index: number;
	readonly algorithm_version: string;
	readonly prior: Prior;
	readonly rule: Rule;
	readonly lambda_by_hand: number | null;
	readonly allows_movement: number;
	readonly lambda: number;
	readonly noise_figure: number;
	readonly unit: "S/m" | "relative";
	readonly regions: string;
}

export const boardSchema: z.ZodType<BoardIdentity> = z.object({
	board: z.string(),
	firmware: z.string(),
	serial: z.string(),
	protocolVersion: z.number(),
	bandCount: z.number(),
	bootNumber: z.number(),
	simulated: z.boolean(),
});
const badSchema = z.record(z.string(), z.number());
const regionsSchema = z.array(z.object({ id: z.string(), name: z.string() }));

function configurationOf(row: ConfigurationRow): StoredConfiguration {
	const pattern = uint16From(row.pattern);
	return {
		id: row.id,
		configuration: row.wire_number,
		bandIndex: row.band_index,
		electrodeCount: row.electrode_count,
		drive: row.drive,
		terminals: row.terminals,
		readingCount: pattern.length / 4,
		listedTerminals: row.drive === "listed" ? pattern : null,
		currentMilliamp: row.current_ma,
		frequencyHertz: row.frequency_hz,
		gain: row.gain,
		voltsPerUnit: row.volts_per_unit,
		fullScale: row.full_scale,
		pattern,
		readingCurrentAmpere: row.reading_current_a === null ? null : float64From(row.reading_current_a),
	};
}

export interface SessionRecords {
	list(filter: RequestArgument<"listSessions">): { total: number; sessions: SessionSummary[] };
	has(sessionId: number): boolean;
	detail(sessionId: number): Result<SessionDetail, Fault>;
	series(sessionId: number): StoredTrendSeries[];
	saveNotes(notes: RequestArgument<"saveSessionNotes">): Result<null, Fault>;
}

export function prepareSessionRecords(db: Database, now: () => number): SessionRecords {
	const select = `
		SELECT sessions.*, people.code AS person_code, limbs.side
		FROM sessions LEFT JOIN people ON people.id = sessions.person_id LEFT JOIN limbs ON limbs.id = sessions.limb_id`;
	const count = db.prepare<{ person: number | null }, { total: number }>(
		"SELECT count(*) AS total FROM sessions WHERE removing = 0 AND (@person IS NULL OR person_id = @person)",
	);
	const page = db.prepare<{ person: number | null; limit: number; offset: number }, SessionRow>(
		`${select} WHERE removing = 0 AND (@person IS NULL OR sessions.person_id = @person)
		ORDER BY sessions.id DESC LIMIT @limit OFFSET @offset`,
	);
	const one = db.prepare<[number], SessionRow>(`${select} WHERE sessions.id = ? AND removing = 0`);
	const any = db.prepare<[number], number>("SELECT 1 FROM sessions WHERE id = ? AND removing = 0").pluck();
	const limb = db.prepare<[number], LimbRow>("SELECT * FROM limbs WHERE id = ?");
	const band = db.prepare<[number], BandRow>("SELECT * FROM bands WHERE id = ?");
	const configurations = db.prepare<[number], ConfigurationRow>(
		"SELECT * FROM configurations WHERE session_id = ? ORDER BY id",
	);
	const series = db.prepare<[number], SeriesRow>(
		"SELECT * FROM trend_series WHERE session_id = ? ORDER BY id",
	);
	const saveNotes = db.prepare("UPDATE sessions SET title = ?, notes = ? WHERE id = ?");

	function summaryOf(row: SessionRow): SessionSummary {
		const isOpen = row.closed_cleanly === null && !isLeftOpen(row.writer_pid, row.last_written_ms, now());
		return {
			id: row.id,
			personId: row.person_id,
			personCode: row.person_code,
			title: row.title,
			notes: row.notes,
			startedAt: row.started_at,
			durationSeconds: row.duration_us / 1e6,
			frameCount: row.frame_count,
			lostCount: row.lost_count,
			badCount: row.bad_count,
			simulated: row.simulated === 1,
			origin: row.origin,
			side: row.side,
			closedCleanly: row.closed_cleanly === 1 || isOpen,
		};
	}

	function seriesOf(sessionId: number): StoredTrendSeries[] {
		return series.all(sessionId).map((row) => ({
			id: row.id,
			bandIndex: row.band_index,
			algorithmVersion: row.algorithm_version,
			prior: row.prior,
			rule: row.rule,
			lambdaByHand: row.lambda_by_hand,
			allowsMovement: row.allows_movement === 1,
			lambda: row.lambda,
			noiseFigure: row.noise_figure,
			unit: row.unit,
			regions: jsonAs(regionsSchema, row.regions, `series ${row.id} of session ${sessionId}`),
		}));
	}

	return {
		list(filter) {
			const { total } = count.get({ person: filter.personId })!;
			const rows = page.all({ person: filter.personId, limit: filter.limit, offset: filter.offset });
			return { total, sessions: rows.map(summaryOf) };
		},
		has: (sessionId) => any.get(sessionId) !== undefined,
		detail(sessionId) {
			const row = one.get(sessionId);
			if (row === undefined) return failure({ kind: "no-such-record", what: "session", id: sessionId });
			const limbRow = row.limb_id === null ? undefined : limb.get(row.limb_id);
			const bandRow = row.band_id === null ? undefined : band.get(row.band_id);
			return success({
				summary: summaryOf(row),
				appVersion: row.app_version,
				algorithmVersion: row.algorithm_version,
				prior: row.prior,
				rule: row.rule,
				lambdaByHand: row.lambda_by_hand,
				allowsMovement: row.allows_movement === 1,
				endedAt: row.ended_at,
				badByCause: jsonAs(badSchema, row.bad_by_cause, `bad lines of session ${sessionId}`),
				board: row.board === null ? null : jsonAs(boardSchema, row.board, `board of session ${sessionId}`),
				currentLimitMilliamp: row.current_limit_ma,
				limb: limbRow === undefined ? null : limbOf(limbRow),
				band: bandRow === undefined ? null : bandOf(bandRow),
				setup: row.setup === null ? null : jsonOf(row.setup, `set-up of session ${sessionId}`),
				configurations: configurations.all(sessionId).map(configurationOf),
				series: seriesOf(sessionId),
			});
		},
		series: seriesOf,
		saveNotes({ sessionId, title, notes }) {
			const { changes } = saveNotes.run(title, notes, sessionId);
			return changes === 0
				? failure({ kind: "no-such-record", what: "session", id: sessionId })
				: success(null);
		},
	};
}
