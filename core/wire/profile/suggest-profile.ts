import type { PairRule, Terminals } from "../../band/patterns.ts";
import { longestLine } from "../limits.ts";
import type { BoardProfile, Column, WrittenProfile } from "./board-profile.ts";

/** What a field looks like over the sample's lines. */
export interface SeenColumn {
	readonly column: Column;
	/** Its heading or key; null when it has none. */
	readonly name: string | null;
	readonly kind: "counter" | "time" | "row" | "reading" | "text";
	/** As in the first line of data. */
	readonly sample: string;
}

export interface SuggestedPattern {
	readonly electrodeCount: number;
	readonly drive: PairRule;
	readonly terminals: Terminals;
	readonly readingCount: number;
}

export interface Suggestion {
	/** Ready to be looked over: currents and, where the numbers do not tell, units are to be filled in by a person. */
	readonly profile: WrittenProfile;
	readonly columns: readonly SeenColumn[];
	/** Patterns that have as many readings as the lines; the first is in the profile. */
	readonly patterns: readonly SuggestedPattern[];
}

export type Line = BoardProfile["line"];
type Separator = Extract<Line, { kind: "separated" }>["separator"];

interface Cut {
	readonly line: Line;
	readonly rows: readonly (readonly string[])[];
	readonly keys: readonly string[] | null;
	readonly heading: readonly string[] | null;
	readonly comments: readonly string[];
}

const mostLines = 2000;
/** To see how lines are cut. */
const enoughLines = 200;
/** Fewer lines do not tell a counter from a reading. */
const fewestLines = 2;
const mostDrives = 64;

/**
 * Finds out how the lines of an unknown board are written: how they are cut, which fields count frames, number lines
 * or tell the time, and which patterns have as many readings as are left. A first guess for a person to look over.
 *
 * @param given how a person says that lines are cut; only what the fields hold is guessed then
 * @returns null when no two lines hold the same number of numbers
 */
export function suggestProfile(text: string, given: Line | null = null): Suggestion | null {
	const lines = text
		.split(/\r\n|\r|\n/)
		.filter((line) => line.length < longestLine && line.trim() !== "")
		.slice(0, mostLines);
	// The last line, and the first, may be cut off where the sample was taken.
	const line = given ?? bestCut(lines.slice(0, enoughLines))?.line ?? null;
	const cut = line === null ? null : tryCut(lines, line);
	if (cut === null) return null;
	const columns = cut.rows[0]!.map((_, at) => seen(cut, at));
	const places = new Map(columns.map(({ column }, at) => [column, at]));
	const placeOf = ({ column }: SeenColumn): number => places.get(column)!;
	const byKind = (kind: SeenColumn["kind"]) => columns.filter((one) => one.kind === kind);
	const readings = byKind("reading");
	const row = byKind("row")[0];
	const lineCount = row === undefined ? 1 : cycleOf(valuesAt(cut, placeOf(row)))!.length;
	const patterns = patternsWith(readings.length * lineCount);
	const pattern = patterns[0] ?? null;
	const time = byKind("time")[0];
	const counter = byKind("counter")[0];
	const values = cut.rows.flatMap((fields) =>
		readings.map((one) => numberOf(fields[placeOf(one)]!, cut.line.hasDecimalComma)),
	);
	const profile: WrittenProfile = {
		format: "tautline-board-profile",
		version: 1,
		name: "My board",
		electrodeCount: pattern?.electrodeCount ?? 16,
		pattern: {
			kind: "named",
			drive: pattern?.drive ?? "adjacent",
			terminals: pattern?.terminals ?? "four-terminal",
		},
		comments: [...cut.comments],
		line: cut.line,
		frame: {
			lines: lineCount,
			row: row?.column ?? null,
			firstRow: row === undefined ? 0 : cycleOf(valuesAt(cut, placeOf(row)))!.first,
			mark: null,
		},
		sequence: counter === undefined ? null : { column: counter.column },
		time: time === undefined ? null : { column: time.column, unit: unitOf(valuesAt(cut, placeOf(time))) },
		readings: inOneRun(readings.map((one) => one.column)),
		value: {
			unit: valueUnit(values),
			isMagnitude: pattern?.terminals === "four-terminal" && values.every((value) => value >= 0),
		},
		drive: { currentMilliamp: 1, frequencyHertz: 50_000 },
	};
	return { profile, columns, patterns };
}

function inOneRun(columns: readonly Column[]): WrittenProfile["readings"] {
	const first = columns[0];
	const isRun = typeof first === "number" && columns.every((column, i) => column === first + i);
	return isRun ? { kind: "run", first } : { kind: "fields", columns: [...columns] };
}

