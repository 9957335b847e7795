import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parseProfile } from "../../core/wire/profile/board-profile.ts";
import { tryProfile } from "../../core/wire/profile/profile-trial.ts";
import { shippedProfiles } from "../../core/wire/profile/shipped-profiles.ts";
import {
	draftOf,
	emptyDraft,
	foundReadings,
	freeName,
	guessRanges,
	moveCut,
	neededReadings,
	otherPatterns,
	type ProfileDraft,
	rangesText,
	readDraft,
	readRanges,
	roleOf,
	seenLines,
	toggleCut,
	usualLine,
	withCut,
	withReadingRun,
	withRole,
	withSample,
} from "../../renderer/profile-draft.ts";
import { whyRefused } from "../../renderer/text/profile-words.ts";
import { createProfile } from "../wire/profile/create-profile.ts";

const drive = { name: "Mine", current: "0,5", frequency: "50" };

/** Invented lines: time with decimal comma, then 28 readings of 8 electrodes, a separator at the end. */
function createLog(count = 12): string {
	const lines = Array.from({ length: count }, (_, frame) => {
		const readings = Array.from({ length: 28 }, (_, i) =>
			(500 + 10 * i + ((frame * 7 + i) % 3) / 10).toFixed(1),
		);
		return `${(3 + frame / 10).toFixed(2)};${readings.join(";")};`.replaceAll(".", ",");
	});
	return `made up\n${lines.join("\r\n")}\r\n`;
}

function read(draft: ProfileDraft) {
	const result = readDraft(draft);
	if (!result.ok) throw new Error(JSON.stringify(result.errors));
	return result.profile;
}

function errorsOf(draft: ProfileDraft): readonly string[] {
	const result = readDraft(draft);
	return result.ok ? [] : Object.keys(result.errors);
}

describe("a draft from a sample", () => {
	const draft = withSample({ ...emptyDraft(), ...drive }, createLog());

	test("is a profile that reads the sample, once the drive is told", () => {
		const profile = read(draft);
		expect(profile).toMatchObject({
			electrodeCount: 8,
			pattern: { kind: "named", terminals: "two-terminal" },
			line: { kind: "separated", separator: ";", hasDecimalComma: true },
			time: { column: 0, unit: "s" },
			readings: { kind: "run", first: 1 },
			drive: { currentMilliamp: 0.5, frequencyHertz: 50_000 },
		});
		const trial = tryProfile(profile, new TextEncoder().encode(draft.sample));
		expect(trial).toMatchObject({ frames: 12, refused: [] });
		expect(trial.framesPerSecond).toBeCloseTo(10, 6);
	});

	test("asks for name, current and frequency, and never makes them up", () => {
		expect(errorsOf(withSample(emptyDraft(), createLog()))).toEqual(["name", "current", "frequency"]);
	});

	test("tells what the pattern needs beside what is marked", () => {
		expect([neededReadings(draft), foundReadings(draft)]).toEqual([28, 28]);
		const more = { ...draft, electrodes: "16" };
		expect([neededReadings(more), foundReadings(more)]).toEqual([120, 28]);
		expect(errorsOf(more)).toEqual(["readings"]);
		expect(errorsOf({ ...draft, electrodes: "9", terminals: "four-terminal", drive: "opposite" })).toEqual([
			"electrodes",
		]);
	});

	test("changes with another way of cutting, and back", () => {
		const wrong = withCut(draft, { separator: "|" });
		expect(wrong.readings).toEqual([]);
		expect(withCut(wrong, { separator: ";", hasDecimalComma: true }).readings).toEqual(draft.readings);
	});

	test("cuts a prefix off, and leaves other lines alone", () => {
		const text = createLog().replaceAll(/^(?=\d)/gm, "D ");
		const prefixed = withCut(
			{ ...withSample({ ...emptyDraft(), ...drive }, text), comments: "" },
			{
				prefix: "D ",
				cut: "separated",
				separator: ";",
				hasDecimalComma: true,
			},
		);
		expect(tryProfile(read(prefixed), new TextEncoder().encode(text)).frames).toBe(12);
	});
});

