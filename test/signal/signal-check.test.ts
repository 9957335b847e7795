/** What findings mean. Bounds: common practice without a source, as `core/signal/contact.ts` and `quality.ts` say. */
import { expect, test } from "vitest";
import type { ContactVerdict } from "../../core/signal/contact.ts";
import type { RangingReason } from "../../core/signal/ranging.ts";
import {
	type CheckFinding,
	type CheckStatus,
	canPassOver,
	checkSteps,
	judgeFinding,
	overallOf,
} from "../../core/signal/signal-check.ts";

const contact = (...verdicts: ContactVerdict[]): CheckFinding => ({
	step: "contact",
	bands: [
		{
			bandIndex: 0,
			ohm: Array.from({ length: 16 }, () => 300),
			verdicts: Array.from({ length: 16 }, (_, e) => verdicts[e] ?? "good"),
		},
	],
});
const noise = (
	signalToNoiseDecibel: number,
	reciprocityPercent: number | null = 0.1,
	suspects: readonly number[] = [],
): CheckFinding => ({
	step: "noise",
	bands: [
		{
			bandIndex: 0,
			signalToNoiseDecibel,
			weakestDecibel: signalToNoiseDecibel - 6,
			reciprocityPercent,
			reciprocityHighPercent: reciprocityPercent,
			suspects,
		},
	],
});
const drive = (verdict: "good" | "fair" | "failed", ...reasons: RangingReason[]): CheckFinding => ({
	step: "drive",
	bands: [
		{
			bandIndex: 0,
			limitMilliamp: 1,
			frequencyHertz: 50_000,
			takesCommands: true,
			outcome: { currentMilliamp: 1, gain: 20, largestShare: 0.75, verdict, reasons },
		},
	],
});
const band = (electrodeCounts: readonly number[], bandCount = 1): CheckFinding => ({
	step: "band",
	electrodeCounts,
	bandCount,
	expectedElectrodes: 16,
	pattern: "adjacent/adjacent",
});
const rest = (outcome: "taken" | "moved" | "refused"): CheckFinding => ({
	step: "rest",
	outcome,
	seconds: 5,
	driftPercent: null,
	signalToNoiseDecibel: null,
});

test.each<[CheckFinding, "good" | "advice" | "stopped", boolean]>([
	[{ step: "link", isStreaming: true }, "good", false],
	[{ step: "link", isStreaming: false }, "stopped", false],
	[band([16]), "good", false],
	[band([32]), "stopped", false],
	[band([]), "stopped", false],
	[band([16], 2), "stopped", false],
	[band([16, 8], 2), "stopped", false],
	[contact(), "good", true],
	[contact("fair"), "advice", true],
	[contact("good", "poor", "fair"), "advice", true],
	[contact("off"), "stopped", true],
	[contact("off", "off"), "stopped", true],
	[contact("off", "off", "off"), "stopped", false],
	[{ step: "contact", bands: [] }, "advice", true],
	[drive("good", "current-at-limit"), "good", true],
	[drive("fair", "gain-at-most"), "advice", true],
	[drive("failed", "still-clipped"), "stopped", true],
	[drive("failed", "no-frames"), "stopped", false],
	[noise(60), "good", true],
	[noise(59), "advice", true],
	[noise(40), "advice", true],
	[noise(39), "stopped", true],
	[noise(70, 2), "good", true],
	[noise(70, 2.1), "advice", true],
	[noise(70, 5.1), "stopped", true],
	[noise(70, null), "good", true],
	[noise(70, 0.1, [6]), "advice", true],
	[{ step: "noise", bands: [] }, "stopped", false],
	[rest("taken"), "good", false],
	[rest("moved"), "stopped", false],
	[rest("refused"), "stopped", false],
])("%j is %s, and one may go on all the same: %s", (finding, verdict, mayGoOn) => {
	expect(judgeFinding(finding)).toBe(verdict);
	expect(canPassOver(finding)).toBe(mayGoOn);
});

test.each<[CheckStatus, string]>([
	["good", "good"],
	["advice", "advice"],
	["passed-over", "stopped"],
])("a check with one step that is %s is %s as a whole", (status, overall) => {
	const steps = checkSteps.map((id, i) => ({
		id,
		status: i === 2 ? status : ("good" as const),
		finding: null,
	}));
	expect(overallOf(steps)).toBe(overall);
});
