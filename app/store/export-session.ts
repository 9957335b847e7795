/** A stored session as a file for other programs, made in pieces so that no step holds the thread for long. */
import { type Result, success } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { readingTable, trendTable } from "./export-csv.ts";
import { jsonDocument } from "./export-json.ts";
import { leftOutRecords } from "./left-out-record.ts";
import type { SessionDetail, StoredFrame, TrendColumns } from "./records.ts";
import type { Store } from "./store.ts";
import { createTrendLookup, type TrendLookup } from "./trend-lookup.ts";
import { readWrongSpans } from "./wrong-spans.ts";

/** `csv`: region means; `readings-csv`: raw readings; `json`: everything. */
export type ExportFormat = "csv" | "readings-csv" | "json";

export interface SessionExport {
	/** Names the session's number and day only, never the person. */
	readonly fileName: string;
	readonly mediaType: string;
	/** The text in order; ends after the first failure. To be run through once. */
	readonly pieces: Generator<Result<string, Fault>>;
	readonly frameCount: number;
}

/** Frames in a piece, but for the first and the last one: 928 readings each make about 1 MB of text. */
export const FRAMES_IN_PIECE = 100;

/** Up to the frames that there were when the session was looked up, so that one under way comes to an end. */
function* framesOf(store: Store, detail: SessionDetail): Generator<Result<readonly StoredFrame[], Fault>> {
	const { id, frameCount } = detail.summary;
	for (let from = 0; from < frameCount; from += FRAMES_IN_PIECE) {
		yield store.readFrames(id, from, Math.min(FRAMES_IN_PIECE, frameCount - from));
	}
}

function trendsOf(store: Store, detail: SessionDetail): Result<TrendLookup, Fault> {
	const all: TrendColumns[] = [];
	for (const bandIndex of new Set(detail.series.map((series) => series.bandIndex))) {
		const trends = store.readTrends(detail.summary.id, bandIndex);
		if (!trends.ok) return trends;
		all.push(...trends.value);
	}
	return success(createTrendLookup(detail.summary.frameCount, all));
}

/** Without its ending. */
export function sessionFileName({ summary }: SessionDetail): string {
	return `tautline-session-${summary.id}-${summary.startedAt.slice(0, 10)}`;
}

/** @returns `no-such-record` for an unknown session. `exportedBy`: program and version, for the JSON document. */
export function exportSession(
	store: Store,
	sessionId: number,
	format: ExportFormat,
	exportedBy: string,
): Result<SessionExport, Fault> {
	const session = store.session(sessionId);
	if (!session.ok) return session;
	const detail = session.value;
	const frames = framesOf(store, detail);
	const { frameCount } = detail.summary;
	const name = sessionFileName(detail);
	if (format === "readings-csv") {
		const pieces = readingTable(detail, frames);
		return success({ fileName: `${name}-readings.csv`, mediaType: "text/csv", pieces, frameCount });
	}
	const trends = trendsOf(store, detail);
	if (!trends.ok) return trends;
	const events = store.readEvents(sessionId);
	if (!events.ok) return events;
	if (format === "csv") {
		const leftOut = leftOutRecords(events.value);
		const wrong = readWrongSpans(store, sessionId, leftOut);
		if (!wrong.ok) return wrong;
		const pieces = trendTable(detail, frames, trends.value, leftOut, wrong.value);
		return success({ fileName: `${name}.csv`, mediaType: "text/csv", pieces, frameCount });
	}
	const baselines = store.readBaselines(sessionId);
	if (!baselines.ok) return baselines;
	const contacts = store.readContacts(sessionId);
	if (!contacts.ok) return contacts;
	const document = {
		exportedBy,
		detail,
		baselines: baselines.value,
		events: events.value,
		contacts: contacts.value,
		trends: trends.value,
	};
	const pieces = jsonDocument(document, frames);
	return success({ fileName: `${name}.json`, mediaType: "application/json", pieces, frameCount });
}
