/** What a person has entered about a board that prints numbers in its own way: from a sample of its lines or a stored
 *  profile, and to a profile, or to what is wrong with it. */
import { createPattern, type PairRule, type Terminals } from "../core/band/patterns.ts";
import {
	type BoardProfile,
	bytesOfNumber,
	type Column,
	type PayloadNumber,
	parseProfile,
	patternOf,
	readingColumns,
	type WrittenProfile,
} from "../core/wire/profile/board-profile.ts";
import type { ImportedPattern } from "../core/wire/profile/pattern-file.ts";
import { type SeenLine, seeFields } from "../core/wire/profile/seen-fields.ts";
import { type Line, type Suggestion, suggestProfile } from "../core/wire/profile/suggest-profile.ts";
import { parseNumber } from "./set-up-form.ts";
import { profileErrors as errorTexts } from "./text/profile-words.ts";

export type CutKind = Line["kind"];
export type Separator = Extract<Line, { kind: "separated" }>["separator"];
export type Range = readonly [from: number, to: number];
export type Role = "reading" | "payload" | "counter" | "time" | "row" | "none";
export type ValueUnit = BoardProfile["value"]["unit"];
export type TimeUnit = "s" | "ms" | "µs";
type Payload = Extract<BoardProfile["readings"], { kind: "base64" }>;

/** Numbers as they were typed. */
export interface ProfileDraft {
	readonly name: string;
	readonly note: string;
	readonly baudRate: string;
	readonly sample: string;

	readonly cut: CutKind;
	readonly separator: Separator;
	readonly assign: "=" | ":";
	readonly hasDecimalComma: boolean;
	readonly ranges: readonly Range[];
	readonly prefix: string;
	/** One a line. */
	readonly comments: string;

	readonly lines: string;
	readonly mark: string;
	readonly firstRow: string;
	readonly row: Column | null;
	readonly counter: Column | null;
	readonly modulus: string;
	readonly time: Column | null;
	readonly timeUnit: TimeUnit;
	/** In the order of the readings. */
	readonly readings: readonly Column[];
	readonly payload: Column | null;
	readonly number: PayloadNumber;
	readonly byteOrder: Payload["byteOrder"];
	readonly prefixBytes: Payload["prefixBytes"];
	readonly prefixCounts: Payload["prefixCounts"];

	readonly electrodes: string;
	readonly pattern: "named" | "listed";
	readonly drive: PairRule;
	readonly terminals: Terminals;
	readonly rows: ImportedPattern["rows"];
	/** Of the file that the order was read from; null where it came with the profile. */
	readonly rowsFrom: { readonly fileName: string; readonly countsFrom: 0 | 1 } | null;

	readonly unit: ValueUnit;
	readonly voltsPerCount: string;
	readonly fullScale: string;
	readonly isMagnitude: boolean;
	/** mA r.m.s. */
	readonly current: string;
	/** kHz */
	readonly frequency: string;
}

export type DraftField =
	| "name"
	| "baudRate"
	| "ranges"
	| "lines"
	| "firstRow"
	| "modulus"
	| "readings"
	| "electrodes"
	| "rows"
	| "voltsPerCount"
	| "fullScale"
	| "current"
	| "frequency"
	| "whole";
export type DraftErrors = Partial<Record<DraftField, string>>;

const usual: ProfileDraft = {
	name: "",
	note: "",
	baudRate: "115200",
	sample: "",
	cut: "separated",
	separator: ",",
	assign: "=",
	hasDecimalComma: false,
	ranges: [],
	prefix: "",
	comments: "",
	lines: "1",
	mark: "",
	firstRow: "0",
	row: null,
	counter: null,
	modulus: "4294967296",
	time: null,
	timeUnit: "ms",
	readings: [],
	payload: null,
	number: "int16",
	byteOrder: "little-endian",
	prefixBytes: 0,
	prefixCounts: "bytes",
	electrodes: "16",
	pattern: "named",
	drive: "adjacent",
	terminals: "four-terminal",
	rows: [],
	rowsFrom: null,
	unit: "mV",
	voltsPerCount: "",
	fullScale: "0",
	isMagnitude: false,
	current: "",
	frequency: "",
};

/** Nothing is known yet, and the drive is never guessed. */
export function emptyDraft(): ProfileDraft {
	return usual;
}