// ---- How lines are cut ------------------------------------------------------------------------------------------

/** The way of cutting that gives most lines the same, largest number of numbers. */
function bestCut(lines: readonly string[]): Cut | null {
	let best: Cut | null = null;
	let bestScore = 0;
	for (const line of waysToCut()) {
		const cut = tryCut(lines, line);
		if (cut === null) continue;
		const numbers = cut.rows[0]!.filter(
			(field) => !Number.isNaN(numberOf(field, line.hasDecimalComma)),
		).length;
		const score = numbers * cut.rows.length;
		if (score > bestScore) {
			best = cut;
			bestScore = score;
		}
	}
	return best;
}

function* waysToCut(): Generator<Line> {
	// Keys first: a line of `a=1,b=2` cut at commas has no numbers, so they do not compete.
	for (const assign of ["=", ":"] as const) {
		for (const separator of [",", ";", "\t", " ", "|"] as const) {
			yield { kind: "keyed", separator, assign, hasDecimalComma: false };
			if (separator !== ",") yield { kind: "keyed", separator, assign, hasDecimalComma: true };
		}
	}
	for (const separator of [",", ";", "\t", "|", ":", "/", " "] as const) {
		yield { kind: "separated", separator, hasDecimalComma: false };
		if (separator !== ",") yield { kind: "separated", separator, hasDecimalComma: true };
	}
}

function tryCut(lines: readonly string[], line: Line): Cut | null {
	if (line.kind === "fixed-columns") return fixedCut(lines, line);
	const fields = lines.map((text) => fieldsOf(text, line.separator));
	const counts = new Map<number, number>();
	for (const one of fields) counts.set(one.length, (counts.get(one.length) ?? 0) + 1);
	const usual = [...counts].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0];
	if (usual === undefined || usual[1] < fewestLines) return null;

	const whole = fields.filter((one) => one.length === usual[0]);
	if (line.kind === "keyed") return keyedCut(whole, line);
	const isData = (one: readonly string[]) =>
		one.some((field) => !Number.isNaN(numberOf(field, line.hasDecimalComma)));
	const rows = whole.filter(isData);
	if (rows.length < fewestLines) return null;
	const heading = whole.find((one) => !isData(one)) ?? null;
	return { line, rows, keys: null, heading, comments: commentsOf(lines, fields, usual[0], isData) };
}

function fixedCut(lines: readonly string[], line: Extract<Line, { kind: "fixed-columns" }>): Cut | null {
	const lastStart = Math.max(...line.ranges.map(([from]) => from));
	const whole = lines.map((text) =>
		text.length > lastStart ? line.ranges.map(([from, to]) => text.slice(from, to).trim()) : [],
	);
	const isData = (one: readonly string[]) =>
		one.some((field) => !Number.isNaN(numberOf(field, line.hasDecimalComma)));
	const rows = whole.filter(isData);
	if (rows.length < fewestLines) return null;
	return {
		line,
		rows,
		keys: null,
		heading: null,
		comments: commentsOf(lines, whole, line.ranges.length, isData),
	};
}

function keyedCut(whole: readonly (readonly string[])[], line: Extract<Line, { kind: "keyed" }>): Cut | null {
	const pairs = whole.map((one) => one.map((field) => field.split(line.assign).map((part) => part.trim())));
	const isKeyed = (one: readonly (readonly string[])[]) =>
		one.every((pair) => pair.length === 2 && pair[0] !== "" && Number.isNaN(numberOf(pair[0]!, false)));
	const keyed = pairs.filter(isKeyed);
	if (keyed.length < fewestLines) return null;
	const keys = keyed[0]!.map((pair) => pair[0]!);
	const rows = keyed
		.filter((one) => one.every((pair, at) => pair[0] === keys[at]))
		.map((one) => one.map((pair) => pair[1]!));
	if (rows.length < fewestLines || new Set(keys).size !== keys.length) return null;
	return { line, rows, keys, heading: null, comments: [] };
}

