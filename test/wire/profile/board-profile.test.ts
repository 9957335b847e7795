import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { createPattern } from "../../../core/band/patterns.ts";
import {
	configurationOf,
	parseProfile,
	profileJsonSchema,
	type WrittenProfile,
} from "../../../core/wire/profile/board-profile.ts";
import { readPatternFile } from "../../../core/wire/profile/pattern-file.ts";
import { shippedProfiles } from "../../../core/wire/profile/shipped-profiles.ts";
import { createProfile, plain } from "./create-profile.ts";

describe("a profile", () => {
	const wrong: [string, object, string][] = [
		["another format", { format: "x" }, "format"],
		["a later version", { version: 2 }, "version"],
		["an unknown key", { colour: "blue" }, ""],
		["seven electrodes", { electrodeCount: 7 }, "electrodeCount"],
		[
			"a drive that the ring does not have",
			{ pattern: { kind: "named", drive: "skip-9", terminals: "four-terminal" } },
			"pattern",
		],
		[
			"a current above any limit",
			{ drive: { currentMilliamp: 11, frequencyHertz: 50_000 } },
			"drive.currentMilliamp",
		],
		["no current", { drive: { currentMilliamp: 0, frequencyHertz: 50_000 } }, "drive.currentMilliamp"],
		["too few fields", { readings: { kind: "fields", columns: [0, 1] } }, "readings.columns"],
		["a key where lines have none", { sequence: { column: "n" } }, "sequence.column"],
		[
			"a comma for two things",
			{ line: { kind: "separated", separator: ",", hasDecimalComma: true } },
			"line.hasDecimalComma",
		],
		["several lines without a beginning", { frame: { lines: 8 } }, "frame"],
		["lines that do not divide the readings", { frame: { lines: 7, row: 0 } }, "frame.lines"],
		[
			"a range that ends before it starts",
			{ line: { kind: "fixed-columns", ranges: [[3, 3]] } },
			"line.ranges[0]",
		],
		["fewer ranges than readings", { line: { kind: "fixed-columns", ranges: [[0, 3]] } }, "line.ranges"],
		[
			"a listed electrode that is not there",
			{ pattern: { kind: "listed", rows: [[0, 1, 2, 9]] } },
			"pattern",
		],
		["a volt scale of zero", { value: { unit: "count", voltsPerCount: 0 } }, "value.voltsPerCount"],
	];
	test.each(wrong)("%s is told with its place", (_, change, path) => {
		const read = parseProfile({ ...plain, ...change });
		expect(read.ok ? "read" : read.error.path).toBe(path);
	});

	test.each([null, 5, "profile", [], {}])("%j is none", (input) => {
		expect(parseProfile(input).ok).toBe(false);
	});

	test("units become volts", () => {
		const scale = (value: WrittenProfile["value"]) =>
			configurationOf(createProfile({ value, drive: { currentMilliamp: 0.8, frequencyHertz: 1e5 } }))
				.voltsPerUnit;
		expect(scale({ unit: "V" })).toBe(1);
		expect(scale({ unit: "mV" })).toBe(1e-3);
		expect(scale({ unit: "µV" })).toBe(1e-6);
		expect(scale({ unit: "Ω" })).toBe(0.0008);
		expect(scale({ unit: "kΩ" })).toBe(0.8);
		expect(scale({ unit: "count", voltsPerCount: 2.5e-7 })).toBe(2.5e-7);
	});

	test("a listed pattern keeps its order and says whether driven electrodes are read", () => {
		const of = (rows: [number, number, number, number][]) =>
			configurationOf(createProfile({ pattern: { kind: "listed", rows } }));
		expect(
			of([
				[0, 4, 1, 2],
				[0, 4, 5, 6],
			]),
		).toMatchObject({ readingCount: 2, terminals: "four-terminal", drive: "listed" });
		expect([
			...of([
				[0, 4, 0, 4],
				[1, 2, 3, 4],
			]).listedTerminals!,
		]).toEqual([0, 4, 0, 4, 1, 2, 3, 4]);
		expect(of([[0, 4, 0, 4]]).terminals).toBe("two-terminal");
	});

	test("the schema file for editors is up to date", () => {
		const path = join(import.meta.dirname, "../../../core/wire/profile/board-profile.schema.json");
		expect(JSON.parse(readFileSync(path, "utf8"))).toEqual(JSON.parse(JSON.stringify(profileJsonSchema())));
	});
});

test("profiles ship for 8, 16 and 32 electrodes with two and four terminals", () => {
	const kinds = shippedProfiles.map(({ electrodeCount, pattern }) =>
		pattern.kind === "named" ? `${electrodeCount} ${pattern.terminals}` : "",
	);
	expect(new Set(kinds)).toEqual(
		new Set([8, 16, 32].flatMap((count) => [`${count} four-terminal`, `${count} two-terminal`])),
	);
	expect(shippedProfiles.map((profile) => configurationOf(profile).readingCount)).toEqual([
		40, 28, 208, 120, 928, 496,
	]);
});

describe("an order of readings from a file", () => {
	const { terminals } = createPattern(8, "adjacent");
	const rows = Array.from({ length: 40 }, (_, i) => [...terminals.subarray(4 * i, 4 * i + 4)]);

	test.each([
		[
			"from 0, with commas and a heading",
			`source,sink,plus,minus\n${rows.map((row) => row.join(",")).join("\n")}`,
			0,
		],
		[
			"from 1, with blanks and a comment",
			`# order\n${rows.map((row) => row.map((e) => e + 1).join("  ")).join("\r\n")}\n`,
			1,
		],
	])("%s", (_, text, countsFrom) => {
		const read = readPatternFile(text, 8);
		expect(read).toEqual({ ok: true, value: { rows, countsFrom } });
	});

	test("two electrodes that are both driven and read", () => {
		const read = readPatternFile("1;2\n1;3\n2;3", 8);
		expect(read.ok && read.value.rows).toEqual([
			[0, 1, 0, 1],
			[0, 2, 0, 2],
			[1, 2, 1, 2],
		]);
	});

	test.each([
		["", ""],
		["a,b,c,d", ""],
		["0,1,2", "line 1"],
		["0,1,2,3\n0,1", "line 2"],
		["0,1,2,x", "line 1"],
		["0,1,2,8", ""],
		["0,0,2,3", "reading 1"],
		["0,1,3,3", "reading 1"],
	])("'%s' is told with its place", (text, path) => {
		const read = readPatternFile(text, 8);
		expect(read.ok ? "read" : read.error.path).toBe(path);
	});
});

test.each(["\ud800", "two\nlines", "turned \u202e round", "\u0000"])(
	"a name such as %j is refused",
	(name) => {
		const read = parseProfile({ ...plain, name });
		expect(read).toMatchObject({ ok: false, error: { path: "name" } });
	},
);