export function draftOf(profile: BoardProfile): ProfileDraft {
	const { line, frame, readings, pattern, value, drive, sequence, time } = profile;
	return {
		...usual,
		name: profile.name,
		note: profile.note,
		baudRate: String(profile.baudRate),
		prefix: profile.prefix,
		comments: profile.comments.join("\n"),
		...cutOf(line),
		lines: String(frame.lines),
		mark: frame.mark ?? "",
		firstRow: String(frame.firstRow),
		row: frame.row,
		counter: sequence?.column ?? null,
		modulus: String(sequence?.modulus ?? usual.modulus),
		time: time?.column ?? null,
		timeUnit: time?.unit ?? usual.timeUnit,
		readings: readingColumns(profile),
		...(readings.kind === "base64"
			? {
					payload: readings.column,
					number: readings.number,
					byteOrder: readings.byteOrder,
					prefixBytes: readings.prefixBytes,
					prefixCounts: readings.prefixCounts,
				}
			: {}),
		electrodes: String(profile.electrodeCount),
		pattern: pattern.kind,
		...(pattern.kind === "named"
			? // the profile's own check has seen to the name
				{ drive: pattern.drive as PairRule, terminals: pattern.terminals }
			: { rows: pattern.rows }),
		unit: value.unit,
		voltsPerCount: value.unit === "count" ? String(value.voltsPerCount) : "",
		fullScale: String(value.fullScale),
		isMagnitude: value.isMagnitude,
		current: String(drive.currentMilliamp),
		frequency: String(drive.frequencyHertz / 1000),
	};
}

function cutOf(line: Line): Partial<ProfileDraft> {
	const { kind: cut, hasDecimalComma } = line;
	if (line.kind === "fixed-columns") return { cut, hasDecimalComma, ranges: line.ranges };
	if (line.kind === "separated") return { cut, hasDecimalComma, separator: line.separator };
	return { cut, hasDecimalComma, separator: line.separator, assign: line.assign };
}

export function lineOf(draft: ProfileDraft): Line {
	const { cut, separator, assign } = draft;
	const hasDecimalComma = draft.hasDecimalComma && (cut === "fixed-columns" || separator !== ",");
	if (cut === "fixed-columns") {
		return { kind: cut, ranges: draft.ranges.map(([from, to]) => [from, to]), hasDecimalComma };
	}
	return cut === "separated"
		? { kind: cut, separator, hasDecimalComma }
		: { kind: cut, separator, assign, hasDecimalComma };
}

// ---- From a sample ----------------------------------------------------------------------------------------------

/** Guesses all that a new sample tells. What was entered by hand elsewhere (name, drive) stays. */
export function withSample(draft: ProfileDraft, sample: string): ProfileDraft {
	const next = { ...draft, sample };
	if (sample.trim() === "") return next;
	return guessed({ ...next, prefix: "", comments: "", mark: "" }, suggestProfile(sample));
}

/** Another way of cutting: what the fields hold is guessed anew, for they are others. */
export function withCut(draft: ProfileDraft, part: Partial<ProfileDraft>): ProfileDraft {
	const next = { ...draft, ...part };
	if (next.sample.trim() === "") return withoutMisfits(next);
	const line = lineOf(next);
	if (line.kind === "fixed-columns" && line.ranges.length === 0) return { ...next, ...noRoles };
	const text = dataOf(next);
	return guessed(next, suggestProfile(text, line));
}

const noRoles = { row: null, counter: null, time: null, readings: [], payload: null } as const;

/** Without a sample nothing can be guessed: columns that the new way of cutting cannot have are given up. */
function withoutMisfits(draft: ProfileDraft): ProfileDraft {
	const type = draft.cut === "keyed" ? "string" : "number";
	const kept = (column: Column | null): Column | null => (typeof column === type ? column : null);
	return {
		...draft,
		row: kept(draft.row),
		counter: kept(draft.counter),
		time: kept(draft.time),
		payload: kept(draft.payload),
		readings: draft.readings.filter((column) => typeof column === type),
	};
}

/** The sample's lines behind the prefix. */
function dataOf({ sample, prefix }: ProfileDraft): string {
	if (prefix === "") return sample;
	const lines = sample.split(/\r?\n/).filter((line) => line.startsWith(prefix));
	return lines.map((line) => line.slice(prefix.length)).join("\n");
}

