import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createLineSplitter, LineCapStream } from "../../app/link/line-stream.ts";
import { numberOfOther } from "../../core/band/board-electrode.ts";
import { decodeBase64, encodeBase64 } from "../../core/wire/base64.ts";
import {
	abilityLine,
	acknowledgementLine,
	configurationLines,
	contactsLine,
	frameLine,
	helloLine,
	refusalLine,
	statusLine,
} from "../../core/wire/board-lines.ts";
import type { BoardParser } from "../../core/wire/board-parser.ts";
import { crc16OfText, crcDigits } from "../../core/wire/crc.ts";
import type { DriveConfiguration } from "../../core/wire/frame.ts";
import {
	encodeHostCommand,
	type HostCommand,
	HostLineReader,
	refusalReasons,
} from "../../core/wire/host-command.ts";
import { readingCountOf } from "../../core/wire/reading-count.ts";
import type { ReadingEncoding } from "../../core/wire/readings.ts";
import { badLineCount, bytesOf, createLoggingParser, type LoggedRecord, listOf } from "./record-log.ts";

const word = fc.stringMatching(/^[A-Za-z0-9._-]{1,32}$/);
const u32 = fc.nat(0xffffffff);
const bandIndex = fc.nat(3);
const positive = fc.double({ min: 1e-6, max: 1e6, noNaN: true });

const configuration: fc.Arbitrary<DriveConfiguration> = fc
	.record({
		configuration: fc.nat(65535),
		bandIndex,
		electrodeCount: fc.integer({ min: 8, max: 64 }),
		listed: fc.option(
			fc.array(
				fc.tuple(
					fc.nat(7),
					fc.integer({ min: 1, max: 7 }),
					fc.nat(7),
					fc.integer({ min: 1, max: 7 }),
					fc.option(fc.nat(3)),
				),
				{
					minLength: 1,
					maxLength: 200,
				},
			),
		),
		terminals: fc.constantFrom("four-terminal" as const, "two-terminal" as const),
		microamp: fc.nat(10_000),
		frequencyHertz: fc.integer({ min: 1, max: 1_000_000 }),
		gain: positive,
		voltsPerUnit: fc.double({ min: 1e-12, max: 1, noNaN: true }),
		fullScale: fc.double({ min: 0, max: 1e12, noNaN: true }).map((value) => value + 0),
	})
	.map(({ listed, microamp, ...rest }) => ({
		...rest,
		drive: listed === null ? "adjacent" : "listed",
		readingCount:
			listed === null ? readingCountOf(rest.electrodeCount, "adjacent", rest.terminals)! : listed.length,
		listedTerminals:
			listed === null
				? null
				: Uint16Array.from(
						listed.flatMap(([source, toSink, plus, toMinus, readBand]) => {
							const isOwn = readBand === null || readBand === rest.bandIndex;
							const read = (electrode: number) =>
								isOwn ? electrode : numberOfOther({ band: readBand, electrode });
							return [source, (source + toSink) % 8, read(plus), read((plus + toMinus) % 8)];
						}),
					),
		currentMilliamp: microamp / 1000,
	}));

const readingOf: Record<ReadingEncoding, fc.Arbitrary<number>> = {
	d: fc.oneof(
		fc.integer(),
		fc
			.tuple(fc.integer({ min: -99999999, max: 99999999 }), fc.nat(5))
			.map(([n, digits]) => Number(`${n}e-${digits}`)),
	),
	i16: fc.integer({ min: -32768, max: 32767 }),
	i24: fc.integer({ min: -8388608, max: 8388607 }),
	i32: fc.integer({ min: -2147483648, max: 2147483647 }),
	f32: fc.float({ noNaN: true, noDefaultInfinity: true }),
};
/** -0 has no decimal form of its own. */
const unsignedZero = (value: number) => (value === 0 ? 0 : value);

function parseText(text: string, parser: BoardParser): void {
	const lines = text.split("\n");
	expect(lines.pop()).toBe("");
	for (const line of lines) parser.parse(bytesOf(line));
}

