import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { frameLine } from "../../core/wire/board-lines.ts";
import { HostLineReader, refusalReasons } from "../../core/wire/host-command.ts";
import { longestLine, mostReadings } from "../../core/wire/limits.ts";
import { readingEncodings } from "../../core/wire/readings.ts";
import { badLineCount, bytesOf, createLoggingParser } from "./record-log.ts";

const document = readFileSync(fileURLToPath(new URL("../../core/wire/PROTOCOL.md", import.meta.url)), "utf8");
const exampleLines = document
	.split("\n")
	.flatMap((line) => /(?:^|`)([A-Z] [^`]*~[0-9A-F]{4})/.exec(line)?.[1] ?? []);

/** Tables may be padded for the eye. */
const unpadded = document.replace(/ {2,}/g, " ");

describe("PROTOCOL.md", () => {
	test("shows only lines that the parser takes", () => {
		const ofBoard = exampleLines.filter((line) => !line.startsWith("Q"));
		expect(ofBoard.length).toBeGreaterThanOrEqual(14);
		// The document tells hello and configuration before frames, as a board does.
		const { parser } = createLoggingParser();
		for (const line of ofBoard) parser.parse(bytesOf(line));
		expect(badLineCount(parser)).toBe(0);
		expect(parser.counters.frames).toBe(4);
	});

	test("shows only commands that a board takes, and all of them", () => {
		const reader = new HostLineReader();
		const read = exampleLines
			.filter((line) => line.startsWith("Q"))
			.map((line) => reader.read(bytesOf(line)));
		const commands = read.map((line) => (line.kind === "command" ? line.command.command : line.kind));
		const all = ["alive", "contact", "current", "frequency", "gain", "hello", "start", "stop"];
		expect(new Set(commands)).toEqual(new Set(all));
		expect(commands.length).toBe(all.length);
	});

	test.each([...refusalReasons, ...readingEncodings])("explains '%s'", (word) => {
		expect(unpadded).toContain(`| \`${word}\` |`);
	});

	test("its longest line holds the most readings in decimals of eight characters", () => {
		const readings = new Float64Array(mostReadings)
			.fill(-8388608)
			.map((value, i) => (i % 2 === 0 ? value : 12345678));
		const line = frameLine(3, 65535, 4294967295, 4294967295, "d", readings);
		expect(line.length).toBeLessThanOrEqual(longestLine);
		expect(document).toContain("**40,960 bytes**");
	});

	test("its table of throughput agrees with the encoder", () => {
		// 208 readings of int24 with the longest header: the row says 874 bytes.
		const line = frameLine(0, 65535, 4294967295, 4294967295, "i24", new Float64Array(208));
		const row = unpadded.split("\n").find((text) => text.startsWith("| 16 | 208 | `i24` |"));
		expect(row).toContain(`| ${line.length} |`);
	});
});
