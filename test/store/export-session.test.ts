import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { csvRow, float32Field, numberField, textField } from "../../app/store/csv-fields.ts";
import { type ExportFormat, exportSession } from "../../app/store/export-session.ts";
import type { Store } from "../../app/store/store.ts";
import {
	createConfiguration,
	createFrame,
	createOpenStore,
	newSession,
	readingsOf,
	series,
	unwrap,
} from "./create-store.ts";
import { parseCsv } from "./parse-csv.ts";

/** Two bands of 3 and 2 frames; the first band's last two have region means. */
function createSession(store: Store, code = "P-01"): number {
	const person = unwrap(
		store.savePerson({ id: null, code, displayName: "Invented Name", affectedSide: "left" }),
	);
	const recorder = unwrap(store.startSession({ ...newSession, personId: person.id }));
	recorder.addConfiguration(createConfiguration());
	recorder.addConfiguration(
		createConfiguration({
			bandIndex: 1,
			drive: "listed",
			readingCount: 2,
			// the second reading takes in electrode 1 of the first band
			pattern: Uint16Array.of(0, 1, 2, 3, 4, 65, 6, 7),
			voltsPerUnit: 1,
		}),
	);
	const seriesId = recorder.addSeries(series);
	recorder.appendFrame(createFrame(0), 1e12, 0, 1);
	for (let i = 1; i < 3; i++) {
		const ordinal = recorder.appendFrame(createFrame(i), 1e12 + i, i - 1, 0.5);
		recorder.appendTrend(seriesId, ordinal, Float32Array.of(0.1 * i, -1e-7));
	}
	for (let i = 3; i < 5; i++) {
		const values = Float64Array.of(-0.09460946, i);
		recorder.appendFrame(createFrame(i, { bandIndex: 1, values }), 1e12 + i, 0, 1);
	}
	recorder.appendBaseline({
		bandIndex: 0,
		fromOrdinal: 0,
		takenAt: "2026-03-01T09:59:58.000+01:00",
		seconds: 3,
		frameCount: 90,
		automatic: true,
		configuration: 1,
		median: readingsOf(1),
		noise: readingsOf(2),
	});
	recorder.appendContacts(0, Float64Array.of(250, Number.NaN));
	recorder.appendEvent("mark", "hold", null);
	unwrap(recorder.close());
	return recorder.sessionId;
}

function textOf(store: Store, sessionId: number, format: ExportFormat): string {
	const made = unwrap(exportSession(store, sessionId, format, "Tautline test"));
	return [...made.pieces].map(unwrap).join("");
}

test("the table of region means: a row for each frame, units in the header, empty where there is nothing", () => {
	const { store } = createOpenStore();
	const id = createSession(store);
	const head = `${id},yes,P-01`;
	// Written out by hand from what createSession stored.
	expect(textOf(store, id, "csv").split("\r\n")).toEqual([
		"session,simulated,person,frame,band,sequence,device time [s],session time [s],lost before [frames],quality [1],electrodes left out,electrodes found failing later,Rectus femoris [S/m],Vastus medialis [S/m]",
		`${head},0,1,0,1.000000,0.000000,0,1,,,,`,
		`${head},1,1,1,1.033333,0.033333,0,0.5,,,0.1,-1e-7`,
		`${head},2,1,2,1.066666,0.066666,1,0.5,,,0.2,-1e-7`,
		`${head},3,2,3,1.099999,0.099999,0,1,,,,`,
		`${head},4,2,4,1.133332,0.133332,0,1,,,,`,
		"",
	]);
});

test("the table of raw readings: as received, with what turns them into volts", () => {
	const { store } = createOpenStore();
	const id = createSession(store);
	const rows = parseCsv(textOf(store, id, "readings-csv"));
	expect(rows.map((row) => row.length)).toEqual(Array(6).fill(10 + 2 + 208));
	expect(rows[0]!.slice(10, 14)).toEqual(["configuration", "volts per unit [V]", "reading 1", "reading 2"]);
	expect(rows[2]!.slice(10)).toEqual(["1", "0.000001", ...[...readingsOf(1)].map(String)]);
	expect(rows[4]!.slice(10, 15)).toEqual(["2", "1", "-0.09460946", "3", ""]);
});

