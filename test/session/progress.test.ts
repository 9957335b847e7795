import { expect, test } from "vitest";
import { progressOfPerson } from "../../app/session/progress.ts";
import { reviewOf, sessionTrends } from "../../app/session/session-review.ts";
import type { NewSet } from "../../app/store/care-types.ts";
import type { Store } from "../../app/store/store.ts";
import { dayNumberOf, dayOfNumber } from "../../core/exercise/calendar-day.ts";
import {
	conditions,
	createReference,
	createResult,
	createSet,
	createSummary,
	draft,
} from "../store/create-care.ts";
import {
	createConfiguration,
	createFrame,
	createOpenStore,
	faultOf,
	newSession,
	series,
	unwrap,
} from "../store/create-store.ts";

const monday = dayNumberOf("2026-03-02");
const band = {
	name: "Band 16",
	electrodeCount: 16,
	electrodeWidth: 0.02,
	firstElectrodeDegrees: 0,
	direction: "anticlockwise",
	positions: null,
} as const;

function createScene(affectedSide: "left" | "both" = "left") {
	const { store } = createOpenStore();
	const { id } = unwrap(store.savePerson({ id: null, code: "P-01", displayName: null, affectedSide }));
	const bandId = unwrap(store.saveBand(band));
	const inForce = { ...conditions, bandId };
	const referenceId = unwrap(store.addReference(createReference({ personId: id, conditions: inForce })));
	return { store, personId: id, conditions: { ...inForce, referenceId } };
}

/** A session of the given sets, so many days after the first Monday. */
function sit(store: Store, personId: number, day: number, sets: readonly Partial<NewSet>[]): number {
	const startedAt = `${dayOfNumber(monday + day)}T10:00:00.000+01:00`;
	const recorder = unwrap(store.startSession({ ...newSession, personId, startedAt }));
	recorder.addConfiguration(createConfiguration());
	const seriesId = recorder.addSeries(series);
	for (let i = 0; i < 20; i++) {
		recorder.appendTrend(
			seriesId,
			recorder.appendFrame(createFrame(i), 1e12, 0, 0.5),
			Float32Array.of(i, -i),
		);
	}
	recorder.appendEvent("mark", "Half way", null);
	recorder.appendContacts(0, Float64Array.of(100, Number.NaN));
	recorder.appendContacts(0, Float64Array.of(300, Number.NaN));
	recorder.appendContacts(0, Float64Array.of(200, Number.NaN));
	recorder.setCounters({ lost: 2, bad: { checksum: 1 } });
	unwrap(recorder.close());
	for (const set of sets) unwrap(store.addSet(createSet(recorder.sessionId, set)));
	return recorder.sessionId;
}

function withPeak(meanPeak: number, change: Partial<NewSet> = {}): Partial<NewSet> {
	return { result: createResult({ summary: createSummary({ meanPeak }) }), ...change };
}

test("follows the mean of a session's sets over days, and breaks where the band has moved", () => {
	const { store, personId, conditions: own } = createScene();
	const moved = { ...own, firstElectrodeDegrees: 20 };
	const first = sit(store, personId, 0, [
		withPeak(40, { conditions: own }),
		withPeak(60, { conditions: own }),
	]);
	sit(store, personId, 2, [withPeak(55, { conditions: own })]);
	sit(store, personId, 4, [withPeak(80, { conditions: moved })]);
	const progress = unwrap(progressOfPerson(store, personId, "2026-03-08"));
	const peak = progress.measures.find(({ kind }) => kind === "peak-engagement");
	expect(peak).toMatchObject({ exerciseId: "quad-set", side: "left", unit: "%", error: null });
	expect(peak?.points).toMatchObject([
		{ day: 0, value: 50, sets: 2, sessionId: first, brokenBy: [], change: null },
		{ day: 2, value: 55, sets: 1, brokenBy: [], change: 5, verdict: "unknown" },
		{ day: 4, value: 80, brokenBy: ["band-moved"], change: null },
	]);
	expect(progress.startedAt).toBe("2026-03-02T10:00:00.000+01:00");
});