describe("what was written is read again", () => {
	test.each(["d", "i16", "i24", "i32", "f32"] as const)("frames in %s", (encoding) => {
		const frames = fc.array(fc.array(readingOf[encoding], { minLength: 40, maxLength: 40 }), {
			maxLength: 3,
		});
		fc.assert(
			fc.property(frames, u32, u32, bandIndex, (lists, firstSequence, firstTime, band) => {
				const { parser, records } = createLoggingParser();
				const settings = { ...plain, bandIndex: band };
				parseText(configurationLines(settings), parser);
				for (const [i, list] of lists.entries()) {
					const values = Float64Array.from(list, unsignedZero);
					const time = (firstTime + 33_333 * i) % 2 ** 32;
					parseText(frameLine(band, 5, (firstSequence + i) >>> 0, time, encoding, values), parser);
				}
				expect(badLineCount(parser)).toBe(0);
				const frameRecords = records.slice(1);
				expect(frameRecords.map((frame) => frame.values)).toEqual(
					lists.map((list) => list.map(unsignedZero)),
				);
				expect(frameRecords.map((frame) => frame.lostBefore)).toEqual(lists.map(() => 0));
				expect(frameRecords.map((frame) => frame.timeMicros)).toEqual(
					lists.map((_, i) => firstTime + 33_333 * i),
				);
			}),
			{ numRuns: 60 },
		);
	});

	test("configurations, named and listed", () => {
		fc.assert(
			fc.property(configuration, (settings) => {
				const { parser, records } = createLoggingParser();
				parseText(configurationLines(settings), parser);
				const list = settings.listedTerminals;
				const expected = { record: "configuration", ...settings, listedTerminals: list && listOf(list) };
				expect(records).toEqual([expected]);
			}),
			{ numRuns: 60 },
		);
	});

	test("hello, ability, status, contacts and answers", () => {
		const band = fc.record({ bandIndex, least: fc.nat(1000), more: fc.nat(1000), gain: positive });
		const ohms = fc.array(fc.option(fc.nat(1_000_000)), { minLength: 8, maxLength: 64 });
		const activity = fc.constantFrom(
			"running" as const,
			"stopped" as const,
			"charging" as const,
			"tripped" as const,
		);
		const reason = fc.option(fc.constantFrom(...refusalReasons));
		fc.assert(
			fc.property(
				word,
				u32,
				u32,
				band,
				ohms,
				activity,
				reason,
				(name, boot, time, of, ohm, doing, refusal) => {
					const { parser, records } = createLoggingParser();
					const identity = {
						board: name,
						firmware: name,
						serial: name,
						protocolVersion: 1,
						bandCount: of.bandIndex + 1,
						bootNumber: boot,
						simulated: boot % 2 === 0,
					};
					const ability = {
						bandIndex: of.bandIndex,
						electrodeCount: 16,
						minimumMilliamp: of.least / 1000,
						maximumMilliamp: (of.least + of.more) / 1000,
						minimumHertz: 1 + of.least,
						maximumHertz: 1 + of.least + of.more,
						minimumGain: of.gain,
						maximumGain: of.gain,
					};
					const status = {
						bandIndex: of.bandIndex,
						activity: doing,
						batteryPercent: of.least > 100 ? null : of.least,
					};
					const id = 1 + (boot >>> 1);
					parseText(helloLine(identity, time), parser);
					parseText(abilityLine(ability), parser);
					parseText(statusLine(status, time), parser);
					parseText(
						contactsLine(
							of.bandIndex,
							time,
							ohm.map((value) => value ?? Number.NaN),
						),
						parser,
					);
					parseText(refusal === null ? acknowledgementLine(id) : refusalLine(id, refusal), parser);
					expect(records).toEqual([
						{ record: "hello", ...identity },
						{ record: "ability", ...ability },
						{ record: "status", ...status },
						{ record: "contacts", bandIndex: of.bandIndex, ohm },
						{ record: "reply", id, refusal },
					]);
				},
			),
		);
	});

	test("commands", () => {
		const band = fc.option(bandIndex);
		const command: fc.Arbitrary<HostCommand> = fc.oneof(
			fc.constantFrom({ command: "hello" as const }, { command: "alive" as const }),
			fc.record({
				command: fc.constantFrom("start" as const, "stop" as const, "contact" as const),
				bandIndex: band,
			}),
			fc.record({ command: fc.constant("current" as const), bandIndex: band, microamp: fc.nat(10_000) }),
			fc.record({
				command: fc.constant("frequency" as const),
				bandIndex: band,
				hertz: fc.integer({ min: 1, max: 10_000_000 }),
			}),
			fc.record({ command: fc.constant("gain" as const), bandIndex: band, gain: positive }),
		);
		const reader = new HostLineReader();
		fc.assert(
			fc.property(fc.integer({ min: 1, max: 0xffffffff }), command, (id, asked) => {
				const line = encodeHostCommand(id, asked);
				expect(reader.read(bytesOf(line.slice(0, -1)))).toEqual({ kind: "command", id, command: asked });
			}),
		);
	});

	test("base64 of any bytes, against Node's", () => {
		fc.assert(
			fc.property(fc.uint8Array({ maxLength: 100 }), (bytes) => {
				const text = encodeBase64(bytes);
				expect(text).toBe(Buffer.from(bytes).toString("base64"));
				const target = new Uint8Array(bytes.length);
				expect(decodeBase64(bytesOf(text), 0, text.length, target)).toBe(bytes.length);
				expect(target).toEqual(bytes);
			}),
		);
	});
});

const plain: DriveConfiguration = {
	configuration: 5,
	bandIndex: 0,
	electrodeCount: 8,
	drive: "adjacent",
	terminals: "four-terminal",
	readingCount: 40,
	listedTerminals: null,
	currentMilliamp: 1,
	frequencyHertz: 50_000,
	gain: 8,
	voltsPerUnit: 1e-8,
	fullScale: 0,
};