test("the document holds everything, says what made it, and leaves out what names a person or thing", () => {
	const { store } = createOpenStore();
	const id = createSession(store);
	const text = textOf(store, id, "json");
	const document = JSON.parse(text);
	expect(document).toMatchObject({
		format: "tautline-session",
		schemaVersion: 1,
		simulated: true,
		exportedBy: "Tautline test",
		session: {
			id,
			personCode: "P-01",
			frameCount: 5,
			appVersion: "0.0.0-test",
			algorithmVersion: "test-1",
			prior: "diagonal",
			rule: "noise-figure",
			currentLimitMilliamp: 1,
		},
		board: { board: "bench", firmware: "1.2", simulated: true },
		configurations: [
			{ id: 1, bandIndex: 0, gain: 10, voltsPerUnit: 1e-6 },
			{ id: 2, bandIndex: 1, readingCount: 2 },
		],
		baselines: [{ fromOrdinal: 0, median: [...readingsOf(1)], noise: [...readingsOf(2)] }],
		trendSeries: [{ id: 1, lambda: 0.25, noiseFigure: 0.5, unit: "S/m", regions: series.regions }],
		events: [{ kind: "mark", label: "hold" }],
		contacts: [{ ohm: [250, null] }],
	});
	expect(document.configurations[0].pattern).toHaveLength(208);
	expect(document.configurations[0].pattern[1]).toEqual([12, 3, 10, 1]);
	expect(document.configurations[1].pattern).toEqual([
		[0, 1, 2, 3],
		[4, "0:1", 6, 7],
	]);
	expect(document.frames).toHaveLength(5);
	expect(document.frames[0]).toMatchObject({ values: [...readingsOf(0)], series: null, regionMeans: null });
	expect(document.frames[1]).toMatchObject({ sequence: 1, timeMicros: 1_033_333, series: 1 });
	expect(document.frames[1].regionMeans.map(Math.fround)).toEqual([0.1, -1e-7].map(Math.fround));
	expect(document.frames[4].values).toEqual([-0.09460946, 4]);
	expect(text).not.toContain("Invented Name");
	expect(text).not.toContain(newSession.board.serial);
});

test("a session without a frame is a table with a header, and a document without frames", () => {
	const { store } = createOpenStore();
	const recorder = unwrap(store.startSession(newSession));
	unwrap(recorder.close());
	expect(parseCsv(textOf(store, recorder.sessionId, "csv"))).toHaveLength(1);
	expect(parseCsv(textOf(store, recorder.sessionId, "readings-csv"))).toHaveLength(1);
	expect(JSON.parse(textOf(store, recorder.sessionId, "json")).frames).toEqual([]);
});

test("a long session comes in pieces that fit together", () => {
	const { store } = createOpenStore();
	const recorder = unwrap(store.startSession(newSession));
	recorder.addConfiguration(createConfiguration());
	for (let i = 0; i < 350; i++) recorder.appendFrame(createFrame(i), 0, 0, 1);
	unwrap(recorder.close());
	const frames = parseCsv(textOf(store, recorder.sessionId, "csv")).slice(1);
	expect(frames.map((row) => Number(row[3]))).toEqual(Array.from({ length: 350 }, (_, i) => i));
	expect(JSON.parse(textOf(store, recorder.sessionId, "json")).frames).toHaveLength(350);
});

test("is named by number and day, and tells a session that is not there", () => {
	const { store } = createOpenStore();
	const id = createSession(store);
	for (const [format, fileName, mediaType] of [
		["csv", `tautline-session-${id}-2026-03-01.csv`, "text/csv"],
		["readings-csv", `tautline-session-${id}-2026-03-01-readings.csv`, "text/csv"],
		["json", `tautline-session-${id}-2026-03-01.json`, "application/json"],
	] as const) {
		const made = unwrap(exportSession(store, id, format, "t"));
		expect(made).toMatchObject({ fileName, mediaType, frameCount: 5 });
	}
	expect(exportSession(store, 5, "csv", "t")).toEqual({
		ok: false,
		error: { kind: "no-such-record", what: "session", id: 5 },
	});
});

describe("fields", () => {
	// What a spreadsheet takes for a formula: OWASP, "CSV Injection".
	test.each(["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", '=HYPERLINK("http://x","y")'])(
		"free text that a spreadsheet would run is defused: %j",
		(text) => {
			const { store } = createOpenStore();
			const rows = parseCsv(textOf(store, createSession(store, text), "csv"));
			expect(rows[1]![2]).toBe(`'${text}`);
		},
	);

	test("any text survives the way through a table", () => {
		const texts = fc.array(fc.string({ unit: "binary" }), { minLength: 1, maxLength: 5 });
		fc.assert(
			fc.property(texts, (fields) => {
				const [row, ...more] = parseCsv(csvRow(fields.map(textField)));
				expect(more).toEqual([]);
				expect(row!.map((field, i) => (field === fields[i] ? field : field.slice(1)))).toEqual(fields);
			}),
		);
	});

	test("a float32 is written as short as it reads back the same", () => {
		fc.assert(
			fc.property(fc.float({ noNaN: true, noDefaultInfinity: true }), (value) => {
				expect(Math.fround(Number(float32Field(value)))).toBe(value + 0);
			}),
		);
		expect(float32Field(Math.fround(0.1))).toBe("0.1");
		expect(float32Field(Number.NaN)).toBe("");
	});

	test("a missing number is an empty cell, never 0", () => {
		expect([null, Number.NaN, Number.POSITIVE_INFINITY, 0, -1.5].map(numberField)).toEqual([
			"",
			"",
			"",
			"0",
			"-1.5",
		]);
	});
});
