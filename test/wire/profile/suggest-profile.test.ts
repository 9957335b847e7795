/** Guessing how an unknown board writes: logs of made-up boards, each in its own way. */
import { describe, expect, test } from "vitest";
import { createPattern } from "../../../core/band/patterns.ts";
import { parseProfile } from "../../../core/wire/profile/board-profile.ts";
import { patternsWith, suggestProfile } from "../../../core/wire/profile/suggest-profile.ts";
import { badLines, createReader } from "./create-profile.ts";

/** Readings that differ from frame to frame and from each other, as a person's do. */
function reading(frame: number, i: number): number {
	return Math.round(1000 * (180 + 90 * Math.sin(i * 0.7) + 2 * Math.sin(frame * 0.9 + i))) / 1000;
}

function log(
	frameCount: number,
	readingCount: number,
	write: (frame: number, values: number[]) => string,
): string {
	return Array.from({ length: frameCount }, (_, frame) =>
		write(
			frame,
			Array.from({ length: readingCount }, (_, i) => reading(frame, i)),
		),
	).join("\n");
}

interface MadeUp {
	readonly text: string;
	readonly electrodeCount: number;
	readonly terminals: string;
	readonly lines?: number;
	readonly kinds: readonly string[];
}

const boards: Record<string, MadeUp> = {
	"a third board: unknown heading, decimals, 16 electrodes two-terminal": {
		text: `Bioboard rev C log\nt_ms;cnt;${Array.from({ length: 120 }, (_, i) => `Z${i}`).join(";")}\n${log(30, 120, (frame, values) => `${1200 + 40 * frame + (frame % 3)};${77 + frame};${values.join(";")}`)}`,
		electrodeCount: 16,
		terminals: "two-terminal",
		kinds: ["time", "counter"],
	},
	"decimal commas": {
		text: log(
			20,
			208,
			(frame, values) => `${frame}\t${values.map((value) => String(value).replace(".", ",")).join("\t")}`,
		),
		electrodeCount: 16,
		terminals: "four-terminal",
		kinds: ["counter"],
	},
	"blanks, a trailing separator and comments": {
		text: `# start\n${log(20, 40, (frame, values) => `${(frame * 0.02).toFixed(3)} ${values.join(" ")} `)}\n# end`,
		electrodeCount: 8,
		terminals: "four-terminal",
		kinds: ["time"],
	},
	keys: {
		text: log(
			10,
			28,
			(frame, values) => `n=${frame + 5}, ${values.map((value, i) => `z${i}=${value}`).join(", ")}`,
		),
		electrodeCount: 8,
		terminals: "two-terminal",
		kinds: ["counter"],
	},
	"a line for each drive": {
		text: log(10 * 16, 13, (line, values) => `${line % 16},${values.join(",")}`),
		electrodeCount: 16,
		terminals: "four-terminal",
		lines: 16,
		kinds: ["row"],
	},
};

describe("a made-up board", () => {
	test.each(Object.entries(boards))("%s", (_, { text, electrodeCount, terminals, lines = 1, kinds }) => {
		const suggestion = suggestProfile(text)!;
		expect(suggestion.columns.filter(({ kind }) => kind !== "reading").map(({ kind }) => kind)).toEqual(
			kinds,
		);
		const read = parseProfile(suggestion.profile);
		if (!read.ok) throw new Error(JSON.stringify(read.error));
		const profile = read.value;
		expect(profile.electrodeCount).toBe(electrodeCount);
		expect(profile.pattern).toMatchObject({ kind: "named", terminals });
		expect(profile.frame.lines).toBe(lines);
		const { reader, frames, read: parse } = createReader(profile);
		parse(...text.split("\n"));
		expect(badLines(reader)).toEqual({});
		const dataLines = text.split("\n").filter((line) => /^\s*(n=)?\d/.test(line)).length;
		expect(frames.length).toBe(dataLines / lines);
		if (lines > 1) return;
		expect(frames[2]!.values).toEqual(
			frames[2]!.values.map((_, i) => (profile.value.isMagnitude ? expect.any(Number) : reading(2, i))),
		);
		expect(frames.slice(1).every(({ lostBefore }) => lostBefore === 0)).toBe(true);
	});

	test("a sample that was cut off at both ends", () => {
		const text = log(20, 40, (_, values) => values.join(","));
		const suggestion = suggestProfile(text.slice(50, -50))!;
		expect(suggestion.profile).toMatchObject({ electrodeCount: 8, comments: [] });
	});

	test.each(["", "hello", "1,2,3", "a b c\nd e f"])("nothing to go by: '%s'", (text) => {
		expect(suggestProfile(text)).toBeNull();
	});
});

test("patterns are found by their number of readings", () => {
	expect(patternsWith(208).map(({ electrodeCount, terminals }) => [electrodeCount, terminals])).toEqual([
		[16, "four-terminal"],
	]);
	expect(patternsWith(120)).toContainEqual({
		electrodeCount: 16,
		drive: "adjacent",
		terminals: "two-terminal",
		readingCount: 120,
	});
	for (const one of [...patternsWith(96), ...patternsWith(28), ...patternsWith(928), ...patternsWith(496)]) {
		const pattern = createPattern(one.electrodeCount, one.drive, one.terminals);
		expect(pattern.terminals.length / 4).toBe(one.readingCount);
	}
	expect(patternsWith(7)).toEqual([]);
});

test("a reading that happens to rise is seldom taken for a clock, however short the sample", () => {
	// Numerical Recipes' linear congruential generator, so that every run sees the same noise.
	let state = 1;
	const noise = () => {
		state = (Math.imul(1664525, state) + 1013904223) >>> 0;
		return state / 2 ** 32;
	};
	const logs = Array.from({ length: 400 }, () =>
		Array.from({ length: 4 }, (_, frame) => {
			const readings = Array.from({ length: 28 }, (_, i) => (500 + 10 * i + noise()).toFixed(3));
			return `${40 * frame + (frame % 2)},${readings.join(",")}`;
		}).join("\n"),
	);
	const found = logs.map(
		(text) => suggestProfile(text)!.columns.filter(({ kind }) => kind === "reading").length,
	);
	expect(logs.every((text) => suggestProfile(text)!.profile.time?.column === 0)).toBe(true);
	expect(found.filter((count) => count === 28).length).toBeGreaterThan(0.9 * logs.length);
});