describe("roles of fields", () => {
	const draft = withSample({ ...emptyDraft(), ...drive }, createLog());
	const order = usualLine(seenLines(draft, 20))!.fields.map(({ column }) => column);

	test("are one for each field, and readings stay in order", () => {
		const without = withRole(draft, 5, "counter", order);
		expect(roleOf(without, 5)).toBe("counter");
		expect(foundReadings(without)).toBe(27);
		const moved = withRole(without, 6, "counter", order);
		expect([roleOf(moved, 5), roleOf(moved, 6)]).toEqual(["none", "counter"]);
		const back = withRole(withRole(moved, 6, "reading", order), 5, "reading", order);
		expect(back.readings).toEqual(draft.readings);
	});

	test("a run takes all fields from one to another", () => {
		const run = withReadingRun(draft, 0, 27, order);
		expect(run.readings).toEqual(order.slice(0, 28));
		expect(run.time).toBeNull();
	});

	test("a payload takes the place of readings, tells how many it holds, and gives way to one", () => {
		const bytes = Uint8Array.from({ length: 82 }, (_, i) => (i === 0 ? 80 : i % 7));
		const sample = `D,1,${Buffer.from(bytes).toString("base64")}\n`.repeat(3);
		const eight = { ...withSample({ ...emptyDraft(), ...drive }, sample), electrodes: "8" };
		const payload = withRole(eight, 2, "payload", [0, 1, 2]);
		expect([foundReadings(payload), errorsOf({ ...payload, unit: "mV" })]).toEqual([41, ["readings"]]);
		const told = { ...payload, prefixBytes: 2, unit: "mV", terminals: "four-terminal" } as const;
		expect(read(told).readings).toMatchObject({ kind: "base64", column: 2, number: "int16", prefixBytes: 2 });
		expect([roleOf(told, 2), roleOf(told, 1), foundReadings({ ...told, number: "int24" })]).toEqual([
			"payload",
			"none",
			26,
		]);
		expect(foundReadings({ ...told, sample: "" })).toBeNull();
		expect(roleOf(withRole(told, 2, "reading", [0, 1, 2]), 2)).toBe("reading");
	});

	test("a line number tells how many lines make a frame", () => {
		const rows = Array.from({ length: 24 }, (_, i) => `${1 + (i % 8)},${"7,".repeat(4)}7`).join("\n");
		const marked = withRole(withSample(emptyDraft(), rows), 0, "row", [0, 1, 2, 3, 4, 5]);
		expect(marked).toMatchObject({ row: 0, lines: "8", firstRow: "1" });
		expect(foundReadings(marked)).toBe(40);
	});
});

describe("a draft of a stored profile", () => {
	const profiles = [
		...shippedProfiles,
		createProfile({
			line: { kind: "keyed", separator: " ", assign: "=", hasDecimalComma: true },
			readings: { kind: "fields", columns: Array.from({ length: 40 }, (_, i) => `k${40 - i}`) },
			time: { column: "t", unit: "µs" },
			sequence: { column: "n", modulus: 256 },
			prefix: "> ",
			comments: ["#", "//"],
		}),
		createProfile({
			line: {
				kind: "fixed-columns",
				ranges: [[0, 3], ...Array.from({ length: 5 }, (_, i) => [6 * i + 4, 6 * i + 10])] as [
					number,
					number,
				][],
			},
			frame: { lines: 8, row: 0, firstRow: 1, mark: "BEGIN" },
			readings: { kind: "run", first: 1 },
		}),
		createProfile({
			readings: { kind: "base64", column: 1, number: "int24", byteOrder: "big-endian", prefixBytes: 2 },
			pattern: {
				kind: "listed",
				rows: [
					[0, 1, 2, 3],
					[4, 5, 6, 7],
				],
			},
			value: { unit: "count", voltsPerCount: 6.25e-8, fullScale: 8_388_607, isMagnitude: true },
		}),
	];

	test.each(profiles)("gives the same profile again: $name", (profile) => {
		expect(readDraft(draftOf(profile))).toEqual({ ok: true, profile });
	});

	test("gives up columns that another way of cutting cannot have", () => {
		const keyed = withCut(draftOf(shippedProfiles[0]!), { cut: "keyed" });
		expect([keyed.readings, keyed.time, keyed.counter]).toEqual([[], null, null]);
	});
});