test("tells noise from change once enough neighbouring sessions show the error", () => {
	const { store, personId, conditions: own } = createScene();
	// Moves by about 4 from one session to the next, as in the worked example of the error: SEM 2.32, change 6.44.
	const peaks = [50, 54, 52, 56, 54, 58];
	for (const [i, peak] of peaks.entries()) {
		sit(store, personId, 2 * i, [withPeak(peak, { conditions: own })]);
	}
	const { measures } = unwrap(progressOfPerson(store, personId, "2026-03-31"));
	const peak = measures.find(({ kind }) => kind === "peak-engagement")!;
	expect(peak.error?.minimalDetectableChange).toBeCloseTo(6.44, 2);
	expect(peak.points.map(({ verdict }) => verdict)).toEqual([
		null,
		"within-expected",
		"within-expected",
		"within-expected",
		"within-expected",
		"larger-than-expected",
	]);
});

test("compares the time in a target range only while the plan asks for the same", () => {
	const { store, personId, conditions: own } = createScene();
	const { item } = createSet(1);
	const higher = { ...item, dose: { ...item.dose, target: { low: 60, high: 110 } } };
	const within = (timeInTargetSeconds: number) =>
		createResult({ summary: createSummary({ timeInTargetSeconds, meanPeak: 50 }) });
	sit(store, personId, 0, [{ result: within(4), item, conditions: own }]);
	sit(store, personId, 2, [{ result: within(5), item, conditions: own }]);
	sit(store, personId, 4, [{ result: within(9), item: higher, conditions: own }]);
	const { measures } = unwrap(progressOfPerson(store, personId, "2026-03-08"));
	const breaks = (kind: string) =>
		measures.find((measure) => measure.kind === kind)!.points.map(({ brokenBy }) => brokenBy);
	expect(breaks("time-in-target")).toEqual([[], [], ["dose-changed"]]);
	// Engagement does not follow from what was asked.
	expect(breaks("peak-engagement")).toEqual([[], [], []]);
});

test("mixes no percentages with sets that have no reference", () => {
	const { store, personId, conditions: own } = createScene();
	const raw = createResult({ summary: createSummary({ unit: "raw", meanPeak: 0.01 }) });
	sit(store, personId, 0, [
		withPeak(40, { conditions: own }),
		{ result: raw, conditions: { ...own, referenceId: null } },
	]);
	const peaks = unwrap(progressOfPerson(store, personId, "2026-03-08")).measures.filter(
		({ kind }) => kind === "peak-engagement",
	);
	expect(peaks.map(({ unit, points }) => [unit, points[0]!.value])).toEqual([
		["%", 40],
		["S/m", 0.01],
	]);
});

test("counts adherence week by week, pain by the first and last sessions, effort by session", () => {
	const { store, personId, conditions: own } = createScene();
	unwrap(store.savePlan(personId, draft));
	const pains = [6, 5, 4, 3, 2, 1];
	for (const [i, pain] of pains.entries()) {
		const result = createResult({ answer: { pain, effort: i, symptoms: [] } });
		sit(store, personId, [0, 2, 4, 7, 9, 11][i]!, [{ result, painBefore: 1, conditions: own }]);
	}
	const progress = unwrap(progressOfPerson(store, personId, "2026-03-18"));
	expect(progress.adherence.map(({ from, to, sessions }) => [from, to, sessions.percent])).toEqual([
		["2026-03-02", "2026-03-08", 100],
		["2026-03-09", "2026-03-15", 100],
		["2026-03-16", "2026-03-18", 0],
	]);
	expect(progress.adherenceOverall?.sessions).toMatchObject({ done: 6, prescribed: 8 });
	expect(progress.pain.points.map(({ before, worst }) => [before, worst])).toEqual(pains.map((p) => [1, p]));
	// 5 to 2, mean of three each.
	expect(progress.pain.verdict).toBe("much-better");
	expect(progress.effort.map(({ mean, highest }) => [mean, highest])).toEqual(pains.map((_, i) => [i, i]));
});