function guessed(draft: ProfileDraft, suggestion: Suggestion | null): ProfileDraft {
	if (suggestion === null) return { ...draft, ...noRoles };
	const { profile, columns, patterns } = suggestion;
	const [pattern] = patterns;
	const isNamed = pattern !== undefined && draft.pattern === "named";
	return {
		...draft,
		...cutOf(profile.line as Line),
		comments: draft.comments === "" ? (profile.comments ?? []).join("\n") : draft.comments,
		lines: String(profile.frame?.lines ?? 1),
		firstRow: String(profile.frame?.firstRow ?? 0),
		row: profile.frame?.row ?? null,
		counter: profile.sequence?.column ?? null,
		time: profile.time?.column ?? null,
		timeUnit: profile.time?.unit ?? draft.timeUnit,
		readings: columns.filter(({ kind }) => kind === "reading").map(({ column }) => column),
		payload: null,
		...(isNamed
			? {
					electrodes: String(pattern.electrodeCount),
					drive: pattern.drive,
					terminals: pattern.terminals,
				}
			: {}),
		unit: profile.value.unit,
		isMagnitude: profile.value.isMagnitude ?? false,
	};
}

/** Where all data lines of a sample have blanks, as a first guess of fixed columns. */
export function guessRanges(sample: string): Range[] {
	const lines = sample
		.split(/\r?\n/)
		.filter((line) => /\d/.test(line))
		.slice(0, 200);
	const usualLength = commonest(lines.map((line) => line.length));
	const data = lines.filter((line) => line.length === usualLength);
	const ranges: Range[] = [];
	let from = 0;
	let hasSeen = false;
	for (let at = 0; at < Math.min(usualLength, 4096); at++) {
		const isBlank = data.every((line) => line[at] === " " || line[at] === "\t");
		const isNext = !isBlank && hasSeen && data.every((line) => line[at - 1] === " " || line[at - 1] === "\t");
		if (isNext) {
			ranges.push([from, at]);
			from = at;
		}
		hasSeen ||= !isBlank;
	}
	if (usualLength > from) ranges.push([from, usualLength]);
	return ranges;
}

function commonest(numbers: readonly number[]): number {
	const counts = new Map<number, number>();
	for (const one of numbers) counts.set(one, (counts.get(one) ?? 0) + 1);
	return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? 0;
}

/** Takes away the border at a place between two characters, or makes one there. */
export function toggleCut(ranges: readonly Range[], at: number): Range[] {
	const border = ranges.findIndex(([, to], i) => to === at && ranges[i + 1]?.[0] === at);
	if (border >= 0) {
		const joined: Range = [ranges[border]![0], ranges[border + 1]![1]];
		return [...ranges.slice(0, border), joined, ...ranges.slice(border + 2)];
	}
	const inside = ranges.findIndex(([from, to]) => at > from && at < to);
	if (inside < 0) return [...ranges];
	const [from, to] = ranges[inside]!;
	return [...ranges.slice(0, inside), [from, at], [at, to], ...ranges.slice(inside + 1)];
}

/** The border at one place moved to another, as far as its neighbours allow. */
export function moveCut(ranges: readonly Range[], at: number, to: number): Range[] {
	const border = ranges.findIndex(([, end], i) => end === at && ranges[i + 1]?.[0] === at);
	if (border < 0) return [...ranges];
	const [from] = ranges[border]!;
	const [, end] = ranges[border + 1]!;
	const place = Math.max(from + 1, Math.min(end - 1, to));
	return [...ranges.slice(0, border), [from, place], [place, end], ...ranges.slice(border + 2)];
}

/** Characters counted from 1, first to last: `1-4 5-10`. */
export function rangesText(ranges: readonly Range[]): string {
	return ranges.map(([from, to]) => `${from + 1}-${to}`).join(" ");
}