describe("fixed columns", () => {
	test("are guessed from the blanks that all lines share", () => {
		const lines = [" 12  1.50 -2.25", "  7 11.50  0.25", "113  0.00 12.75"].join("\n");
		expect(guessRanges(lines)).toEqual([
			[0, 4],
			[4, 10],
			[10, 15],
		]);
		expect(guessRanges("")).toEqual([]);
	});

	test("are cut, joined and moved", () => {
		const whole = [[0, 12]] as const;
		const two = toggleCut(whole, 4);
		expect(two).toEqual([
			[0, 4],
			[4, 12],
		]);
		expect(moveCut(two, 4, 6)).toEqual([
			[0, 6],
			[6, 12],
		]);
		expect(moveCut(two, 4, 40)).toEqual([
			[0, 11],
			[11, 12],
		]);
		expect(toggleCut(two, 4)).toEqual(whole);
		expect(toggleCut(two, 99)).toEqual(two);
	});

	test.each([
		[
			"1-4 5-10",
			[
				[0, 4],
				[4, 10],
			],
		],
		[
			"4 6",
			[
				[0, 4],
				[4, 10],
			],
		],
		[
			"3, 2x5",
			[
				[0, 3],
				[3, 8],
				[8, 13],
			],
		],
		["", []],
		["0-4", null],
		["5-4", null],
		["4 x", null],
		["9999x9999", null],
		["99999", null],
	])("%j is read as %j", (text, ranges) => {
		expect(readRanges(text)).toEqual(ranges);
	});

	test("are written as they are read", () => {
		fc.assert(
			fc.property(fc.array(fc.integer({ min: 1, max: 40 }), { maxLength: 20 }), (widths) => {
				const ranges = readRanges(widths.join(" "))!;
				expect(readRanges(rangesText(ranges))).toEqual(ranges);
			}),
		);
	});
});

test("any sample and any change of cutting make a draft, and what reads it is a valid profile", () => {
	const cut = fc.record({
		cut: fc.constantFrom("separated", "keyed", "fixed-columns"),
		separator: fc.constantFrom(",", ";", "\t", " ", "|", ":", "/"),
		assign: fc.constantFrom("=", ":"),
		hasDecimalComma: fc.boolean(),
		prefix: fc.string({ unit: "binary", maxLength: 3 }),
	}) as fc.Arbitrary<Partial<ProfileDraft>>;
	const line = fc.oneof(
		fc.string({ unit: "binary", maxLength: 40 }),
		fc
			.array(fc.constantFrom("1", "2,5", "-3.5e2", "", "x", "a=1", "b:2"), { maxLength: 9 })
			.map((parts) => parts.join(";")),
	);
	fc.assert(
		fc.property(fc.array(line, { maxLength: 8 }), cut, (lines, change) => {
			const sample = lines.join("\n");
			const draft = withCut(withSample({ ...emptyDraft(), ...drive }, sample), change);
			const ranges = draft.cut === "fixed-columns" ? guessRanges(sample) : draft.ranges;
			const next = withCut(draft, { ranges });
			const seen = seenLines(next, 20);
			for (const { text, fields } of seen)
				for (const field of fields) expect(text.slice(field.from, field.to)).toBe(field.text);
			const result = readDraft(next);
			if (!result.ok) return;
			expect(parseProfile(JSON.parse(JSON.stringify(result.profile))).ok).toBe(true);
			tryProfile(result.profile, new TextEncoder().encode(sample));
		}),
		{ numRuns: 100 },
	);
});

