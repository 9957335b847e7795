import { z } from "zod";
import { createPattern, isPairRule, patternFromRows } from "../../band/patterns.ts";
import { type InvalidInput, invalid, readAs } from "../../invalid-input.ts";
import { failure, type Result, success } from "../../result.ts";
import type { DriveConfiguration } from "../frame.ts";
import { mostElectrodes, mostReadings } from "../limits.ts";

/**
 * How to read a board that prints numbers and does not speak the line protocol: how a line is cut into fields, which
 * of them are readings and in which order, and what they mean. A profile is a JSON file of this shape; its JSON schema
 * (`profileJsonSchema`) is made from the same description.
 */

/** A field of a line: its position from 0, or the key in front of it. */
const column = z.union(
	[z.int().min(0).max(8191), z.string().min(1).max(40)],
	"a field: its position from 0, or its key",
);
export type Column = z.infer<typeof column>;

const separators = [",", ";", "\t", " ", "|", ":", "/"] as const;

const separated = z.strictObject({
	kind: z.literal("separated"),
	/** A space stands for any run of spaces and tabs; blanks around any other separator do not count. */
	separator: z.enum(separators, `one of ${separators.map((s) => JSON.stringify(s)).join(" ")}`),
	/** Numbers are written 1,5 instead of 1.5; the separator is then no comma. */
	hasDecimalComma: z.boolean().default(false),
});

const fixed = z.strictObject({
	kind: z.literal("fixed-columns"),
	/** First character of each field from 0, and the one behind its last. */
	ranges: z
		.array(z.tuple([z.int().min(0).max(40_959), z.int().min(1).max(40_960)]), "a list of [from, to) pairs")
		.min(1)
		.max(8192),
	hasDecimalComma: z.boolean().default(false),
});

const keyed = z.strictObject({
	kind: z.literal("keyed"),
	/** Between one pair of key and value and the next. */
	separator: z.enum(separators, `one of ${separators.map((s) => JSON.stringify(s)).join(" ")}`),
	/** Between a key and its value. */
	assign: z.enum(["=", ":"], '"=" or ":"'),
	hasDecimalComma: z.boolean().default(false),
});

export const payloadNumbers = [
	"uint8",
	"int16",
	"uint16",
	"int24",
	"int32",
	"uint32",
	"float32",
	"float64",
] as const;
export type PayloadNumber = (typeof payloadNumbers)[number];
export const bytesOfNumber = {
	uint8: 1,
	int16: 2,
	uint16: 2,
	int24: 3,
	int32: 4,
	uint32: 4,
	float32: 4,
	float64: 8,
} as const;

const payload = z.strictObject({
	kind: z.literal("base64"),
	/** The field that holds the base64 text (RFC 4648, section 4). */
	column,
	number: z.enum(payloadNumbers, `one of ${payloadNumbers.join(", ")}`),
	byteOrder: z.enum(["little-endian", "big-endian"], '"little-endian" or "big-endian"'),
	/** Bytes of a length in front of the numbers, in the same byte order; 0 for none. */
	prefixBytes: z.union([z.literal(0), z.literal(1), z.literal(2), z.literal(4)], "0, 1, 2 or 4"),
	/** What the length counts. */
	prefixCounts: z.enum(["bytes", "numbers"], '"bytes" or "numbers"').default("bytes"),
});

const fields = z.strictObject({
	kind: z.literal("fields"),
	/** In the order of the readings. */
	columns: z.array(column, "a list of fields").min(1).max(mostReadings),
});

const run = z.strictObject({
	kind: z.literal("run"),
	/** The first of as many fields in a row as a line has readings. */
	first: z.int("a field's position from 0").min(0).max(8191),
});

const electrode = z
	.int("an electrode from 0")
	.min(0)
	.max(mostElectrodes - 1);

const unfit = /[\p{Cc}\p{Surrogate}\p{Zl}\p{Zp}\u202a-\u202e\u2066-\u2069]/u;

