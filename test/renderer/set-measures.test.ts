import { describe, expect, test } from "vitest";
import type { UnsafeComparison } from "../../core/exercise/progress.ts";
import { placeSpans, type SetSpan, shiftSpans } from "../../renderer/draw/set-spans.ts";
import { caveatWords, symmetryWords, unsafeWords, verdictWords } from "../../renderer/text/comparison.ts";
import { qualityFacts } from "../../renderer/text/how-measured.ts";
import {
	formatDifference,
	formatMeasure,
	formatShownDifference,
	formatSpread,
} from "../../renderer/text/measure.ts";
import { marksBetween } from "../../renderer/text/measure-pairs.ts";
import { objectiveDraft } from "../../renderer/text/objective.ts";
import { reviewWords } from "../../renderer/text/review-words.ts";
import { deviationOf, setMeasures, setMeasureWords } from "../../renderer/text/set-measures.ts";
import {
	createConditions,
	createRepetition,
	createReview,
	createSetRecord,
	createSetSummary,
} from "./create-review.ts";

function measuresOf(set = createSetRecord()) {
	return new Map(setMeasures(set, "S/m").map((measure) => [measure.id, measure]));
}

describe("the rows of a set", () => {
	test("give each mean its spread over full repetitions alone", () => {
		const rows = measuresOf();
		// Holds of 4 and 6 s: standard deviation √2; peaks of 60 and 64 %: √8. The partial one has no part.
		expect(rows.get("hold")).toMatchObject({ value: "5.0\u00a0s", detail: "±\u00a01.4\u00a0s" });
		expect(rows.get("peak")).toMatchObject({ value: "62\u00a0%", detail: "±\u00a03\u00a0%" });
	});

	test("keep the automatic count beside a correction", () => {
		const set = createSetRecord({
			count: {
				automatic: { full: 2, partial: 1 },
				personal: null,
				corrections: [
					{
						count: { full: 3, partial: 0 },
						by: "clinician",
						at: "2026-03-04T10:00:00.000Z",
						reason: "one was slow",
					},
				],
			},
			countThatHolds: { full: 3, partial: 0 },
		});
		const rows = measuresOf(set);
		expect(rows.get("count")).toMatchObject({ value: "3 of 10", detail: "corrected by a clinician" });
		expect(rows.get("automatic")?.value).toBe("2 and 1 partial");
	});

	test("say why a ratio or a slope is missing", () => {
		const rows = measuresOf();
		expect(rows.get("co-contraction")?.detail).toBe("needs a hamstring reference");
		expect(rows.get("fatigue")?.detail).toBe("fewer than three full repetitions");
		const noisy = createSetRecord({
			summary: createSetSummary({ coContraction: { state: "within-noise" } }),
		});
		expect(measuresOf(noisy).get("co-contraction")?.detail).toBe("too close to noise at rest");
	});

	test("give a slope with its interval and say when it is no clear one", () => {
		const fatigue = {
			slope: -1.25,
			low: -3,
			high: 0.5,
			confidence: 0.95,
			percentPerRepetition: -2,
			repetitions: 8,
			trend: "unclear",
		} as const;
		const rows = measuresOf(createSetRecord({ summary: createSetSummary({ fatigue }) }));
		expect(rows.get("fatigue")).toMatchObject({
			value: "−1.3\u00a0points per repetition",
			detail: "−3.0 to +0.5; no clear slope",
		});
	});

	test("show plain change in its own unit, never as a percentage, where no reference was taken", () => {
		const summary = createSetSummary({ unit: "raw", meanPeak: 0.0123, meanEngagement: 0.01 });
		const rows = measuresOf(createSetRecord({ summary, peaks: [0.012, 0.0126, 0.004] }));
		expect(rows.get("peak")?.value).toBe("12.3\u00a0mS/m");
		expect(rows.get("mean")?.value).not.toContain("%");
	});

	test("of a set that the person counted hold the count and the answers", () => {
		const set = createSetRecord({
			summary: null,
			countedIn: null,
			count: { automatic: null, personal: { full: 9, partial: 0 }, corrections: [] },
			countThatHolds: { full: 9, partial: 0 },
		});
		expect([...measuresOf(set).keys()]).toEqual(["count", "automatic", "pain", "effort"]);
		expect(measuresOf(set).get("automatic")?.value).toBe("not counted");
	});

	test("call no spread none that is only smaller than what is shown", () => {
		const even = createSetRecord({
			repetitions: [createRepetition(12, 4), createRepetition(22, 4.02)],
			peaks: [60, 60.2],
		});
		expect(measuresOf(even).get("hold")?.detail).toBe("±\u00a0<\u00a00.1\u00a0s");
		expect(measuresOf(even).get("peak")?.detail).toBe("±\u00a0<\u00a01\u00a0%");
	});

	test("leave a spread out where there is but one repetition", () => {
		expect(deviationOf([5])).toBeNull();
		expect(deviationOf([1, 2, 3, 4])).toBeCloseTo(Math.sqrt(5 / 3));
	});
});

