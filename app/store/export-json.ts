/**
 * A whole session as one JSON document (RFC 8259): settings, baselines, events, raw readings, region means, with the
 * versions of what made them. A value that is no finite number is null. What names a person or a thing outside the
 * study is left out: the display name and the board's serial number.
 */
import { electrodeText } from "../../core/band/board-electrode.ts";
import type { Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import type {
	SessionDetail,
	SessionEvent,
	StoredBaseline,
	StoredConfiguration,
	StoredContacts,
	StoredFrame,
} from "./records.ts";
import type { TrendLookup } from "./trend-lookup.ts";

/** Rises when a reader of the present one would misread a new file. */
export const EXPORT_SCHEMA_VERSION = 1;

const units = {
	readings: "the configuration's unit: volts = reading × voltsPerUnit",
	timeMicros: "µs, device clock",
	sessionMicros: "µs since the session's first frame",
	receivedAt: "ms since 1970-01-01 UTC",
	regionMeans: "the series' unit",
	median: "as readings",
	noise: "as readings, standard deviation at rest",
	contacts: "ohm",
	limb: "m",
	currentMilliamp: "mA r.m.s.",
	frequencyHertz: "Hz",
	quality: "share of usable readings, 0 to 1",
	pattern:
		"electrodes from 0; 'b:e' is electrode e of band b, where that is another band than the configuration's",
} as const;

export interface JsonSession {
	readonly exportedBy: string;
	readonly detail: SessionDetail;
	readonly baselines: readonly StoredBaseline[];
	readonly events: readonly SessionEvent[];
	readonly contacts: readonly StoredContacts[];
	readonly trends: TrendLookup;
}

/** A number for the configuration's own band, so that files of single bands hold only numbers. */
function electrodeName(number: number): number | string {
	const name = electrodeText(number);
	return name.includes(":") ? name : number;
}

function configurationOf(one: StoredConfiguration): unknown {
	const { pattern, listedTerminals: _, readingCurrentAmpere, ...settings } = one;
	const rows = Array.from({ length: one.readingCount }, (_, row) => [
		...Array.from(pattern.subarray(4 * row, 4 * row + 4), electrodeName),
	]);
	return {
		...settings,
		patternColumns: ["source", "sink", "plus", "minus"],
		pattern: rows,
		readingCurrentAmpere: readingCurrentAmpere === null ? null : [...readingCurrentAmpere],
	};
}

function headOf(session: JsonSession): Record<string, unknown> {
	const { detail } = session;
	const { personId: _, ...summary } = detail.summary;
	let board: Record<string, unknown> | null = null;
	if (detail.board !== null) {
		const { serial: __, ...rest } = detail.board;
		board = rest;
	}
	return {
		format: "tautline-session",
		schemaVersion: EXPORT_SCHEMA_VERSION,
		simulated: summary.simulated,
		exportedBy: session.exportedBy,
		units,
		session: {
			...summary,
			endedAt: detail.endedAt,
			badByCause: detail.badByCause,
			appVersion: detail.appVersion,
			algorithmVersion: detail.algorithmVersion,
			prior: detail.prior,
			rule: detail.rule,
			lambdaByHand: detail.lambdaByHand,
			allowsMovement: detail.allowsMovement,
			currentLimitMilliamp: detail.currentLimitMilliamp,
		},
		board,
		limb: detail.limb,
		band: detail.band,
		setup: detail.setup,
		configurations: detail.configurations.map(configurationOf),
		baselines: session.baselines.map((one) => ({ ...one, median: [...one.median], noise: [...one.noise] })),
		trendSeries: detail.series,
		events: session.events,
		contacts: session.contacts.map((one) => ({ ...one, ohm: [...one.ohm] })),
	};
}

function frameOf(frame: StoredFrame, trends: TrendLookup): unknown {
	const series = trends.seriesOf(frame.ordinal)?.series ?? null;
	return {
		...frame,
		values: [...frame.values],
		series: series?.id ?? null,
		// Shortened to what a float32 tells.
		regionMeans:
			series?.regions.map((_, region) => Number(trends.mean(frame.ordinal, region).toPrecision(9))) ?? null,
	};
}

/** Pieces of the document. */
export function* jsonDocument(
	session: JsonSession,
	frames: Generator<Result<readonly StoredFrame[], Fault>>,
): Generator<Result<string, Fault>> {
	yield { ok: true, value: `${JSON.stringify(headOf(session)).slice(0, -1)},"frames":[` };
	let separator = "\n";
	for (const piece of frames) {
		if (!piece.ok) return yield piece;
		let text = "";
		for (const frame of piece.value) {
			text += separator + JSON.stringify(frameOf(frame, session.trends));
			separator = ",\n";
		}
		yield { ok: true, value: text };
	}
	yield { ok: true, value: "\n]}\n" };
}
