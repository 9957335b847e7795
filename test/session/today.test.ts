import { describe, expect, test } from "vitest";
import type { SetRecord } from "../../app/contract.ts";
import { soFarOn, todayOf, unansweredOn } from "../../app/session/today.ts";
import type { DoneSession } from "../../core/exercise/adherence.ts";
import { libraryExerciseOf } from "../../core/exercise/library.ts";
import { createPlan, type Plan, type PlanItem, planItemOf } from "../../core/exercise/plan.ts";
import type { SetAnswer } from "../../core/exercise/stop-rules.ts";

const raise = libraryExerciseOf("straight-leg-raise")!;
const quad = libraryExerciseOf("quad-set")!;

function itemOf(exercise: typeof raise, side: "left" | "right", sets: number): PlanItem {
	return { ...planItemOf(exercise, side), dose: { ...exercise.dose, sets } };
}

/** Two sets of raises with each leg, then one of quad sets. */
const items = [itemOf(raise, "right", 2), itemOf(raise, "left", 2), itemOf(quad, "right", 1)];

/** 2 March 2026 is a Monday. */
function createMondaysAndThursdays(): Plan {
	const draft = { from: "2026-03-02", items, schedule: { weekdays: [1, 4], timesPerDay: 2 }, reason: "" };
	const plan = createPlan(draft);
	if (!plan.ok) throw new Error(plan.error.expected);
	return plan.value;
}

const well: SetAnswer = { pain: 1, effort: 3, symptoms: [] };

function setOf(item: PlanItem, day: string, answer: SetAnswer | null = well): SetRecord {
	const facts = { item, storedAt: `${day}T09:00:00.000+01:00`, painBefore: 1, answer };
	return facts as SetRecord;
}

/** Raises with both legs. */
const sessionOn = (day: string): DoneSession => ({
	day,
	items: [{ exerciseId: raise.id, sets: 4, repetitions: 40, meanHoldSeconds: null }],
});

describe("today", () => {
	const plan = createMondaysAndThursdays();

	test("without a plan asks for nothing", () => {
		expect(todayOf(null, [], [], "2026-03-02", true)).toEqual({
			plan: null,
			setsDone: [],
			isEnded: [],
			unanswered: null,
			adherence: null,
			streak: 0,
			over: null,
			cautionsAcknowledged: true,
		});
	});

	test("on the plan's first day nothing is missed yet", () => {
		expect(todayOf(plan, [], [], "2026-03-02", false)).toMatchObject({
			plan: { timesDue: 2, timesDone: 0, timesLeft: 2, nextDay: "2026-03-05" },
			setsDone: [0, 0, 0],
			adherence: null,
			streak: 0,
			cautionsAcknowledged: false,
		});
	});

	test.each([
		["each leg for itself", [items[0], items[0], items[1]], [2, 1, 0], 0],
		["of other days not at all", [], [0, 0, 0], 0],
		["the whole list once", [items[0], items[0], items[1], items[1], items[2]], [2, 2, 1], 1],
		["an exercise that pain ended early as done", [items[0], items[1], items[2]], [1, 1, 1], 1],
		["twice", [0, 1].flatMap(() => [items[0], items[0], items[1], items[1], items[2]]), [4, 4, 2], 2],
	])("counts sets: %s", (_, done, setsDone, timesDone) => {
		const sets = [setOf(items[2]!, "2026-03-01"), ...done.map((item) => setOf(item!, "2026-03-02"))];
		const today = todayOf(plan, sets, [], "2026-03-02", true);
		expect(today.setsDone).toEqual(setsDone);
		expect(today.plan).toMatchObject({ timesDone, timesLeft: 2 - timesDone });
	});

	test("shares out an exercise that stands in the plan twice", () => {
		const twice = [items[0]!, items[2]!, items[0]!];
		const draft = { from: "2026-03-02", items: twice, schedule: plan.versions[0]!.schedule, reason: "" };
		const other = createPlan(draft);
		if (!other.ok) throw new Error(other.error.expected);
		const sets = [0, 1, 2].map(() => setOf(items[0]!, "2026-03-02"));
		expect(todayOf(other.value, sets, [], "2026-03-02", true).setsDone).toEqual([2, 0, 1]);
	});

	test("does not hold a day against anybody before it is over", () => {
		const before = [sessionOn("2026-03-02"), sessionOn("2026-03-02")];
		const open = todayOf(plan, [], before, "2026-03-05", true);
		expect(open.adherence).toMatchObject({
			from: "2026-03-02",
			to: "2026-03-04",
			sessions: { percent: 100 },
		});
		expect(open.streak).toBe(1);
		const begun = todayOf(plan, [], [...before, sessionOn("2026-03-05")], "2026-03-05", true);
		expect(begun.adherence).toMatchObject({
			to: "2026-03-05",
			sessions: { done: 3, prescribed: 4, percent: 75 },
		});
		expect(begun.streak).toBe(2);
	});

	test("looks back over four weeks at most", () => {
		expect(todayOf(plan, [], [], "2026-05-04", true).adherence).toMatchObject({
			from: "2026-04-07",
			to: "2026-05-03",
		});
	});
});