/** @returns null unless every part is a place `a-b` or a width `8` that follows the one before, or `16x8` of them */
export function readRanges(text: string): Range[] | null {
	const ranges: Range[] = [];
	for (const part of text.trim().split(/[\s,;]+/)) {
		if (part === "") continue;
		const [, first, last] = /^(\d{1,5})[-–](\d{1,5})$/.exec(part) ?? [];
		const [, times, width] = /^(?:(\d{1,4})[x×])?(\d{1,5})$/.exec(part) ?? [];
		if (first !== undefined && last !== undefined) {
			if (Number(first) < 1 || Number(last) < Number(first)) return null;
			ranges.push([Number(first) - 1, Number(last)]);
		} else if (width !== undefined && Number(width) > 0) {
			for (let i = 0; i < Number(times ?? 1); i++) {
				const from = ranges.at(-1)?.[1] ?? 0;
				ranges.push([from, from + Number(width)]);
			}
		} else return null;
		if (ranges.length > 8192 || ranges.at(-1)![1] > 40_960) return null;
	}
	return ranges;
}

// ---- What the lines hold ----------------------------------------------------------------------------------------

export function seenLines(draft: ProfileDraft, most: number): SeenLine[] {
	const line = lineOf(draft);
	const { prefix } = draft;
	return seeFields(
		draft.sample,
		{
			line,
			prefix,
			comments: commentsOf(draft),
			frame: { lines: 1, row: null, firstRow: 0, mark: markOf(draft) },
		},
		most,
	);
}

/** The fields of a line as most of the sample's lines have them. */
export function usualLine(lines: readonly SeenLine[]): SeenLine | null {
	const data = lines.filter(({ kind }) => kind === "data");
	const count = commonest(data.map(({ fields }) => fields.length));
	return data.find(({ fields }) => fields.length === count) ?? null;
}

export function roleOf(draft: ProfileDraft, column: Column): Role {
	if (draft.payload !== null) {
		if (draft.payload === column) return "payload";
	} else if (draft.readings.includes(column)) return "reading";
	if (draft.time === column) return "time";
	if (draft.counter === column) return "counter";
	return draft.row === column ? "row" : "none";
}

/** A field has one role, and all but readings one field. `order`: the fields of a line, for readings to stand in. */
export function withRole(
	draft: ProfileDraft,
	column: Column,
	role: Role,
	order: readonly Column[],
): ProfileDraft {
	const without = {
		...draft,
		time: draft.time === column ? null : draft.time,
		counter: draft.counter === column ? null : draft.counter,
		row: draft.row === column ? null : draft.row,
		payload: draft.payload === column ? null : draft.payload,
		readings: draft.readings.filter((one) => one !== column),
	};
	switch (role) {
		case "reading":
			return { ...without, payload: null, readings: inserted(without.readings, column, order) };
		case "payload":
			return { ...without, payload: column, readings: [] };
		case "time":
			return { ...without, time: column };
		case "counter":
			return { ...without, counter: column };
		case "row":
			return { ...without, row: column, ...cycleOf(draft, column) };
		case "none":
			return without;
	}
}

/** A frame's lines are numbered from the least number to the largest that a sample has. */
function cycleOf(draft: ProfileDraft, column: Column): Partial<ProfileDraft> {
	const numbers = seenLines(draft, 2000)
		.map(({ fields }) => Number(fields.find((field) => field.column === column)?.text))
		.filter((number) => Number.isInteger(number) && number >= 0 && number <= 4096);
	if (numbers.length === 0) return {};
	const first = Math.min(...numbers);
	return { firstRow: String(first), lines: String(Math.max(...numbers) - first + 1) };
}

/** At its place where the others are in order; else behind them. */
function inserted(readings: readonly Column[], column: Column, order: readonly Column[]): Column[] {
	const placeOf = new Map(order.map((one, place) => [one, place]));
	const place = (one: Column): number => placeOf.get(one) ?? (typeof one === "number" ? one : order.length);
	const isInOrder = readings.every((one, i) => i === 0 || place(readings[i - 1]!) < place(one));
	if (!isInOrder) return [...readings, column];
	const before = readings.findIndex((one) => place(one) > place(column));
	return before < 0 ? [...readings, column] : readings.toSpliced(before, 0, column);
}

/** All fields from one to another as readings, and no others. */
export function withReadingRun(
	draft: ProfileDraft,
	from: number,
	to: number,
	order: readonly Column[],
): ProfileDraft {
	const readings = order.slice(from, to + 1);
	const freed = (column: Column | null) => (column !== null && readings.includes(column) ? null : column);
	return {
		...draft,
		readings,
		payload: null,
		time: freed(draft.time),
		counter: freed(draft.counter),
		row: freed(draft.row),
	};
}