export const boardProfileSchema = z.strictObject(
	{
		format: z.literal("tautline-board-profile", '"tautline-board-profile"'),
		version: z.literal(1, "1, the version that this program reads"),
		name: z
			.string("a name")
			.trim()
			.min(1, "a name")
			.max(80, "a name of at most 80 characters")
			// It stands in lists and addresses: one line in its own direction, and no half characters.
			.refine((name) => !unfit.test(name), "a name of whole, visible characters"),
		note: z.string("a text").max(2000).default(""),
		baudRate: z.int("a whole number of baud").min(300).max(4_000_000).default(115_200),
		electrodeCount: z
			.int("8 to 64 electrodes")
			.min(8, "8 to 64 electrodes")
			.max(mostElectrodes, "8 to 64 electrodes"),
		/** Which pairs carry current and which are read, in the order of the readings. */
		pattern: z.discriminatedUnion(
			"kind",
			[
				z.strictObject({
					kind: z.literal("named"),
					drive: z.string("adjacent, opposite or skip-N").refine(isPairRule, "adjacent, opposite or skip-N"),
					terminals: z.enum(["four-terminal", "two-terminal"], '"four-terminal" or "two-terminal"'),
				}),
				z.strictObject({
					kind: z.literal("listed"),
					/** Source, sink, plus, minus electrode of each reading, from 0. */
					rows: z
						.array(z.tuple([electrode, electrode, electrode, electrode]), "rows of four electrodes")
						.min(1)
						.max(mostReadings),
				}),
			],
			'an object with kind "named" or "listed"',
		),
		/** Only lines that begin so are read, and the beginning is cut off; empty for every line. */
		prefix: z.string("a text").max(80).default(""),
		/** Lines that begin with one of these are comments. */
		comments: z.array(z.string().min(1).max(20), "a list of texts").max(20).default([]),
		line: z.discriminatedUnion(
			"kind",
			[separated, fixed, keyed],
			'an object with kind "separated", "fixed-columns" or "keyed"',
		),
		frame: z
			.strictObject({
				/** Lines that make one frame. */
				lines: z.int("1 to 4096 lines").min(1).max(4096).default(1),
				/** The field that numbers the lines of a frame; null when they are counted from a mark. */
				row: column.nullable().default(null),
				/** The number of a frame's first line. */
				firstRow: z.int().min(0).max(4096).default(0),
				/** A line that begins so stands in front of each frame and holds no reading; null for none. */
				mark: z.string("a text").min(1).max(80).nullable().default(null),
			})
			.default({ lines: 1, row: null, firstRow: 0, mark: null }),
		/** Counts frames by one; gaps are lost frames. */
		sequence: z
			.strictObject({
				column,
				modulus: z
					.int()
					.min(2)
					.max(2 ** 32)
					.default(2 ** 32),
			})
			.nullable()
			.default(null),
		/** The board's clock; without it the time of arrival is taken. */
		time: z
			.strictObject({ column, unit: z.enum(["s", "ms", "µs"], '"s", "ms" or "µs"') })
			.nullable()
			.default(null),
		readings: z.discriminatedUnion(
			"kind",
			[run, fields, payload],
			'an object with kind "run", "fields" or "base64"',
		),
		value: z.strictObject({
			unit: z.enum(["V", "mV", "µV", "Ω", "kΩ", "count"], "V, mV, µV, Ω, kΩ or count"),
			/** V for each count, gain divided out; read only where the unit is count. */
			voltsPerCount: z.number("a number of volts").positive("a number of volts above 0").max(1e3).default(1),
			/** Largest magnitude before the converter clips, in the unit; 0 when unknown. */
			fullScale: z.number("0 or more").min(0).max(1e12).default(0),
			/** The board tells sizes without sign: each reading gets the sign that it has on a uniform disc. */
			isMagnitude: z.boolean().default(false),
		}),
		/** As the board's maker states it: a board of this kind does not report what it drives. */
		drive: z.strictObject({
			currentMilliamp: z
				.number("a current in mA r.m.s.")
				.positive("a current above 0 mA")
				.max(10, "at most 10 mA"),
			frequencyHertz: z.number("a frequency in Hz").min(1).max(10_000_000),
		}),
	},
	"a board profile: an object with format, version, name and more",
);

export type BoardProfile = z.infer<typeof boardProfileSchema>;
/** With everything left out that has a usual value. */
export type WrittenProfile = z.input<typeof boardProfileSchema>;

/** JSON Schema (draft 2020-12) of a profile file, for editors. */
export function profileJsonSchema(): object {
	return z.toJSONSchema(boardProfileSchema, { io: "input", unrepresentable: "any" });
}

/** Reads a profile that was parsed from JSON. @returns it, or the first thing that is wrong and where. */
export function parseProfile(input: unknown): Result<BoardProfile, InvalidInput> {
	const read = readAs(boardProfileSchema, input);
	if (!read.ok) return failure(read.error);
	const profile = read.value as BoardProfile;
	return whyImpossible(profile) ?? success(profile);
}