describe("answers of a day", () => {
	const day = "2026-03-02";
	const answers = (...all: (SetAnswer | null)[]) => all.map((answer) => setOf(items[0]!, day, answer));
	const hurts: SetAnswer = { pain: 6, effort: 3, symptoms: [] };

	test.each([
		["pain that is fine", answers(well, null, well), null, false],
		["one exercise ended by pain", answers(well, hurts), null, true],
		["a second one", answers(hurts, well, hurts), "stop-session", true],
		["severe pain", answers({ ...well, pain: 8 }), "stop-session", true],
		["a red flag", answers({ ...well, symptoms: ["fever"] }, well), "get-help", true],
	])("%s", (_, sets, action, hadToStop) => {
		const soFar = soFarOn(sets, day);
		expect(soFar.over?.action ?? null).toBe(action);
		expect(soFar.hadToStop).toBe(hadToStop);
		expect(soFarOn(sets, "2026-03-03")).toEqual({ over: null, hadToStop: false });
	});

	test("pain ends an exercise for the day, on that leg, and the day is done without it", () => {
		const hurtOn = (item: PlanItem) => setOf(item, day, hurts);
		const plan = createMondaysAndThursdays();
		const one = todayOf(plan, [hurtOn(items[0]!)], [], day, true);
		expect(one).toMatchObject({ isEnded: [true, false, false], over: null, plan: { timesDone: 0 } });
		const rest = [1, 2].flatMap(() => [items[1]!, items[1]!, items[2]!]).map((item) => setOf(item, day));
		const done = todayOf(plan, [hurtOn(items[0]!), ...rest], [], day, true);
		expect(done.plan).toMatchObject({ timesDone: 2, timesLeft: 0 });
		expect(todayOf(plan, [hurtOn(items[0]!)], [], "2026-03-05", true).isEnded).toEqual([false, false, false]);
		const draft = { from: day, items: [items[0]!], schedule: plan.versions[0]!.schedule, reason: "" };
		const single = createPlan(draft);
		if (!single.ok) throw new Error(single.error.expected);
		expect(todayOf(single.value, [hurtOn(items[0]!)], [], day, true).plan).toMatchObject({ timesLeft: 0 });
	});

	test("the oldest set of the day that was left without them is told", () => {
		const left = { ...setOf(items[1]!, day, null), id: 7, set: 2 };
		const later = { ...setOf(items[0]!, day, null), id: 8, set: 1 };
		const before = setOf(items[0]!, "2026-03-01", null);
		expect(unansweredOn([before, setOf(items[0]!, day), left, later], day)).toEqual({
			setId: 7,
			exerciseName: items[1]!.exercise.name,
			side: "left",
			set: 2,
		});
		expect(unansweredOn([before, setOf(items[0]!, day)], day)).toBeNull();
	});

	test("of several the gravest counts", () => {
		const flags = (...symptoms: string[]): SetAnswer => ({ ...well, symptoms });
		const sets = answers({ ...well, pain: 9 }, flags("fever"), flags("chest"), flags("night-pain"));
		expect(soFarOn(sets, day).over).toMatchObject({ action: "get-help", urgency: "emergency" });
	});
});