/** Readings that a frame needs by its pattern; null while the ring has no such pairs. */
export function neededReadings(draft: ProfileDraft): number | null {
	const electrodes = wholeNumber(draft.electrodes, 8, 64);
	if (electrodes === null) return null;
	if (draft.pattern === "listed") return draft.rows.length;
	try {
		return createPattern(electrodes, draft.drive, draft.terminals).terminals.length / 4;
	} catch (error) {
		if (error instanceof RangeError) return null;
		throw error;
	}
}

/** Readings that a frame's lines have; null with a payload that no line shows. */
export function foundReadings(draft: ProfileDraft): number | null {
	const perLine = draft.payload === null ? draft.readings.length : payloadLength(draft);
	return perLine === null ? null : perLine * (wholeNumber(draft.lines, 1, 4096) ?? 1);
}

/** Numbers in the base64 text of the first line that has some. */
function payloadLength(draft: ProfileDraft): number | null {
	const usual = usualLine(seenLines(draft, 20));
	const field = usual?.fields.find(({ column }) => column === draft.payload);
	if (field === undefined) return null;
	const characters = field.text.replace(/=+$/, "").length;
	const bytes = Math.floor((3 * characters) / 4) - draft.prefixBytes;
	return Math.max(0, Math.floor(bytes / bytesOfNumber[draft.number]));
}

// ---- To a profile -----------------------------------------------------------------------------------------------

export type ReadDraft =
	| { readonly ok: true; readonly profile: BoardProfile }
	| { readonly ok: false; readonly errors: DraftErrors };

export function readDraft(draft: ProfileDraft): ReadDraft {
	const errors: DraftErrors = {};
	const whole = (field: DraftField, entered: string, low: number, high: number): number => {
		const value = wholeNumber(entered, low, high);
		if (value === null) errors[field] = errorTexts.whole(low, high);
		return value ?? low;
	};
	const within = (field: DraftField, entered: string, low: number, high: number): number => {
		const value = parseNumber(entered);
		if (value !== null && value >= low && value <= high) return value;
		errors[field] = errorTexts.range(low, high);
		return low;
	};
	if (draft.name.trim() === "") errors.name = errorTexts.name;
	const baudRate = whole("baudRate", draft.baudRate, 300, 4_000_000);
	const electrodeCount = whole("electrodes", draft.electrodes, 8, 64);
	const lines = whole("lines", draft.lines, 1, 4096);
	const firstRow = draft.row === null ? 0 : whole("firstRow", draft.firstRow, 0, 4096);
	const modulus = draft.counter === null ? 2 ** 32 : whole("modulus", draft.modulus, 2, 2 ** 32);
	const voltsPerCount = draft.unit === "count" ? readVolts(draft.voltsPerCount, errors) : 1;
	const fullScale = within("fullScale", draft.fullScale, 0, 1e12);
	const current = draft.current.trim() === "" ? Number.NaN : within("current", draft.current, 0.000_001, 10);
	if (Number.isNaN(current)) errors.current = errorTexts.current;
	const frequency =
		draft.frequency.trim() === "" ? Number.NaN : within("frequency", draft.frequency, 0.001, 10_000);
	if (Number.isNaN(frequency)) errors.frequency = errorTexts.frequency;
	if (draft.cut === "fixed-columns" && draft.ranges.length === 0) errors.ranges = errorTexts.ranges;
	if (lines > 1 && draft.row === null && draft.mark === "") errors.lines = errorTexts.frameBegin;
	if (draft.pattern === "listed" && draft.rows.length === 0) errors.rows = errorTexts.rows;
	checkCounts(draft, lines, errors);
	if (Object.keys(errors).length > 0) return { ok: false, errors };

	const written: WrittenProfile = {
		format: "tautline-board-profile",
		version: 1,
		name: draft.name.trim(),
		note: draft.note,
		baudRate,
		electrodeCount,
		pattern:
			draft.pattern === "named"
				? { kind: "named", drive: draft.drive, terminals: draft.terminals }
				: { kind: "listed", rows: draft.rows },
		prefix: draft.prefix,
		comments: commentsOf(draft),
		line: lineOf(draft),
		frame: { lines, row: draft.row, firstRow, mark: markOf(draft) },
		sequence: draft.counter === null ? null : { column: draft.counter, modulus },
		time: draft.time === null ? null : { column: draft.time, unit: draft.timeUnit },
		readings: readingsOf(draft),
		value: { unit: draft.unit, voltsPerCount, fullScale, isMagnitude: draft.isMagnitude },
		drive: { currentMilliamp: current, frequencyHertz: 1000 * frequency },
	};
	const read = parseProfile(written);
	if (read.ok) return { ok: true, profile: read.value };
	return { ok: false, errors: { whole: errorTexts.invalid(read.error) } };
}

