import { describe, expect, test } from "vitest";
import { createPattern, type PairRule } from "../../core/band/patterns.ts";
import { DeviceClock } from "../../core/wire/device-clock.ts";
import { longestLine } from "../../core/wire/limits.ts";
import { LineCap } from "../../core/wire/line-cap.ts";
import { parseLines } from "../../core/wire/parse-lines.ts";
import { readingCountOf } from "../../core/wire/reading-count.ts";
import { largestGap, SequenceTracker } from "../../core/wire/sequence.ts";
import { badLineCount, bytesOf, createLoggingParser } from "./record-log.ts";

describe("sequence numbers", () => {
	test.each([
		["the next", 5, 6, "next", 0],
		["a gap of one", 5, 7, "next", 1],
		["over the wrap", 0xffffffff, 0, "next", 0],
		["a gap over the wrap", 0xfffffffe, 1, "next", 2],
		["the largest gap", 0, largestGap + 1, "next", largestGap],
		["more than the largest gap", 0, largestGap + 2, "restarted", 0],
		["one back", 5, 4, "restarted", 0],
		["from zero again", 90_000, 0, "restarted", 0],
	] as const)("%s", (_, first, second, kind, lost) => {
		const tracker = new SequenceTracker();
		expect(tracker.step(first, false)).toBe("first");
		expect(tracker.step(second, false)).toBe(kind);
		expect(tracker.lostBefore).toBe(lost);
	});

	test("the same number at the same time is a repetition, at another time a fresh start", () => {
		const tracker = new SequenceTracker();
		tracker.step(0, false);
		expect(tracker.step(0, true)).toBe("repeated");
		expect(tracker.step(0, false)).toBe("restarted");
	});
});

describe("device time", () => {
	test("goes on over several wraps of the 32-bit counter", () => {
		const clock = new DeviceClock();
		const minute = 60_000_000;
		for (let i = 0; i < 300; i++) {
			const raw = (4_294_000_000 + i * minute) % 2 ** 32;
			expect(clock.ranBackwards(raw)).toBe(false);
			expect(clock.unwrap(raw)).toBe(4_294_000_000 + i * minute);
		}
	});

	test("takes records of different bands a little out of order", () => {
		const clock = new DeviceClock();
		clock.unwrap(2_000_000);
		expect(clock.unwrap(1_990_000)).toBe(1_990_000);
		expect(clock.unwrap(2_010_000)).toBe(2_010_000);
	});

	test("sees a clock that started afresh and never runs backwards over it", () => {
		const clock = new DeviceClock();
		clock.unwrap(500_000_000);
		expect(clock.ranBackwards(40)).toBe(true);
		clock.restart(3_000_000);
		expect(clock.unwrap(40)).toBe(503_000_000);
		expect(clock.unwrap(140)).toBe(503_000_100);
	});
});

describe("the cap on lines", () => {
	const pass = (cap: LineCap, text: string) => Buffer.from(cap.pass(bytesOf(text))).toString("latin1");

	test("passes what is short enough as it is, without copying", () => {
		const chunk = bytesOf("abc\ndefgh\nij");
		expect(new LineCap(5).pass(chunk)).toBe(chunk);
	});

	test("cuts a line that is too long, in one chunk or in many", () => {
		expect(pass(new LineCap(5), "ab\nabcdefgh\ncd\n")).toBe("ab\nabcde\ncd\n");
		const cap = new LineCap(5);
		expect(["ab", "cd", "efg", "hij", "\nk", "\n"].map((part) => pass(cap, part)).join("")).toBe(
			"abcde\nk\n",
		);
	});

	test("lets a stream without line ends pass only once up to the cap", () => {
		const cap = new LineCap();
		let passed = 0;
		for (let i = 0; i < 100; i++) passed += cap.pass(new Uint8Array(4096).fill(0x55)).length;
		expect(passed).toBe(longestLine);
	});

	test("the line that was cut is counted as too long", () => {
		const capped = new LineCap().pass(new Uint8Array(100_000).fill(0x41));
		expect(parseLines([capped]).bad["too-long"]).toBe(1);
	});
});

describe("how many readings a named drive has", () => {
	const rules: PairRule[] = [
		"adjacent",
		"opposite",
		...Array.from({ length: 31 }, (_, n) => `skip-${n + 1}` as const),
	];

	test("agrees with the patterns themselves for every ring and drive", () => {
		for (let count = 8; count <= 64; count++) {
			for (const rule of rules) {
				const expected = readingCountOf(count, rule, "four-terminal");
				if (expected === null) expect(() => createPattern(count, rule)).toThrow(RangeError);
				else
					expect([count, rule, createPattern(count, rule).terminals.length / 4]).toEqual([
						count,
						rule,
						expected,
					]);
			}
			expect(createPattern(count, "adjacent", "two-terminal").terminals.length / 4).toBe(
				readingCountOf(count, "adjacent", "two-terminal"),
			);
		}
	});

	// N(N − 3) and N(N − 1)/2: Adler et al., Physiol. Meas. 32:731 (2011) count measurements of these patterns so.
	test.each([
		[16, "four-terminal", 208],
		[32, "four-terminal", 928],
		[16, "two-terminal", 120],
		[32, "two-terminal", 496],
	] as const)("%i electrodes, %s: %i", (count, terminals, expected) => {
		expect(readingCountOf(count, "adjacent", terminals)).toBe(expected);
	});
});

describe("joining a stream that is already running", () => {
	test("the tail of a line is not counted as bad, the next damaged line is", () => {
		const { parser } = createLoggingParser();
		parser.restart();
		parser.parse(bytesOf("000 running 87~10EB"));
		expect(badLineCount(parser)).toBe(0);
		parser.parse(bytesOf("000 running 87~10EB"));
		expect(badLineCount(parser)).toBe(1);
	});

	test("a first line that is whole is taken", () => {
		const { parser, records } = createLoggingParser();
		parser.restart();
		parser.parse(bytesOf("S 0 34850000 running 87~10EB"));
		expect(records.length).toBe(1);
	});
});