test("any JSON is refused in words, or is a profile that can be opened and reads any bytes", () => {
	const start = JSON.parse(
		JSON.stringify(createProfile({ time: { column: 0, unit: "s" }, readings: { kind: "run", first: 1 } })),
	) as Record<string, unknown>;
	const paths = pathsOf(start);
	const change = fc.tuple(
		fc.constantFrom(...paths),
		fc.oneof(
			fc.jsonValue({ maxDepth: 2 }),
			fc.integer({ min: -2, max: 70 }),
			fc.constantFrom(
				"keyed",
				"fixed-columns",
				"base64",
				"fields",
				"listed",
				"two-terminal",
				",",
				"=",
				"skip-2",
			),
			fc.string({ unit: "binary", maxLength: 4 }),
		),
	);
	fc.assert(
		fc.property(fc.array(change, { maxLength: 3 }), fc.uint8Array({ maxLength: 200 }), (changes, bytes) => {
			const input = structuredClone(start);
			for (const [path, value] of changes) put(input, path, value);
			const profile = parseProfile(input);
			if (!profile.ok) {
				expect(profile.error.expected).not.toBe("");
				return;
			}
			const again = readDraft(draftOf(profile.value));
			if (!again.ok) expect(Object.values(again.errors).join("")).not.toBe("");
			tryProfile(profile.value, bytes);
		}),
		{ numRuns: 1000 },
	);
});

function pathsOf(value: unknown, path: readonly string[] = []): (readonly string[])[] {
	if (typeof value !== "object" || value === null) return [path];
	const below = Object.entries(value).flatMap(([key, part]) => pathsOf(part, [...path, key]));
	return path.length === 0 ? below : [path, ...below];
}

function put(target: Record<string, unknown>, [key, ...rest]: readonly string[], value: unknown): void {
	const next = target[key!];
	if (rest.length === 0) target[key!] = value;
	else if (typeof next === "object" && next !== null) put(next as Record<string, unknown>, rest, value);
}

test("names that are taken get a number", () => {
	expect(freeName("A", [])).toBe("A");
	expect(freeName("A", ["A", "A 2"])).toBe("A 3");
	expect(freeName("x".repeat(80), ["x".repeat(80)])).toBe(`${"x".repeat(78)} 2`);
});

test("other patterns need as many readings as the one that does not agree", () => {
	const { pattern } = createProfile();
	const others = otherPatterns(createProfile());
	expect(others.every((other) => other.pattern !== pattern)).toBe(true);
	for (const other of others) expect(parseProfile(other).ok).toBe(true);
	expect(others.map((other) => "drive" in other.pattern && other.pattern.drive)).toContain("skip-1");
});

describe("why a line is refused", () => {
	const profile = createProfile({ prefix: "D" });
	const numbers = Array.from({ length: 40 }, () => "1").join(",");
	const why = (line: string) => {
		const { firstRefused } = tryProfile(profile, new TextEncoder().encode(`D${numbers}\n${line}\n`));
		return firstRefused === null ? null : whyRefused(firstRefused, profile);
	};

	test.each([
		["a field short", `D${numbers.slice(2)}`, "It has 39 fields, and field 40 is needed."],
		["a word", `D${numbers.slice(2)},off`, "Field 40 holds “off”, which is no number."],
		["no prefix", numbers, "It does not begin with “D”."],
		["too long", `D${"1".repeat(50_000)}`, "It is longer than 40\u00a0960 bytes."],
		["well", `D${numbers}`, null],
	])("%s", (_name, line, words) => {
		expect(why(line)).toBe(words);
	});
});