/** For a test of the lines before name and drive are told, which change nothing about how they are read. */
export function readForTrial(draft: ProfileDraft): BoardProfile | null {
	const isBlank = (entered: string): boolean => entered.trim() === "";
	const read = readDraft({
		...draft,
		name: isBlank(draft.name) ? "-" : draft.name,
		current: isBlank(draft.current) ? "1" : draft.current,
		frequency: isBlank(draft.frequency) ? "50" : draft.frequency,
		voltsPerCount: isBlank(draft.voltsPerCount) ? "1" : draft.voltsPerCount,
	});
	return read.ok ? read.profile : null;
}

function checkCounts(draft: ProfileDraft, lines: number, errors: DraftErrors): void {
	const needed = neededReadings(draft);
	if (needed === null) {
		errors.electrodes ??= errorTexts.noPairs;
		return;
	}
	if (errors.rows !== undefined) return;
	if (needed % lines !== 0) errors.lines ??= errorTexts.linesDivide(needed);
	else {
		const found = foundReadings(draft);
		if (found !== null && found !== needed) errors.readings = errorTexts.counts(needed, found);
	}
}

function readVolts(entered: string, errors: DraftErrors): number {
	// So small a number is written with an exponent.
	const value = /^\d*[.,]?\d+([eE][+-]?\d+)?$/.test(entered.trim())
		? Number(entered.trim().replace(",", "."))
		: Number.NaN;
	if (value > 0 && value <= 1000) return value;
	errors.voltsPerCount = errorTexts.volts;
	return 1;
}

function readingsOf(draft: ProfileDraft): WrittenProfile["readings"] {
	const { payload, readings, number, byteOrder, prefixBytes, prefixCounts } = draft;
	if (payload !== null) {
		return { kind: "base64", column: payload, number, byteOrder, prefixBytes, prefixCounts };
	}
	const first = readings[0];
	const isRun = typeof first === "number" && readings.every((column, i) => column === first + i);
	return isRun ? { kind: "run", first } : { kind: "fields", columns: [...readings] };
}

function commentsOf({ comments }: ProfileDraft): string[] {
	return comments.split("\n").filter((comment) => comment.trim() !== "");
}

function markOf({ mark }: ProfileDraft): string | null {
	return mark === "" ? null : mark;
}

function wholeNumber(entered: string, low: number, high: number): number | null {
	const value = parseNumber(entered);
	return value !== null && Number.isInteger(value) && value >= low && value <= high ? value : null;
}

/** `name`, or with a number behind it where it is taken. */
export function freeName(name: string, taken: readonly string[]): string {
	if (!taken.includes(name)) return name;
	for (let number = 2; ; number++) {
		const behind = ` ${number}`;
		const next = name.slice(0, 80 - behind.length) + behind;
		if (!taken.includes(next)) return next;
	}
}

/** Other patterns of a ring that need as many readings, to be held against a frame that does not go with its own. */
export function otherPatterns(profile: BoardProfile): BoardProfile[] {
	const count = patternOf(profile).terminals.length / 4;
	const rules: PairRule[] = ["adjacent", "opposite", "skip-1", "skip-2", "skip-3", "skip-4"];
	const found: BoardProfile[] = [];
	for (const terminals of ["four-terminal", "two-terminal"] as const) {
		for (const drive of terminals === "two-terminal" ? rules.slice(0, 1) : rules) {
			const { pattern } = profile;
			if (pattern.kind === "named" && pattern.terminals === terminals) {
				if (pattern.drive === drive || terminals === "two-terminal") continue;
			}
			const other = { ...profile, pattern: { kind: "named" as const, drive, terminals } };
			try {
				if (patternOf(other).terminals.length / 4 === count) found.push(other);
			} catch (error) {
				if (!(error instanceof RangeError)) throw error;
			}
		}
	}
	return found;
}
