/** A session as tables: region means frame by frame, or the raw readings. One table per file, units in the header. */
import type { Result } from "../../core/result.ts";
import type { Fault } from "../contract.ts";
import { csvRow, float32Field, numberField, textField } from "./csv-fields.ts";
import type { leftOutRecords } from "./left-out-record.ts";
import type { SessionDetail, StoredFrame } from "./records.ts";
import type { TrendLookup } from "./trend-lookup.ts";
import { type WrongSpan, wrongSpanOf } from "./wrong-spans.ts";

type Frames = Generator<Result<readonly StoredFrame[], Fault>>;

/** What both tables begin with; `simulated` in every row, so that rows cut out of the file still say it. */
const commonHeader = [
	"session",
	"simulated",
	"person",
	"frame",
	"band",
	"sequence",
	"device time [s]",
	"session time [s]",
	"lost before [frames]",
	"quality [1]",
] as const;

function commonFields(detail: SessionDetail, frame: StoredFrame): string[] {
	const { id, simulated, personCode } = detail.summary;
	return [
		String(id),
		simulated ? "yes" : "no",
		textField(personCode ?? ""),
		String(frame.ordinal),
		String(frame.bandIndex + 1),
		String(frame.sequence),
		(frame.timeMicros / 1e6).toFixed(6),
		(frame.sessionMicros / 1e6).toFixed(6),
		String(frame.lostBefore),
		numberField(frame.quality),
	];
}

/** Pieces of the table of region means: a row for each frame of each band, empty cells before the rest baseline.
 *  `leftOut`: records by ordinal; numbers of the electrodes that were left out stand in each row, beside those
 *  that failed while they were not known to (`wrong`), which makes the row's means wrong. */
export function* trendTable(
	detail: SessionDetail,
	frames: Frames,
	trends: TrendLookup,
	leftOut: ReturnType<typeof leftOutRecords>,
	wrong: readonly WrongSpan[],
): Generator<Result<string, Fault>> {
	// Bands and restarts have series of their own, mostly of the same regions: one column for each region and unit.
	const columns = new Map<string, string>();
	for (const { regions, unit } of detail.series) {
		for (const { id, name } of regions) columns.set(`${id} ${unit}`, `${name} [${unit}]`);
	}
	const keys = [...columns.keys()];
	const header = [
		...commonHeader,
		"electrodes left out",
		"electrodes found failing later",
		...[...columns.values()].map(textField),
	];
	const electrodes = new Map<number, string>();
	let next = 0;
	yield { ok: true, value: csvRow(header) };
	for (const piece of frames) {
		if (!piece.ok) return yield piece;
		let rows = "";
		for (const frame of piece.value) {
			for (; next < leftOut.length && leftOut[next]!.ordinal <= frame.ordinal; next++) {
				const { record } = leftOut[next]!;
				electrodes.set(record.bandIndex, record.electrodes.map(({ number }) => number).join(" "));
			}
			const cells = new Array<string>(keys.length).fill("");
			const series = trends.seriesOf(frame.ordinal)?.series;
			series?.regions.forEach(({ id }, region) => {
				cells[keys.indexOf(`${id} ${series.unit}`)] = float32Field(trends.mean(frame.ordinal, region));
			});
			rows += csvRow([
				...commonFields(detail, frame),
				electrodes.get(frame.bandIndex) ?? "",
				wrongSpanOf(wrong, frame)?.electrodes.join(" ") ?? "",
				...cells,
			]);
		}
		yield { ok: true, value: rows };
	}
}

/** Pieces of the table of raw readings, exactly as received: volts = reading × `volts per unit`. */
export function* readingTable(detail: SessionDetail, frames: Frames): Generator<Result<string, Fault>> {
	const configurations = new Map(detail.configurations.map((one) => [one.id, one]));
	const most = Math.max(0, ...detail.configurations.map((one) => one.readingCount));
	const readings = Array.from({ length: most }, (_, reading) => `reading ${reading + 1}`);
	const header = [...commonHeader, "configuration", "volts per unit [V]", ...readings];
	yield { ok: true, value: csvRow(header) };
	for (const piece of frames) {
		if (!piece.ok) return yield piece;
		let rows = "";
		for (const frame of piece.value) {
			const step = configurations.get(frame.configurationId)?.voltsPerUnit ?? null;
			const cells = Array.from({ length: most }, (_, i) => numberField(frame.values[i] ?? null));
			const settings = [String(frame.configurationId), numberField(step)];
			rows += csvRow([...commonFields(detail, frame), ...settings, ...cells]);
		}
		yield { ok: true, value: rows };
	}
}
