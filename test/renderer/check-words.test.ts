/** The words of the signal check: every finding says what it is and, unless it is good, what to do. */
import { describe, expect, test } from "vitest";
import { rangingReasons } from "../../core/signal/ranging.ts";
import type { BandDrive, CheckFinding, CheckResult } from "../../core/signal/signal-check.ts";
import { judgeFinding } from "../../core/signal/signal-check.ts";
import { checkSummary, checkWords, driveWords, stepWords } from "../../renderer/text/check-words.ts";
import { clockWords, contactDetail } from "../../renderer/text/words.ts";
import { readingGrade } from "../exercise/readability.ts";

const drive = (outcome: Partial<BandDrive["outcome"]>): BandDrive => ({
	bandIndex: 0,
	limitMilliamp: 1,
	frequencyHertz: 50_000,
	takesCommands: true,
	outcome: { currentMilliamp: 1, gain: 41, largestShare: 0.65, verdict: "good", reasons: [], ...outcome },
});
const contact = (off: readonly number[], poor: readonly number[] = []): CheckFinding => ({
	step: "contact",
	bands: [
		{
			bandIndex: 0,
			ohm: Array.from({ length: 16 }, (_, e) => (off.includes(e) ? null : poor.includes(e) ? 4000 : 300)),
			verdicts: Array.from({ length: 16 }, (_, e) =>
				off.includes(e) ? "off" : poor.includes(e) ? "poor" : "good",
			),
		},
	],
});

const findings: readonly CheckFinding[] = [
	{ step: "link", isStreaming: false },
	{ step: "band", electrodeCounts: [32], bandCount: 1, expectedElectrodes: 16, pattern: "" },
	{ step: "band", electrodeCounts: [16], bandCount: 2, expectedElectrodes: 16, pattern: "" },
	contact([6]),
	contact([1, 2, 6]),
	contact([], [3]),
	{ step: "contact", bands: [] },
	{ step: "drive", bands: [drive({ verdict: "failed", reasons: ["still-clipped"] })] },
	{ step: "drive", bands: [drive({ verdict: "failed", reasons: ["board-silent"] })] },
	{ step: "drive", bands: [drive({ verdict: "fair", reasons: ["gain-at-most"] })] },
	{ step: "drive", bands: [drive({ verdict: "fair", largestShare: null, reasons: ["full-scale-unknown"] })] },
	{ step: "noise", bands: [] },
	{
		step: "noise",
		bands: [
			{
				bandIndex: 0,
				signalToNoiseDecibel: 45,
				weakestDecibel: 30,
				reciprocityPercent: 3,
				reciprocityHighPercent: 9,
				suspects: [],
			},
		],
	},
	{ step: "rest", outcome: "moved", seconds: 5, driftPercent: 4, signalToNoiseDecibel: null },
	{ step: "rest", outcome: "refused", seconds: 5, driftPercent: null, signalToNoiseDecibel: null },
];

describe("a step that is not good", () => {
	test.each(findings.map((finding) => [finding.step, finding] as const))(
		"of %s says what to do",
		(_, finding) => {
			expect(judgeFinding(finding)).not.toBe("good");
			const { found, advice } = stepWords(finding);
			expect(advice).not.toBeNull();
			expect(readingGrade([found, advice!])).toBeLessThan(9);
		},
	);
});

test("electrodes are named by their numbers, the worst kind first", () => {
	expect(stepWords(contact([6], [2]))).toEqual({
		found: "Electrode 7: off the skin. Half are below 300\u00a0Ω.",
		advice: "Press or wet electrode 7.",
	});
	expect(stepWords(contact([0, 1, 6])).advice).toBe("Press or wet electrodes 1, 2 and 7.");
});

test("current and gain say what was chosen and why, for every reason", () => {
	expect(driveWords([drive({ reasons: ["current-at-limit"] })]).found).toBe(
		"1.00\u00a0mA at 50\u00a0kHz, gain 41\u00a0×, largest reading at 65\u00a0%: the current is the most that is allowed.",
	);
	for (const reason of rangingReasons)
		expect(driveWords([drive({ reasons: [reason] })]).found).not.toContain("undefined");
});

test("the review has it on one line", () => {
	const check: CheckResult = {
		endedAt: "2026-03-04T09:15:30.250+00:00",
		seconds: 9,
		steps: [
			{ id: "contact", status: "passed-over", finding: contact([6]) },
			{ id: "drive", status: "good", finding: { step: "drive", bands: [drive({})] } },
		],
	};
	const text = checkSummary(check);
	expect(text).toContain("gone on although not all was good");
	expect(text).toContain("Electrode 7: off the skin");
	expect(text).toContain("gain 41");
});

test.each([
	[null, "followed for too short a time"],
	[12, "agrees with the computer’s"],
	[-85.2, "85\u00a0ppm slow"],
	[240, "240\u00a0ppm fast"],
])("a clock that is %s ppm off is told as %s", (ppm, text) => {
	expect(clockWords(ppm)).toBe(text);
});

test("contact on one line has the typical impedance", () => {
	const contacts = [300, 1500, null].map((ohm) => ({
		ohm,
		verdict: ohm === null ? ("off" as const) : ohm > 1000 ? ("fair" as const) : ("good" as const),
	}));
	expect(contactDetail(contacts)).toBe("Electrodes off the skin: 3; fair contact: 2; median 1.5\u00a0kΩ");
	expect(checkWords.contacts.off).toBe("off the skin");
});