test("sets the affected side against the other one, but never shares of two references", () => {
	const { store, personId, conditions: own } = createScene();
	const held = (seconds: number) => createResult({ summary: createSummary({ meanHoldSeconds: seconds }) });
	sit(store, personId, 0, [{ result: held(4), conditions: own }]);
	const right = { ...createSet(1).item, side: "right" } as const;
	sit(store, personId, 1, [{ result: held(5), item: right, conditions: { ...own, side: "right" } }]);
	const { symmetry } = unwrap(progressOfPerson(store, personId, "2026-03-08"));
	expect(symmetry.find(({ kind }) => kind === "hold-seconds")?.index).toMatchObject({
		state: "measured",
		percent: 80,
		caveats: ["other-limb-weakens", "fat-and-fit-differ", "not-for-clearance"],
	});
	expect(symmetry.some(({ kind }) => kind.includes("engagement"))).toBe(false);
	const both = createScene("both");
	expect(unwrap(progressOfPerson(both.store, both.personId, "2026-03-08")).symmetry).toEqual([]);
});

test("is empty, and no fault, before the first session", () => {
	const { store, personId } = createScene();
	expect(unwrap(progressOfPerson(store, personId, "2026-03-08"))).toMatchObject({
		startedAt: null,
		measures: [],
		adherence: [],
		adherenceOverall: null,
		pain: { points: [], verdict: null },
		effort: [],
		symmetry: [],
	});
	expect(faultOf(progressOfPerson(store, 99, "2026-03-08"))).toMatchObject({ what: "person" });
});

test("a review tells how it was measured, how well, and what has changed since the session before", () => {
	const { store, personId, conditions: own } = createScene();
	const first = sit(store, personId, 0, [withPeak(40, { conditions: own })]);
	const thicker = { ...own, circumferenceMetre: 0.55 };
	const second = sit(store, personId, 2, [withPeak(50, { conditions: thicker })]);
	unwrap(store.saveSoap({ sessionId: second, subjective: "s", objective: "o", assessment: "a", plan: "p" }));
	expect(unwrap(reviewOf(store, first)).sincePrevious).toBeNull();
	const review = unwrap(reviewOf(store, second));
	expect(review).toMatchObject({
		session: { id: second },
		conditions: thicker,
		soap: { assessment: "a" },
		sets: [{ sessionId: second }],
		references: [{ id: own.referenceId }],
		quality: { frames: 20, lost: 2, bad: { checksum: 1 }, usableShare: 0.5, contacts: [200, null] },
		sincePrevious: { sessionId: first, unsafe: ["limb-changed"] },
	});
	expect(review.measured).toMatchObject({
		drives: [{ electrodeCount: 16, currentMilliamp: 1, frequencyHertz: 50_000 }],
		pictures: [{ prior: "diagonal", rule: "noise-figure", lambda: 0.25, unit: "S/m" }],
	});
	expect(faultOf(reviewOf(store, 99))).toMatchObject({ what: "session" });
});

test("gives a session's lines as they were computed while recording", () => {
	const { store, personId } = createScene();
	const sessionId = sit(store, personId, 0, []);
	const trends = unwrap(sessionTrends(store, { sessionId, bandIndex: 0, points: 1000 }));
	expect(trends.regions).toEqual(series.regions);
	expect(trends.values[0]).toEqual(Array.from({ length: 20 }, (_, i) => i));
	expect(trends.values[1]![19]).toBe(-19);
	const none = unwrap(sessionTrends(store, { sessionId, bandIndex: 2, points: 1000 }));
	expect(none).toEqual({ regions: [], seconds: [], values: [] });
});