/** How lines begin that hold no data: `#`, or the first word of a heading. */
function commentsOf(
	lines: readonly string[],
	fields: readonly (readonly string[])[],
	usualCount: number,
	isData: (one: readonly string[]) => boolean,
): string[] {
	const begins = new Set<string>();
	for (const [i, one] of fields.entries()) {
		if (one.length === usualCount && isData(one)) continue;
		const begin = /^(#+|%+|\/\/|[A-Za-z][^\s,;|\t]{0,19})/.exec(lines[i]!)?.[0];
		// A cut-off line of data begins with a number: it is no comment.
		if (begin !== undefined && begins.size < 20) begins.add(begin);
	}
	return [...begins];
}

function fieldsOf(line: string, separator: Separator): string[] {
	const fields =
		separator === " " ? line.trim().split(/[ \t]+/) : line.split(separator).map((field) => field.trim());
	// Many boards print a separator after the last number.
	if (fields.at(-1) === "") fields.pop();
	return fields;
}

// ---- What fields hold -------------------------------------------------------------------------------------------

function seen(cut: Cut, at: number): SeenColumn {
	const key = cut.keys?.[at];
	const values = valuesAt(cut, at);
	const column = key ?? at;
	const name = key ?? cut.heading?.[at] ?? null;
	const sample = cut.rows[0]![at]!;
	const isNumber = values.filter((value) => !Number.isNaN(value)).length >= 0.9 * values.length;
	if (!isNumber) return { column, name, sample, kind: "text" };
	// Only in front of, or behind, the readings: one of many readings may happen to rise.
	const isAtEdge = at < 4 || at >= cut.rows[0]!.length - 3;
	return { column, name, sample, kind: isAtEdge ? kindOf(values) : "reading" };
}

function kindOf(values: readonly number[]): SeenColumn["kind"] {
	if (values.length < 4) return "reading";
	const steps = values.slice(1).map((value, i) => value - values[i]!);
	const areWhole = values.every(Number.isInteger);
	const share = (test: (step: number) => boolean) => steps.filter(test).length / steps.length;
	// A counter of eight bits begins again as well, but no frame has so many lines.
	if (areWhole && (cycleOf(values)?.length ?? mostDrives + 1) <= mostDrives) return "row";
	if (areWhole && share((step) => step === 1) > 0.9) return "counter";
	// A reading that happens to rise does so by uneven steps.
	const middle = [...steps].sort((a, b) => a - b)[Math.floor(steps.length / 2)]!;
	const isEven = share((step) => step >= middle / 2 && step <= 2 * middle) > 0.8;
	if (share((step) => step > 0) > 0.95 && isEven) return "time";
	return "reading";
}

/** How long a field counts up from its first value before it begins again; null when it does not. */
function cycleOf(values: readonly number[]): { length: number; first: number } | null {
	const first = Math.min(...values);
	const length = Math.max(...values) - first + 1;
	if (!(first >= 0 && length >= 2 && values.length > length)) return null;
	const follows = values.every(
		(value, i) => i === 0 || (value - first) % length === (values[i - 1]! - first + 1) % length,
	);
	return follows ? { length, first } : null;
}

/** From the size of a step: a frame takes 10 ms to 1 s. */
function unitOf(values: readonly number[]): "s" | "ms" | "µs" {
	const steps = values.slice(1).map((value, i) => value - values[i]!);
	const middle = steps.sort((a, b) => a - b)[Math.floor(steps.length / 2)]!;
	return middle >= 2000 ? "µs" : middle >= 2 ? "ms" : "s";
}

function valueUnit(values: readonly number[]): "count" | "mV" | "Ω" {
	if (values.every(Number.isInteger)) return "count";
	return values.every((value) => value > 0) && Math.max(...values) > 20 ? "Ω" : "mV";
}

function valuesAt(cut: Cut, at: number): number[] {
	return cut.rows.map((fields) => numberOf(fields[at]!, cut.line.hasDecimalComma));
}

function numberOf(field: string, hasDecimalComma: boolean): number {
	const text = hasDecimalComma ? field.replace(",", ".") : field;
	if (hasDecimalComma && field.includes(".")) return Number.NaN;
	return /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(text) ? Number(text) : Number.NaN;
}

/** Patterns with so many readings, the commonest first. */
export function patternsWith(readingCount: number): SuggestedPattern[] {
	const found: SuggestedPattern[] = [];
	for (let electrodeCount = 8; electrodeCount <= 64; electrodeCount++) {
		const add = (drive: PairRule, terminals: Terminals) =>
			found.push({ electrodeCount, drive, terminals, readingCount });
		if (readingCount === electrodeCount * (electrodeCount - 3)) add("adjacent", "four-terminal");
		if (readingCount === (electrodeCount * (electrodeCount - 1)) / 2) add("adjacent", "two-terminal");
		const isEven = electrodeCount % 2 === 0;
		if (isEven && readingCount === (electrodeCount / 2) * (electrodeCount - 4))
			add("opposite", "four-terminal");
	}
	return found;
}
