/** The lines of `core/wire/vectors`, made with Python's binascii, struct and base64 and not with our encoder. */
import { describe, expect, test } from "vitest";
import { badLineCauses } from "../../core/wire/bad-line.ts";
import { crc16, crc16OfText, crcDigits } from "../../core/wire/crc.ts";
import { HostLineReader } from "../../core/wire/host-command.ts";
import badLines from "../../core/wire/vectors/bad-lines.json" with { type: "json" };
import boardLines from "../../core/wire/vectors/board-lines.json" with { type: "json" };
import checksums from "../../core/wire/vectors/checksums.json" with { type: "json" };
import hostLines from "../../core/wire/vectors/host-lines.json" with { type: "json" };
import { badLineCount, bytesOf, createLoggingParser } from "./record-log.ts";

describe("checksums", () => {
	test.each(checksums.cases)("$crc", ({ text, crc }) => {
		expect(crcDigits(crc16(bytesOf(text)))).toBe(crc);
		expect(crcDigits(crc16OfText(text))).toBe(crc);
	});
});

describe("lines of a board", () => {
	test.each(boardLines.cases)("$name", ({ lines, records: expected }) => {
		const { parser, records } = createLoggingParser();
		for (const line of lines) parser.parse(bytesOf(line));
		expect(records).toEqual(expected);
		expect(badLineCount(parser)).toBe(0);
	});
});

describe("bad lines", () => {
	test.each(badLines.cases)("$cause: $name", ({ cause, before, line }) => {
		const { parser, records } = createLoggingParser();
		for (const earlier of before) parser.parse(bytesOf(earlier));
		expect(badLineCount(parser)).toBe(0);
		const recordsBefore = records.length;
		parser.parse(bytesOf(line));
		expect(parser.counters.bad).toMatchObject({ [cause]: 1 });
		expect(badLineCount(parser)).toBe(1);
		expect(records.length).toBe(recordsBefore);
	});

	test("there is a vector for every cause", () => {
		expect(new Set(badLines.cases.map(({ cause }) => cause))).toEqual(new Set(badLineCauses));
	});
});

describe("lines of a host", () => {
	test.each(hostLines.cases)("$name", ({ line, read }) => {
		expect(new HostLineReader().read(bytesOf(line))).toEqual(read);
	});
});
