import { describe, expect, test } from "vitest";
import type { LeftOutState } from "../../app/contract.ts";
import { leaveOutDoubt } from "../../renderer/draw/trend-lines.ts";
import { leftOutThenWords, leftOutWords, spanNames } from "../../renderer/text/left-out-words.ts";

const failing = (number: number, sign: LeftOutState["electrodes"][number]["sign"], isSinceRest = false) => ({
	number,
	sign,
	isSinceRest,
});

const leftOut = (change: Partial<LeftOutState>): LeftOutState => ({
	electrodes: [],
	readings: 0,
	share: 0.2,
	isTrustworthy: true,
	...change,
});

describe("what is left out is said in words that tell what to do", () => {
	test.each<[Partial<LeftOutState>, string]>([
		[
			{ electrodes: [failing(7, "contact")] },
			"Electrode 7 is off: its readings are left out; press or wet it.",
		],
		[
			{ electrodes: [failing(3, "noise"), failing(9, "reciprocity")] },
			"Electrodes 3 and 9 are failing: their readings are left out; press or wet them.",
		],
		[
			{ electrodes: [failing(7, "contact", true)] },
			"Electrode 7 failed when rest was taken: its readings are left out; press or wet it, then take rest again.",
		],
		[
			{ electrodes: [1, 5, 9].map((number) => failing(number, "contact")), isTrustworthy: false },
			"Check the band: too much is left out. Electrodes 1, 5 and 9 are off: their readings are left out; press or wet them.",
		],
		[{ readings: 4 }, "4 readings are at the board’s limit and left out; a lower gain helps."],
	])("%o", (change, words) => {
		expect(leftOutWords(leftOut(change))).toBe(words);
	});

	test("of a recording it says what was", () => {
		expect(leftOutThenWords(leftOut({ electrodes: [failing(7, "contact")] }))).toBe(
			"Electrode 7 failed here: its readings are left out.",
		);
	});
});

test("a span of lines has shorter names where there is less room, and names nobody for clipped readings", () => {
	const span = { from: 1, rightFrom: 1.2, to: 2, electrodes: [3, 7], isTrustworthy: true };
	expect(spanNames(span)).toEqual(["electrodes 3, 7 out", "3, 7 out", "3, 7"]);
	expect(spanNames({ ...span, isTrustworthy: false })[0]).toBe("check band: electrodes 3, 7 out");
	expect(spanNames({ ...span, electrodes: [] })[0]).toBe("readings at limit");
});

test("lines leave out what was pictured before an electrode was found failing, and nothing else", () => {
	const columns: [number[], ...(number | null)[][]] = [
		[0, 0.4, 0.6, 0.9, 1, 1.1],
		[1, 2, 30, 40, 5, 6],
	];
	const span = { from: 10.6, rightFrom: 11, to: null, electrodes: [7], isTrustworthy: true };
	const leftOut = [span, { ...span, from: 10.2, rightFrom: 10.2, electrodes: [] }];
	leaveOutDoubt(columns, { leftOut, rests: [], followed: [] }, 10);
	expect(columns[1]).toEqual([1, 2, null, null, 5, 6]);
});
