import { describe, expect, test } from "vitest";
import { library } from "../../core/exercise/library.ts";
import { createPlan, type Plan, revisePlan } from "../../core/exercise/plan.ts";
import {
	addExercise,
	changeItem,
	isSameAs,
	moveItem,
	type PlanForm,
	planFormFrom,
	readPlanForm,
	removeItem,
	toggleWeekday,
} from "../../renderer/plan-form.ts";

const quadSet = library[0]!;
const legRaise = library[1]!;
const DAY = "2026-03-04";

function createForm(): PlanForm {
	const empty = planFormFrom(null, DAY);
	return addExercise(addExercise(empty, quadSet, "left"), legRaise, "left");
}

function names(form: PlanForm): string[] {
	return form.items.map(({ exercise }) => exercise.id);
}

function planOf(form: PlanForm): Plan {
	const read = readPlanForm(form, null);
	if (!read.ok) throw new TypeError("the form does not read");
	const plan = createPlan(read.draft);
	if (!plan.ok) throw new TypeError(`${plan.error.path} ${plan.error.expected}`);
	return plan.value;
}

describe("a plan's form", () => {
	test("starts on every day, once, from today", () => {
		const form = planFormFrom(null, DAY);
		expect(form).toMatchObject({ items: [], from: DAY, weekdays: [1, 2, 3, 4, 5, 6, 7], timesPerDay: "1" });
	});

	test("adds exercises with their usual dose, and reads to a plan that the app takes", () => {
		const plan = planOf(createForm());
		const { items, schedule } = plan.versions[0]!;
		expect(items.map(({ exercise }) => exercise.id)).toEqual(["quad-set", "straight-leg-raise"]);
		expect(items[0]!.dose).toEqual(quadSet.dose);
		expect(schedule).toEqual({ weekdays: [1, 2, 3, 4, 5, 6, 7], timesPerDay: 1 });
	});

	test("goes through a stored version without a change", () => {
		const [version] = planOf(createForm()).versions;
		const form = planFormFrom(version!, "2026-04-01");
		expect(isSameAs({ ...form, from: version!.from }, version!)).toBe(true);
		expect(form.from).toBe("2026-04-01");
	});

	test("keeps a first day that is still to come", () => {
		const [version] = planOf({ ...createForm(), from: "2026-05-01" }).versions;
		expect(planFormFrom(version!, DAY).from).toBe("2026-05-01");
	});

	test("is changed by any field", () => {
		const [version] = planOf(createForm()).versions;
		const form = planFormFrom(version!, DAY);
		expect(isSameAs(changeItem(form, 0, { side: "right" }), version!)).toBe(false);
		expect(isSameAs(changeItem(form, 0, { note: "slowly" }), version!)).toBe(false);
		expect(isSameAs(toggleWeekday(form, 7), version!)).toBe(false);
		expect(isSameAs(moveItem(form, 0, 1), version!)).toBe(false);
	});

	test("moves an exercise one place and stops at both ends", () => {
		const form = createForm();
		const [first, second] = form.items;
		expect(names(moveItem(form, second!.key, -1))).toEqual(["straight-leg-raise", "quad-set"]);
		expect(names(moveItem(form, first!.key, 1))).toEqual(["straight-leg-raise", "quad-set"]);
		expect(moveItem(form, first!.key, -1)).toBe(form);
		expect(moveItem(form, second!.key, 1)).toBe(form);
	});

	test("gives each exercise a key of its own, also after one was removed", () => {
		const form = createForm();
		const again = addExercise(removeItem(form, form.items[0]!.key), quadSet, "right");
		const keys = again.items.map(({ key }) => key);
		expect(new Set(keys).size).toBe(keys.length);
		expect(names(again)).toEqual(["straight-leg-raise", "quad-set"]);
	});

	test("keeps weekdays in their order", () => {
		let form: PlanForm = { ...createForm(), weekdays: [] };
		for (const day of [5, 1, 3]) form = toggleWeekday(form, day);
		expect(form.weekdays).toEqual([1, 3, 5]);
		expect(toggleWeekday(form, 3).weekdays).toEqual([1, 5]);
	});

	test.each([
		["sets", "0"],
		["sets", "2.5"],
		["repetitions", "many"],
		["holdSeconds", "0"],
		["holdSeconds", ""],
		["pauseSeconds", "-1"],
		["restSeconds", "601"],
		["high", "20"],
		["low", "201"],
	] as const)("says what to correct in %s of %j", (field, entered) => {
		const form = createForm();
		const { key, dose } = form.items[0]!;
		const read = readPlanForm(changeItem(form, key, { dose: { ...dose, [field]: entered } }), null);
		expect(read.ok).toBe(false);
		if (read.ok) return;
		const errors = read.errors.doses.get(key) ?? {};
		expect(Object.values(errors).join(" ")).toMatch(/^Enter .+\.$/);
		expect(errors[field]).toBeDefined();
		expect(read.errors.doses.size).toBe(1);
	});

	test("takes a comma for a point", () => {
		const form = createForm();
		const { key, dose } = form.items[0]!;
		const read = readPlanForm(changeItem(form, key, { dose: { ...dose, holdSeconds: "2,5" } }), null);
		expect(read.ok && read.draft.items[0]!.dose.holdSeconds).toBe(2.5);
	});

	test("refuses an empty list, no day, no weekday and no number of times", () => {
		const form = { ...planFormFrom(null, DAY), from: "", weekdays: [], timesPerDay: "0" };
		const read = readPlanForm(form, null);
		expect(read.ok).toBe(false);
		if (read.ok) return;
		const { doses: _doses, ...errors } = read.errors;
		for (const error of Object.values(errors)) expect(error).toMatch(/\.$/);
	});

	test("refuses a first day before that of the version before, unless the plan has ended", () => {
		const form = { ...createForm(), from: "2026-03-03" };
		const plan = planOf(createForm());
		expect(readPlanForm(form, plan).ok).toBe(false);
		expect(readPlanForm(form, { ...plan, endedOn: "2026-03-10" }).ok).toBe(true);
		const read = readPlanForm(createForm(), plan);
		expect(read.ok && revisePlan(plan, read.draft).ok).toBe(true);
	});
});