function whyImpossible(profile: BoardProfile) {
	const { line, frame, readings, electrodeCount } = profile;
	if ("separator" in line && line.hasDecimalComma && line.separator === ",") {
		return invalid("line.hasDecimalComma", "another separator than a comma", "a comma");
	}
	if (line.kind === "keyed" && line.separator === line.assign) {
		return invalid("line.assign", "another character than the separator", line.assign);
	}
	if (line.kind === "fixed-columns") {
		const wrong = line.ranges.findIndex(([from, to]) => to <= from);
		if (wrong >= 0)
			return invalid(`line.ranges[${wrong}]`, "a range that ends behind its start", line.ranges[wrong]);
	}
	for (const [path, one] of columnsOf(profile)) {
		if (line.kind === "keyed" && typeof one !== "string") return invalid(path, "a key", one);
		if (line.kind !== "keyed" && typeof one === "string")
			return invalid(path, "a field's position from 0", one);
		if (line.kind === "fixed-columns" && typeof one === "number" && one >= line.ranges.length) {
			return invalid(path, `one of ${line.ranges.length} ranges, counted from 0`, one);
		}
	}
	if (frame.lines > 1 && frame.row === null && frame.mark === null) {
		return invalid(
			"frame",
			"a row field or a mark, to tell where a frame of several lines begins",
			"neither",
		);
	}
	let readingCount: number;
	try {
		readingCount = patternOf(profile).terminals.length / 4;
	} catch (error) {
		if (!(error instanceof RangeError)) throw error;
		return invalid("pattern", `pairs that a ring of ${electrodeCount} electrodes has`, error.message);
	}
	if (readingCount % frame.lines !== 0) {
		return invalid("frame.lines", `a number of lines that divides ${readingCount} readings`, frame.lines);
	}
	const perLine = readingCount / frame.lines;
	if (
		readings.kind === "run" &&
		line.kind === "fixed-columns" &&
		readings.first + perLine > line.ranges.length
	) {
		return invalid(
			"line.ranges",
			`${readings.first + perLine} ranges, for ${perLine} readings`,
			line.ranges.length,
		);
	}
	if (readings.kind === "fields" && readings.columns.length !== perLine) {
		const expected = `${perLine} fields: ${readingCount} readings by the pattern, in ${frame.lines} lines`;
		return invalid("readings.columns", expected, readings.columns.length);
	}
	return null;
}

function* columnsOf({ frame, sequence, time, readings }: BoardProfile): Generator<[string, Column]> {
	if (frame.row !== null) yield ["frame.row", frame.row];
	if (sequence !== null) yield ["sequence.column", sequence.column];
	if (time !== null) yield ["time.column", time.column];
	if (readings.kind === "base64") yield ["readings.column", readings.column];
	else if (readings.kind === "run") yield ["readings.first", readings.first];
	else for (const [i, one] of readings.columns.entries()) yield [`readings.columns[${i}]`, one];
}

/** The readings of a frame. @throws RangeError when the ring does not have the pairs */
export function patternOf({
	name,
	pattern,
	electrodeCount,
}: Pick<BoardProfile, "name" | "pattern" | "electrodeCount">) {
	return pattern.kind === "named"
		? createPattern(electrodeCount, pattern.drive, pattern.terminals)
		: patternFromRows(name, electrodeCount, pattern.rows);
}

/** The fields that hold the readings of one line, in their order; empty where they are in base64. */
export function readingColumns(profile: BoardProfile): readonly Column[] {
	const { readings, frame } = profile;
	if (readings.kind === "base64") return [];
	if (readings.kind === "fields") return readings.columns;
	const perLine = patternOf(profile).terminals.length / 4 / frame.lines;
	return Array.from({ length: perLine }, (_, i) => readings.first + i);
}

/** What a board of the line protocol would announce, so that everything after the reader is the same. */
export function configurationOf(profile: BoardProfile): DriveConfiguration {
	const { electrodeCount, pattern, value, drive } = profile;
	const { terminals } = patternOf(profile);
	const isListed = pattern.kind === "listed";
	return {
		configuration: 0,
		bandIndex: 0,
		electrodeCount,
		drive: isListed ? "listed" : pattern.drive,
		terminals: isListed ? terminalsOf(terminals) : pattern.terminals,
		readingCount: terminals.length / 4,
		listedTerminals: isListed ? terminals : null,
		currentMilliamp: drive.currentMilliamp,
		frequencyHertz: drive.frequencyHertz,
		gain: 1,
		voltsPerUnit: voltsPerUnit(profile),
		fullScale: value.fullScale,
	};
}

function terminalsOf(terminals: Uint16Array): "four-terminal" | "two-terminal" {
	for (let i = 0; i < terminals.length; i += 4) {
		const [source, sink, plus, minus] = terminals.subarray(i, i + 4);
		if (plus === source || plus === sink || minus === source || minus === sink) return "two-terminal";
	}
	return "four-terminal";
}

function voltsPerUnit({ value, drive }: BoardProfile): number {
	switch (value.unit) {
		case "V":
			return 1;
		case "mV":
			return 1e-3;
		case "µV":
			return 1e-6;
		case "Ω":
			return drive.currentMilliamp / 1000;
		case "kΩ":
			return drive.currentMilliamp;
		case "count":
			return value.voltsPerCount;
	}
}