test("figures of measures: values, differences in points, errors in two figures", () => {
	expect(formatMeasure(61.6, "%")).toBe("62\u00a0%");
	expect(formatMeasure(null, "s")).toBe("–");
	expect(formatMeasure(-1.04, "% per repetition")).toBe("−1.0\u00a0%");
	expect(formatDifference(7.2, "%")).toBe("+7\u00a0points");
	expect(formatDifference(-0.31, "s")).toBe("−0.3\u00a0s");
	expect(formatShownDifference(3.93, 3.97, "s")).toBe("+0.1\u00a0s");
	expect(formatShownDifference(0.944, 0.988, "ratio")).toBe("+0.05");
	expect(formatDifference(0.0021, "S/m")).toBe("+2.1\u00a0mS/m");
	expect(formatSpread(1.234, "%")).toBe("1.2\u00a0points");
	expect(formatSpread(0.014, "ratio")).toBe("0.014");
	expect(formatSpread(12.34, "%")).toBe("12\u00a0points");
	expect(formatSpread(1.672, "s")).toBe("1.7\u00a0s");
	expect(formatSpread(0.0408, "s")).toBe("0.04\u00a0s");
});

describe("words on comparing", () => {
	const reasons: readonly UnsafeComparison[] = [
		"band-changed",
		"band-moved",
		"other-side",
		"limb-changed",
		"reference-retaken",
		"reference-missing",
		"drive-changed",
		"dose-changed",
		"software-changed",
		"simulated-with-real",
	];

	test("say for each reason what differs and what that does", () => {
		const said = reasons.map(unsafeWords);
		expect(new Set(said.map(({ what }) => what)).size).toBe(reasons.length);
		for (const { why } of said) expect(why).toMatch(/\.$/);
	});

	test("call a change neither significant nor an improvement", () => {
		expect(verdictWords("within-expected")).toBe("within expected variation");
		expect(verdictWords("larger-than-expected")).toBe("larger than expected variation");
		expect(verdictWords("unknown")).toBe("not judged, error unknown");
	});

	test("of both sides come with their caveats", () => {
		expect(symmetryWords({ state: "measured", percent: 91.4, caveats: [] }, null)).toBe(
			"91\u00a0% of the other side, error unknown",
		);
		// 1.96 standard errors.
		expect(symmetryWords({ state: "measured", percent: 91.4, caveats: [] }, 2)).toContain(
			"±\u00a03.9\u00a0points",
		);
		expect(symmetryWords({ state: "not-measured", reason: "divisor-not-positive" }, null)).toContain(
			"not measured",
		);
		expect(caveatWords("not-for-clearance")).toContain("must not decide");
	});

	test("mark two people, another side and unknown conditions", () => {
		const first = createReview();
		expect(marksBetween(first, createReview())).toEqual([]);
		const other = createReview({ conditions: createConditions({ side: "right" }) });
		expect(marksBetween(first, other).map(({ what }) => what)).toEqual(["other side"]);
		const stranger = createReview({
			session: { ...first.session, personId: 99 },
			conditions: null,
		});
		expect(marksBetween(first, stranger).map(({ what }) => what)).toEqual([
			"another person",
			"conditions not known",
		]);
	});
});

describe("the draft of the objective part", () => {
	test("holds measured facts of every set, and that they are invented", () => {
		const draft = objectiveDraft(createReview());
		expect(draft).toContain("Invented data");
		expect(draft).toContain("Quad set, left thigh:");
		expect(draft).toContain("peak engagement 62 % ± 3 %");
		expect(draft).toContain("pain 2, effort 3");
	});

	test("names what makes it incomparable with the session before", () => {
		const draft = objectiveDraft(
			createReview({
				sincePrevious: { sessionId: 6, startedAt: "2026-03-02T09:00:00.000Z", unsafe: ["band-moved"] },
			}),
		);
		expect(draft).toContain("Not comparable with the session before: band in another place.");
	});
});

test("no text of these screens speaks of force, strength or muscle activity but to deny it", () => {
	const texts = [...textsIn(reviewWords), ...textsIn(setMeasureWords)];
	expect(texts.length).toBeGreaterThan(100);
	for (const text of texts.filter((each) => /\b(force|strength|EMG|activation)\b/i.test(each))) {
		expect(text).toMatch(/\bnot force\b/);
	}
});

test("the signal's facts count lost frames as a share of all", () => {
	const facts = qualityFacts(createReview());
	expect(facts[0]?.value).toBe("600; 6 (1.0\u00a0%) lost, 2 bad lines");
	expect(facts.at(-1)?.value).toBe("400\u00a0Ω to 500\u00a0Ω, median 500\u00a0Ω; unreadable at 1");
});

describe("sets over the lines", () => {
	const span: SetSpan = {
		setId: 1,
		from: 10,
		to: 40,
		name: "Quad set, set 1",
		shortName: "1",
		repetitions: [[12, 17]],
	};
	const measure = (text: string): number => 7 * text.length;

	test("lie where they are in time and are cut at the ends", () => {
		const [placed] = placeSpans([span], 20, 60, 100, 400, measure);
		expect(placed).toMatchObject({ left: 100, right: 300, text: "Quad set, set 1" });
	});

	test("take a shorter name, or none, where the longer has no room", () => {
		expect(placeSpans([span], 0, 300, 0, 400, measure)[0]?.text).toBe("1");
		expect(placeSpans([span], 0, 3000, 0, 400, measure)[0]?.text).toBe("");
	});

	test("out of sight are left out", () => {
		expect(placeSpans([span], 50, 60, 0, 400, measure)).toEqual([]);
	});

	test("move with another origin of time", () => {
		expect(shiftSpans([span], -10)[0]).toMatchObject({ from: 0, to: 30, repetitions: [[2, 7]] });
	});
});

function textsIn(value: unknown): string[] {
	if (typeof value === "string") return [value];
	if (typeof value === "object" && value !== null) return Object.values(value).flatMap(textsIn);
	return [];
}