/** What a board says in a little while: all kinds of lines. */
const conversation = [
	helloLine(
		{
			board: "J-board",
			firmware: "1",
			serial: "s",
			protocolVersion: 1,
			bandCount: 1,
			bootNumber: 9,
			simulated: false,
		},
		1000,
	),
	configurationLines(plain),
	frameLine(
		0,
		5,
		100,
		2000,
		"i24",
		Float64Array.from({ length: 40 }, (_, i) => 8_000_000 - 399_999 * i),
	),
	frameLine(
		0,
		5,
		101,
		35_333,
		"d",
		Float64Array.from({ length: 40 }, (_, i) => 12.5 * i - 7),
	),
	statusLine({ bandIndex: 0, activity: "running", batteryPercent: 50 }, 140_000),
	contactsLine(0, 140_000, [1, 2, 3, 4, 5, 6, 7, Number.NaN]),
	acknowledgementLine(7),
];

function seal(body: string): string {
	return `${body}~${crcDigits(crc16OfText(body))}`;
}

async function recordsOf(
	chunks: readonly Uint8Array[],
): Promise<{ parser: BoardParser; records: LoggedRecord[] }> {
	const log = createLoggingParser();
	await pipeline(Readable.from(chunks), new LineCapStream(() => {}), createLineSplitter(), async (lines) => {
		for await (const line of lines) log.parser.parse(line as Uint8Array);
	});
	return log;
}

describe("whatever arrives", () => {
	test("any chunking of a conversation gives the same records", async () => {
		const bytes = bytesOf(conversation.join(""));
		const whole = await recordsOf([bytes]);
		expect(whole.records.length).toBe(conversation.length);
		await fc.assert(
			fc.asyncProperty(fc.array(fc.nat(bytes.length), { maxLength: 60 }), async (cuts) => {
				const ends = [...cuts, bytes.length].toSorted((a, b) => a - b);
				const chunks = ends
					.map((end, i) => bytes.subarray(ends[i - 1] ?? 0, end))
					.filter((chunk) => chunk.length > 0);
				expect((await recordsOf(chunks)).records).toEqual(whole.records);
			}),
			{ numRuns: 40 },
		);
	});

	test("no bytes make the parser or the board's reader throw, and none make a frame", () => {
		const reader = new HostLineReader();
		const digits = fc.stringMatching(/^[A-Z~ ,.0-9-]{0,60}$/).map(bytesOf);
		fc.assert(
			fc.property(fc.oneof(fc.uint8Array({ maxLength: 200 }), digits), (bytes) => {
				const { parser } = createLoggingParser();
				parser.parse(bytes);
				expect(parser.counters.frames).toBe(0);
				reader.read(bytes);
			}),
			{ numRuns: 2000 },
		);
	});

	test("no well-sealed nonsense makes the parser throw", () => {
		const { parser } = createLoggingParser();
		parseText(configurationLines(plain), parser);
		const field = fc.oneof(
			fc.nat(100).map(String),
			u32.map(String),
			fc.constantFrom(
				"-",
				"*",
				"",
				"d",
				"i16",
				"f32",
				"1,2",
				"0,1,1:2,3:4",
				"AAAA",
				"listed",
				"adjacent",
				"1e-9",
				"real",
				"running",
			),
			word,
		);
		fc.assert(
			fc.property(fc.constantFrom(..."HBCRFSZANQ"), fc.array(field, { maxLength: 12 }), (type, fields) => {
				const { lines } = parser.counters;
				const bad = badLineCount(parser);
				parser.parse(bytesOf(seal(`${type} ${fields.join(" ")}`)));
				// Each line is either understood or counted, never both and never neither.
				expect(parser.counters.lines - lines + badLineCount(parser) - bad).toBe(1);
			}),
			{ numRuns: 3000 },
		);
	});

	test("every single flipped bit of a conversation is noticed", () => {
		for (const [at, line] of conversation.entries()) {
			const rest = conversation.slice(0, at).join("");
			for (let bit = 0; bit < 8 * line.length; bit++) {
				const flipped = bytesOf(line).slice();
				flipped[bit >> 3]! ^= 1 << (bit & 7);
				const { parser, records } = createLoggingParser();
				parseText(rest, parser);
				const before = records.length;
				// Another line follows, for the flip may have hit the line's end.
				const after = Buffer.concat([flipped, bytesOf(acknowledgementLine(99))]);
				for (const part of splitLines(after)) parser.parse(part);
				const added = records.slice(before);
				expect(
					added.filter((record) => record.id !== 99),
					`line ${at}, bit ${bit}`,
				).toEqual([]);
				expect(badLineCount(parser)).toBeGreaterThanOrEqual(1);
			}
		}
	});
});

function splitLines(bytes: Uint8Array): Uint8Array[] {
	const lines: Uint8Array[] = [];
	for (let start = 0; start < bytes.length; ) {
		const feed = bytes.indexOf(0x0a, start);
		const end = feed < 0 ? bytes.length : feed;
		lines.push(bytes.subarray(start, end));
		start = end + 1;
	}
	return lines;
}
