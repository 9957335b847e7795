import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import type { AppState } from "../../app/contract.ts";
import { toRfc3339 } from "../../app/store/date-time.ts";
import type { SetSummary } from "../../core/exercise/set-summary.ts";
import {
	type CoachedScene,
	createRepetitions,
	followHold,
	followReference,
	isReferenceOver,
	openCoachedScene,
} from "./coached-scene.ts";
import { createThighReadings, type ThighReadings } from "./thigh-readings.ts";

const shortReference = {
	target: "quadriceps",
	effort: "comfortable",
	contractions: 2,
	pauseSeconds: 6,
} as const;
const well = { pain: 1, effort: 3, symptoms: [] };

const atQuestions = ({ exercise }: AppState): boolean => exercise?.view.phase === "ask";
const isAt = (phase: string) => (state: AppState) => state.exercise?.view.phase === phase;
const still = () => 0;

let thigh: ThighReadings;
let scene: CoachedScene;

beforeAll(() => {
	thigh = createThighReadings();
});

/** One backend for a group of tests: opening one takes a second. Each test ends at an empty work place. */
function useScene(prepare: () => Promise<void> = () => Promise.resolve()): void {
	beforeAll(async () => {
		scene = await openCoachedScene(thigh);
		await prepare();
	});
	afterEach(async () => {
		await scene.ask("leaveExercise", null);
		await answerWhatWasLeft();
		if (scene.backend.state().reference !== null) await scene.ask("stopReference", null);
	});
	afterAll(() => scene.close());
}

const getToday = (of: CoachedScene = scene) =>
	of.ask("getToday", { personId: of.person.id, day: toRfc3339(of.clock.now()).slice(0, 10) });

async function answerWhatWasLeft(): Promise<void> {
	for (let left = await getToday(); left.unanswered !== null; left = await getToday()) {
		await scene.ask("answerLeftSet", { personId: scene.person.id, setId: left.unanswered.setId, ...well });
	}
}

async function takeReference(): Promise<void> {
	await scene.ask("startReference", shortReference);
	await scene.work(followReference, isReferenceOver);
	await scene.ask("stopReference", null);
}

async function takeHamstringReference(): Promise<void> {
	await scene.ask("startReference", { ...shortReference, target: "hamstrings" });
	await scene.work((state) => ({ rectus: 0, hamstrings: followReference(state) }), isReferenceOver);
	await scene.ask("stopReference", null);
}

const start = (itemIndex: number, painBefore: number | null = 1) =>
	scene.ask("startExercise", { personId: scene.person.id, planVersion: 1, itemIndex, painBefore });

describe("a reference contraction", () => {
	useScene();

	test("is guided, measured per region, and stored by itself with what it was measured with", async () => {
		await scene.ask("startReference", shortReference);
		expect(scene.backend.state().reference).toMatchObject({
			personId: scene.person.id,
			view: { step: "rest", contraction: 0, of: 2, effort: "comfortable" },
			result: null,
		});
		expect(scene.backend.state().recording).not.toBeNull();
		await scene.work(followReference, isReferenceOver);
		const { reference, recording } = scene.backend.state();
		expect(recording).toBeNull();
		expect(reference).toMatchObject({ view: { step: "done" }, fault: null });
		const { references } = await scene.ask("getPerson", { personId: scene.person.id });
		expect(references).toHaveLength(1);
		expect(references[0]).toMatchObject({
			id: reference?.referenceId,
			unit: "S/m",
			protocol: { effort: "comfortable", contractions: 2, restSeconds: 8, contractionSeconds: 5 },
			conditions: {
				side: "right",
				referenceId: null,
				frequencyHertz: 50_000,
				currentMilliamp: 1,
				simulated: true,
			},
		});
		const rectus = references[0]!.regions.find(({ id }) => id === "rectus-femoris")!.reference;
		// Muscle across its fibres at 50 kHz is 0.35 S/m (C. Gabriel 1996): a tenth less is -0.035, which a linear picture
		// of a small muscle spreads.
		if (rectus.state !== "taken") throw new Error(rectus.state);
		expect(rectus.change).toBeLessThan(-0.017);
		expect(rectus.change).toBeGreaterThan(-0.037);
		expect(rectus.repeatability).toBe("repeatable");
		// the raw readings are there to compute it again
		const { sessions } = await scene.ask("listSessions", { personId: scene.person.id, offset: 0, limit: 9 });
		expect(sessions).toMatchObject([{ title: "Reference contraction", closedCleanly: true }]);
		expect(sessions[0]!.frameCount).toBeGreaterThan(30 * 24);
	});

	test("says of a person who never pushes that nothing was detected", async () => {
		await scene.ask("startReference", shortReference);
		await scene.work(still, isReferenceOver);
		const states = scene.backend.state().reference?.result?.map(({ reference }) => reference.state);
		expect(new Set(states)).toEqual(new Set(["not-detected"]));
	});

	test("that the records refuse is kept and said, and stored by itself when they take it again", async () => {
		const before = await scene.ask("getPerson", { personId: scene.person.id });
		const outside = new Database(join(scene.folder, "tautline.sqlite"));
		try {
			await scene.ask("startReference", shortReference);
			await scene.work(followReference, ({ reference }) => {
				const view = reference?.view;
				return view?.step === "pause" && view.contraction === view.of;
			});
			// another program holds the file
			outside.exec("BEGIN IMMEDIATE");
			await scene.work(still, isReferenceOver);
			expect(scene.backend.state().reference).toMatchObject({
				fault: { kind: "store-busy" },
				referenceId: null,
				view: { step: "done" },
			});
			// neither putting it away nor beginning the next one loses it
			expect(await scene.faultOf("startReference", shortReference)).toMatchObject({ kind: "store-busy" });
			expect(await scene.faultOf("stopReference", null)).toMatchObject({ kind: "store-busy" });
			expect(scene.backend.state().reference?.result).not.toBeNull();
			outside.exec("ROLLBACK");
			scene.clock.turn(10_000);
			expect(scene.backend.state().reference).toMatchObject({ fault: null });
			const { references } = await scene.ask("getPerson", { personId: scene.person.id });
			expect(references).toHaveLength(before.references.length + 1);
			expect(references[0]!.id).toBe(scene.backend.state().reference?.referenceId);
		} finally {
			outside.close();
		}
	});

	test("is given up without a trace, and put away when asked again", async () => {
		const before = await scene.ask("getPerson", { personId: scene.person.id });
		await scene.ask("startReference", shortReference);
		await scene.work(still, ({ reference }) => reference?.view.step === "contract");
		await scene.ask("stopReference", null);
		expect(scene.backend.state().reference).toMatchObject({ view: { step: "stopped" }, result: null });
		expect(scene.backend.state().recording).toBeNull();
		await scene.ask("stopReference", null);
		expect(scene.backend.state().reference).toBeNull();
		expect(await scene.faultOf("stopReference", null)).toEqual({ kind: "not-running", what: "reference" });
		const { references } = await scene.ask("getPerson", { personId: scene.person.id });
		expect(references).toHaveLength(before.references.length);
	});

	test("is broken off when the link is lost", async () => {
		await scene.ask("startReference", shortReference);
		await scene.work(still, ({ reference }) => reference?.view.step === "contract");
		scene.source.tell({
			state: "reconnecting",
			label: "memory",
			attempt: 1,
			fault: { kind: "not-connected" },
		});
		expect(scene.backend.state().reference).toMatchObject({
			view: { step: "stopped" },
			referenceId: null,
			fault: { kind: "not-connected" },
		});
	});
});

describe("an exercise", () => {
	useScene(takeReference);

	test("counts what the person did, set by set, and stores each with its answers", async () => {
		await start(0);
		expect(scene.backend.state().exercise).toMatchObject({
			countedIn: "rectus-femoris",
			referenceId: 1,
			view: { phase: "get-ready", cue: "keep-still", set: 1, sets: 2, goal: 3 },
		});
		// the second effort is no repetition: a fifth of the reference
		await scene.work(createRepetitions([0.8, 0.2, 0.7, 0.9]), atQuestions);
		expect(scene.backend.state().exercise?.results).toMatchObject([
			{ set: 1, count: { automatic: { full: 3, partial: 1 } }, answer: null },
		]);
		expect(await scene.ask("answerSet", well)).toMatchObject({ action: "go-on" });
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions);
		await scene.ask("answerSet", { pain: 2, effort: 5, symptoms: [] });
		expect(scene.backend.state().exercise?.view).toMatchObject({ phase: "done", cue: "finished" });
		const sessionId = scene.backend.state().exercise!.sessionId!;
		expect(scene.backend.state().recording?.sessionId).toBe(sessionId);
		await scene.ask("leaveExercise", null);
		expect(scene.backend.state()).toMatchObject({ exercise: null, recording: null });

		const sets = await scene.ask("listSets", { sessionId });
		expect(sets).toMatchObject([
			{
				set: 1,
				planVersion: 1,
				itemIndex: 0,
				painBefore: 1,
				countedIn: "rectus-femoris",
				count: { automatic: { full: 3, partial: 1 }, personal: null, corrections: [] },
				answer: well,
				conditions: { referenceId: 1, side: "right", simulated: true },
			},
			{ set: 2, count: { automatic: { full: 3, partial: 0 } }, answer: { pain: 2, effort: 5, symptoms: [] } },
		]);
		// efforts of 0.8, 0.7 and 0.9 of what the reference was: engagement is linear in the change of the readings
		expect(sets[0]!.summary).toMatchObject({ unit: "percent" });
		expect(sets[0]!.summary!.meanPeak).toBeGreaterThan(76);
		expect(sets[0]!.summary!.meanPeak).toBeLessThan(84);
		expect(sets[0]!.repetitions.map(({ kind }) => kind)).toEqual(["full", "partial", "full", "full"]);
		const { durationSeconds } = await scene
			.ask("getSessionReview", { sessionId })
			.then(({ session }) => session);
		expect(sets[0]!.startSeconds).toBeGreaterThan(4);
		expect(sets[1]!.endSeconds).toBeLessThanOrEqual(durationSeconds);
	});

	test("leads through holds of the prescribed time; the next exercise goes into the same session", async () => {
		await start(1);
		const { sessionId } = scene.backend.state().exercise!;
		await scene.work(followHold, atQuestions);
		await scene.ask("answerSet", well);
		const [held] = scene.backend.state().exercise!.results;
		expect(held!.summary).toMatchObject({ full: 2, partial: 0 });
		// prescribed: 3 s; seeing the cue and letting go take a fifth of a second each
		expect(held!.summary!.meanHoldSeconds).toBeGreaterThan(2.9);
		expect(held!.summary!.meanHoldSeconds).toBeLessThan(3.8);
		await start(0);
		expect(scene.backend.state().exercise).toMatchObject({ sessionId, itemIndex: 0, results: [] });
	});

	test("shows raw units where no reference was taken as now, and counts all the same", async () => {
		const { limb, band } = scene.backend.state().setup;
		await scene.ask("setUp", { personId: scene.person.id, limb: { ...limb, level: limb.level + 0.1 }, band });
		await start(0);
		expect(scene.backend.state().exercise?.referenceId).toBeNull();
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions);
		expect(scene.backend.state().exercise?.results[0]).toMatchObject({
			summary: { unit: "raw", full: 3 },
			count: { automatic: { full: 3 } },
		});
		await scene.ask("leaveExercise", null);
		await scene.ask("setUp", { personId: scene.person.id, limb, band });
	});

	test.each([
		["ahead", 3_600_000],
		["back", -3_600_000],
	])("does not mind when the computer's clock is set an hour %s", async (_, milliseconds) => {
		await start(0);
		await scene.work(still, isAt("work"));
		scene.clock.set(milliseconds);
		scene.clock.turn(300);
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions, 30);
		expect(scene.backend.state().exercise?.results[0]).toMatchObject({ summary: { full: 3 } });
		// nothing comes any more, which is seen by any clock
		await scene.ask("answerSet", well);
		scene.clock.set(milliseconds);
		scene.clock.turn(5000);
		expect(scene.backend.state().exercise?.view.hint).toBe("no-signal");
	});

	test("pauses and goes on when asked, and stops at once with its questions", async () => {
		await start(0);
		await scene.work(still, isAt("work"));
		await scene.ask("controlExercise", { action: "pause" });
		expect(scene.backend.state().exercise).toMatchObject({ pausedBy: "person", view: { phase: "paused" } });
		await scene.ask("controlExercise", { action: "resume" });
		expect(scene.backend.state().exercise).toMatchObject({ pausedBy: null, view: { phase: "get-ready" } });
		await scene.work(still, isAt("work"));
		await scene.ask("controlExercise", { action: "stop" });
		expect(scene.backend.state().exercise?.view).toMatchObject({ phase: "ask", cue: "answer" });
		await scene.ask("answerSet", well);
		expect(scene.backend.state().exercise?.view).toMatchObject({ phase: "done", cue: "stopped" });
		expect(await scene.faultOf("controlExercise", { action: "pause" })).toEqual({
			kind: "not-running",
			what: "exercise",
		});
	});

	test("pauses when the link is lost, and goes on only when frames come and the person says so", async () => {
		await start(0);
		await scene.work(createRepetitions([0.8]), ({ exercise }) => exercise?.view.count === 1);
		scene.source.tell({
			state: "reconnecting",
			label: "memory",
			attempt: 1,
			fault: { kind: "not-connected" },
		});
		expect(scene.backend.state().exercise).toMatchObject({
			pausedBy: "link",
			view: { phase: "paused", count: 1 },
		});
		expect(await scene.faultOf("controlExercise", { action: "resume" })).toEqual({ kind: "not-connected" });
		scene.source.announce();
		let steps = 0;
		await scene.work(still, () => steps++ > 5);
		expect(scene.backend.state().exercise).toMatchObject({ pausedBy: "link", view: { count: 1 } });
		await scene.ask("controlExercise", { action: "resume" });
		await scene.work(createRepetitions([0.8, 0.8]), atQuestions);
		expect(scene.backend.state().exercise?.results[0]?.count.automatic).toEqual({ full: 3, partial: 0 });
	});

	test("goes on with two electrodes off, and asks to check the band with more instead of counting noise", async () => {
		await start(0);
		scene.lift([3, 11]);
		await scene.work(still, ({ leftOut }) => leftOut?.electrodes.length === 2);
		await scene.work(createRepetitions([0.8]), ({ exercise }) => exercise?.view.count === 1);
		expect(scene.backend.state().exercise?.pausedBy).toBeNull();
		scene.lift([3, 7, 11]);
		await scene.work(still, ({ exercise }) => exercise?.pausedBy === "band", 3);
		expect(scene.backend.state()).toMatchObject({
			exercise: { view: { phase: "paused", count: 1 } },
			leftOut: { isTrustworthy: false },
			quality: { overall: "poor", reason: "check the band: electrodes 3, 7, 11 are left out" },
		});
		const bandOff = { kind: "band-off", electrodes: [3, 7, 11] };
		expect(await scene.faultOf("controlExercise", { action: "resume" })).toEqual(bandOff);
		scene.lift([]);
		await scene.work(still, ({ leftOut }) => leftOut === null);
		// going on is the person's decision
		expect(scene.backend.state().exercise).toMatchObject({ pausedBy: "band", view: { count: 1 } });
		await scene.ask("controlExercise", { action: "resume" });
		await scene.work(createRepetitions([0.8, 0.8]), atQuestions);
		expect(scene.backend.state().exercise?.results[0]?.count.automatic).toEqual({ full: 3, partial: 0 });
		await scene.ask("leaveExercise", null);

		scene.lift([3, 7, 11]);
		await scene.work(still, ({ leftOut }) => leftOut?.isTrustworthy === false);
		expect(await scene.faultOf("startReference", shortReference)).toEqual(bandOff);
		scene.lift([]);
		await scene.work(still, ({ leftOut }) => leftOut === null);
	});

	test("says that nothing comes when the band falls silent", async () => {
		await start(0);
		await scene.work(still, isAt("work"));
		scene.clock.turn(5000);
		expect(scene.backend.state().exercise?.view).toMatchObject({ hint: "no-signal", live: { kind: "none" } });
	});

	test("refuses what would spoil it, and lets the current be stopped at any time", async () => {
		await start(0);
		const busy = { kind: "busy", with: "exercise" };
		const { limb, band } = scene.backend.state().setup;
		expect(await scene.faultOf("takeBaseline", { seconds: 2 })).toEqual(busy);
		expect(await scene.faultOf("setPrior", { prior: "laplace", rule: "gcv" })).toEqual(busy);
		expect(await scene.faultOf("setUp", { personId: null, limb, band })).toEqual(busy);
		expect(await scene.faultOf("stopRecording", null)).toEqual(busy);
		expect(await scene.faultOf("sendCommand", { command: "set-current", milliamp: 0.5 })).toEqual(busy);
		expect(await scene.faultOf("startReference", shortReference)).toEqual(busy);
		await scene.ask("sendCommand", { command: "stop" });
		expect(scene.source.sent).toContainEqual({ command: "stop" });
	});

	test("begins once when two pages ask for it at the same time, and not when it was left meanwhile", async () => {
		const { person, backend } = scene;
		const order = { personId: person.id, planVersion: 1, itemIndex: 0, painBefore: 1 };
		const ask = () => backend.request("startExercise", order);
		const both = await Promise.all([ask(), ask(), backend.request("startReference", shortReference)]);
		const busy = { ok: false, error: { kind: "busy", with: "exercise" } };
		expect(both).toEqual([{ ok: true, value: null }, busy, busy]);
		expect(backend.state().reference?.view.step).not.toBe("rest");
		await scene.ask("leaveExercise", null);
		await answerWhatWasLeft();
		const { limb, band } = backend.state().setup;
		const [started, changed, left] = await Promise.all([
			ask(),
			backend.request("setUp", { personId: null, limb, band }),
			backend.request("leaveExercise", null),
		]);
		expect(started).toEqual({ ok: false, error: { kind: "cancelled" } });
		expect(changed).toEqual(busy);
		expect(left.ok).toBe(true);
		expect(backend.state()).toMatchObject({ exercise: null, recording: null });
	});

	test("is closed by itself when nobody has done anything for a quarter of an hour", async () => {
		await start(0);
		await scene.work(still, isAt("work"));
		scene.clock.turn(14 * 60_000);
		expect(scene.backend.state().recording).not.toBeNull();
		scene.clock.turn(61_000);
		expect(scene.backend.state()).toMatchObject({ exercise: null, recording: null });
	});
});

describe("a board that drives more than is allowed in the middle of an exercise", () => {
	useScene();

	test("is stopped, and the exercise is paused with what was counted", async () => {
		await start(0);
		await scene.work(createRepetitions([0.8]), ({ exercise }) => exercise?.view.count === 1);
		// 0.1 mA × f / 1 kHz by the rule of `core/safety/current-limit.ts`, and 1 mA at most.
		scene.source.configure({ configuration: 9, currentMilliamp: 1.2 });
		expect(scene.backend.state()).toMatchObject({
			link: {
				state: "failed",
				fault: { kind: "over-current-limit", reportedMilliamp: 1.2, limitMilliamp: 1 },
			},
			exercise: { pausedBy: "link", view: { phase: "paused", count: 1 } },
		});
		expect(scene.source.isDisposed).toBe(true);
		expect(scene.backend.state().recording).not.toBeNull();
		expect(await scene.faultOf("controlExercise", { action: "resume" })).toMatchObject({
			kind: "over-current-limit",
		});
	});
});

describe("stop rules", () => {
	useScene();

	test("pain above what is acceptable ends the exercise, and a second time the sitting", async () => {
		await start(0);
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions);
		expect(await scene.ask("answerSet", { pain: 6, effort: 3, symptoms: [] })).toMatchObject({
			action: "stop-exercise",
			reasons: ["pain-above-acceptable"],
		});
		expect(scene.backend.state().exercise).toMatchObject({
			view: { phase: "done", set: 1 },
			nextStep: { action: "stop-exercise" },
		});
		await start(1);
		await scene.work(followHold, atQuestions);
		expect(await scene.ask("answerSet", { pain: 6, effort: 3, symptoms: [] })).toMatchObject({
			action: "stop-session",
			reasons: ["pain-again"],
		});
		const again = { personId: scene.person.id, planVersion: 1, itemIndex: 0, painBefore: 2 };
		expect(await scene.faultOf("startExercise", again)).toEqual({
			kind: "exercise-over",
			action: "stop-session",
		});
	});

	test("a red flag ends it with advice; at home that stays so for the day, although the sitting was left", async () => {
		await start(0);
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions);
		expect(await scene.ask("answerSet", { pain: 2, effort: 3, symptoms: ["chest"] })).toEqual({
			action: "get-help",
			urgency: "emergency",
			symptoms: ["chest"],
		});
		await scene.ask("enterHome", { personId: scene.person.id, pin: null });
		const again = { personId: scene.person.id, planVersion: 1, itemIndex: 1, painBefore: 2 };
		const over = { kind: "exercise-over", action: "get-help" };
		expect(await scene.faultOf("startExercise", again)).toEqual(over);
		const today = await scene.ask("getToday", { personId: scene.person.id, day: "2026-03-01" });
		expect(today.over).toMatchObject({ action: "get-help" });
	});
});

describe("a set that is left at its questions", () => {
	useScene();

	const order = (itemIndex: number) => ({
		personId: scene.person.id,
		planVersion: 1,
		itemIndex,
		painBefore: 1,
	});
	const leaveAtQuestions = async (itemIndex: number): Promise<number> => {
		await start(itemIndex);
		await scene.work(itemIndex === 0 ? createRepetitions([0.8, 0.8, 0.8]) : followHold, atQuestions);
		// what is being asked was not left
		expect((await getToday()).unanswered).toBeNull();
		await scene.ask("leaveExercise", null);
		return (await getToday()).unanswered!.setId;
	};

	test("is asked for again before anything starts, and its pain ends that exercise at home", async () => {
		const setId = await leaveAtQuestions(0);
		expect(await scene.faultOf("startExercise", order(1))).toEqual({ kind: "set-unanswered", setId });
		await scene.ask("enterHome", { personId: scene.person.id, pin: null });
		expect(await scene.faultOf("startExercise", order(1))).toEqual({ kind: "set-unanswered", setId });
		const given = { personId: scene.person.id, setId, pain: 6, effort: 3, symptoms: [] };
		expect(await scene.ask("answerLeftSet", given)).toMatchObject({ action: "stop-exercise" });
		expect(await scene.faultOf("answerLeftSet", given)).toEqual({ kind: "not-running", what: "exercise" });
		expect(await getToday()).toMatchObject({ unanswered: null, over: null, isEnded: [true, false] });
		expect(await scene.faultOf("startExercise", order(0))).toEqual({
			kind: "exercise-over",
			action: "stop-exercise",
		});
	});

	test("counts the pain before it, and nothing starts at home after a red flag", async () => {
		const setId = await leaveAtQuestions(1);
		const given = { personId: scene.person.id, setId, pain: 6, effort: 3, symptoms: [] };
		expect(await scene.faultOf("answerLeftSet", { ...given, setId: 999 })).toMatchObject({ what: "set" });
		// the second pain of the day above what is acceptable
		expect(await scene.ask("answerLeftSet", given)).toMatchObject({ action: "stop-session" });
		expect((await getToday()).over).toMatchObject({ action: "stop-session" });
		expect(await scene.faultOf("startExercise", order(1))).toEqual({
			kind: "exercise-over",
			action: "stop-session",
		});
		await scene.ask("leaveHome", { pin: null });
	});

	test("is the business of its own day", async () => {
		await scene.ask("answerLeftSet", {
			personId: scene.person.id,
			setId: await leaveAtQuestions(0),
			...well,
		});
		await leaveAtQuestions(1);
		scene.clock.set(24 * 3_600_000);
		expect((await getToday()).unanswered).toBeNull();
		scene.clock.set(-24 * 3_600_000);
		expect((await getToday()).unanswered).not.toBeNull();
	});
});

/** The records as they are on the disk just now, in another folder: what a kill would leave. */
function asAfterKill(): string {
	const folder = mkdtempSync(join(tmpdir(), "tautline-killed-"));
	for (const name of ["tautline.sqlite", "tautline.sqlite-wal"]) {
		copyFileSync(join(scene.folder, name), join(folder, name));
	}
	const db = new Database(join(folder, "tautline.sqlite"));
	// nobody has that number
	db.prepare("UPDATE sessions SET writer_pid = 4194305 WHERE closed_cleanly IS NULL").run();
	db.close();
	return folder;
}

describe("a kill", () => {
	useScene();

	test("in the middle of a set leaves a mark in its session, once, and none for sets that were stored", async () => {
		await start(0);
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions);
		await scene.ask("answerSet", well);
		await scene.work(createRepetitions([0.8]), ({ exercise }) => exercise?.view.count === 1);
		const { sessionId } = scene.backend.state().exercise!;
		scene.clock.turn(500);
		const folder = asAfterKill();
		for (const _ of ["the next start", "the one after"]) {
			const again = await openCoachedScene(thigh, { dataFolder: folder });
			const review = await again.ask("getSessionReview", { sessionId: sessionId! });
			expect(review.session.closedCleanly).toBe(false);
			expect(review.sets).toHaveLength(1);
			const broken = review.marks.filter(({ label }) => label.startsWith("Set broken off"));
			expect(broken).toEqual([
				{ label: "Set broken off: Straight leg raise, set 2", seconds: expect.any(Number) },
			]);
			expect(broken[0]!.seconds).toBeGreaterThan(review.sets[0]!.endSeconds);
			await again.backend.dispose();
		}
		rmSync(folder, { recursive: true });
		// stopped in good order it is a set like others
		await scene.ask("leaveExercise", null);
		const { marks } = await scene.ask("getSessionReview", { sessionId: sessionId! });
		expect(marks.some(({ label }) => label.startsWith("Set broken off"))).toBe(false);
	});

	test("at the questions after a set asks for them at the next start", async () => {
		await start(1);
		await scene.work(followHold, atQuestions);
		const folder = asAfterKill();
		const again = await openCoachedScene(thigh, { dataFolder: folder });
		const { unanswered } = await getToday(again);
		expect(unanswered).toMatchObject({ exerciseName: "Quad set", set: 1 });
		const order = { personId: again.person.id, planVersion: 1, itemIndex: 0, painBefore: 1 };
		expect(await again.faultOf("startExercise", order)).toMatchObject({ kind: "set-unanswered" });
		await again.close();
	});
});

describe("co-contraction", () => {
	useScene(takeReference);

	/** Hamstrings that work along by this share of the rectus femoris. */
	async function holdWith(share: number): Promise<SetSummary> {
		await start(1);
		await scene.work((state) => {
			const rectus = followHold(state);
			return { rectus, hamstrings: share * rectus };
		}, atQuestions);
		const { results } = scene.backend.state().exercise!;
		await scene.ask("answerSet", well);
		await scene.ask("leaveExercise", null);
		return results[0]!.summary!;
	}

	test("needs a hamstring reference, whatever the hamstrings did in that of the quadriceps", async () => {
		const { coContraction, unit } = await holdWith(0.2);
		expect(unit).toBe("percent");
		expect(coContraction).toEqual({ state: "no-reference", missing: ["hamstrings"] });
	});

	test("is as large as it is, each muscle a share of its own reference", async () => {
		await takeHamstringReference();
		const { references, renewals } = await scene.ask("getPerson", { personId: scene.person.id });
		expect(references.map(({ protocol }) => protocol.target)).toEqual(["hamstrings", "quadriceps"]);
		expect(renewals).toEqual([]);
		const little = await holdWith(0.2);
		const much = await holdWith(0.6);
		if (little.coContraction.state !== "measured" || much.coContraction.state !== "measured") {
			throw new Error(JSON.stringify([little.coContraction, much.coContraction]));
		}
		// The rectus femoris alone works of the quadriceps, and the picture's blur makes a share of it in every region.
		expect(little.coContraction.ratio).toBeLessThan(0.5);
		expect(much.coContraction.ratio - little.coContraction.ratio).toBeGreaterThan(0.25);
		const { sessions } = await scene.ask("listSessions", { personId: scene.person.id, offset: 0, limit: 1 });
		const [set] = await scene.ask("listSets", { sessionId: sessions[0]!.id });
		expect(set?.conditions).toMatchObject({
			hamstringReferenceId: references[0]!.id,
			referenceId: references[1]!.id,
		});
	});

	test("is not told where the hamstrings were not detected in their own reference", async () => {
		await scene.ask("startReference", { ...shortReference, target: "hamstrings" });
		await scene.work(still, isReferenceOver);
		await scene.ask("stopReference", null);
		expect((await holdWith(0.4)).coContraction).toEqual({ state: "not-detected", in: ["hamstrings"] });
	});

	test("a reference of another drive or regularisation says take a new one", async () => {
		const { references } = await scene.ask("getPerson", { personId: scene.person.id });
		const newest = references[0]!.id;
		const reasons = async () =>
			(await scene.ask("getPerson", { personId: scene.person.id })).renewals.find(
				({ referenceId }) => referenceId === newest,
			)?.reasons;
		await scene.ask("setPrior", { prior: "laplace", rule: "noise-figure" });
		expect(await reasons()).toEqual(["regularisation-changed"]);
		await scene.ask("setPrior", { prior: "diagonal", rule: "noise-figure" });
		expect(await reasons()).toBeUndefined();
		scene.source.configure({ currentMilliamp: 0.5 });
		expect(await reasons()).toEqual(["drive-changed"]);
	});
});

describe("a restart in the middle of a sitting", () => {
	useScene(takeReference);

	test("is not needed when the records refuse a set: it is kept, and stored with the next try", async () => {
		const outside = new Database(join(scene.folder, "tautline.sqlite"));
		try {
			await start(1);
			const { sessionId } = scene.backend.state().exercise!;
			// another program holds the file
			outside.exec("BEGIN IMMEDIATE");
			await scene.work(followHold, atQuestions);
			expect(scene.backend.state().exercise?.fault).toMatchObject({ kind: "store-busy" });
			await scene.ask("answerSet", well);
			expect(await scene.faultOf("leaveExercise", null)).toMatchObject({ kind: "store-busy" });
			expect(scene.backend.state().exercise?.results).toHaveLength(1);
			outside.exec("ROLLBACK");
			await scene.ask("leaveExercise", null);
			expect(scene.backend.state().exercise).toBeNull();
			expect(await scene.ask("listSets", { sessionId: sessionId! })).toMatchObject([
				{ countThatHolds: { full: 2, partial: 0 }, answer: well },
			]);
		} finally {
			outside.close();
		}
	});

	test("loses nothing that was stored: sets before their answers, answers, frames", async () => {
		await start(0);
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions);
		await scene.ask("answerSet", well);
		await scene.work(createRepetitions([0.8, 0.8, 0.8]), atQuestions);
		const { sessionId } = scene.backend.state().exercise!;
		// ended in the middle of the questions
		await scene.backend.dispose();
		const again = await openCoachedScene(thigh, { dataFolder: scene.folder });
		scene = again;
		const sets = await again.ask("listSets", { sessionId: sessionId! });
		expect(sets.map(({ set, countThatHolds, answer }) => ({ set, countThatHolds, answer }))).toEqual([
			{ set: 1, countThatHolds: { full: 3, partial: 0 }, answer: well },
			{ set: 2, countThatHolds: { full: 3, partial: 0 }, answer: null },
		]);
		const { session } = await again.ask("getSessionReview", { sessionId: sessionId! });
		expect(session.closedCleanly).toBe(true);
		expect(session.durationSeconds).toBeGreaterThan(sets[1]!.endSeconds - 0.1);
		const today = await again.ask("getToday", { personId: again.person.id, day: "2026-03-01" });
		expect(today).toMatchObject({ setsDone: [2, 1], streak: 1, over: null });
		expect(today.plan).toMatchObject({ timesDue: 1, timesDone: 1 });
		const { person } = again;
		const order = { personId: person.id, planVersion: 1, itemIndex: 1, painBefore: null };
		// the stop rules wait for what was left
		const setId = sets[1]!.id;
		expect(today.unanswered).toMatchObject({ setId, exerciseName: "Straight leg raise", set: 2 });
		expect(await again.faultOf("startExercise", order)).toEqual({ kind: "set-unanswered", setId });
		expect(await again.ask("answerLeftSet", { personId: person.id, setId, ...well })).toMatchObject({
			action: "go-on",
		});
		expect((await getToday(again)).unanswered).toBeNull();
		expect((await again.ask("listSets", { sessionId: sessionId! }))[1]!.answer).toEqual(well);
		await again.ask("startExercise", order);
		expect(again.backend.state().exercise).toMatchObject({ referenceId: 1, itemIndex: 1 });
	});
});

describe("before anything starts", () => {
	useScene();

	test("the band may go to the other leg between two exercises, once that thigh was measured", async () => {
		const personId = scene.person.id;
		const left = { kind: "limb-not-measured", personId, side: "left" };
		expect(await scene.faultOf("wearBand", { personId, side: "left" })).toEqual(left);
		const { limb, band } = scene.backend.state().setup;
		await scene.ask("setUp", { personId, limb: { ...limb, side: "left", fatThickness: 0.012 }, band });
		await scene.ask("wearBand", { personId, side: "right" });
		expect(scene.backend.state()).toMatchObject({ setup: { limb: { side: "right" } }, baseline: null });
		await scene.ask("wearBand", { personId, side: "left" });
		expect(scene.backend.state().setup.limb).toMatchObject({ side: "left", fatThickness: 0.012 });
		await scene.ask("wearBand", { personId, side: "right" });
	});

	test("somebody must be set up, on the leg that is meant, with a band that streams, and know the cautions", async () => {
		const { limb, band } = scene.backend.state().setup;
		const wanted = { personId: scene.person.id, planVersion: 1, itemIndex: 0, painBefore: null };
		await scene.ask("setUp", { personId: scene.person.id, limb: { ...limb, side: "left" }, band });
		expect(await scene.faultOf("startExercise", wanted)).toEqual({
			kind: "band-elsewhere",
			personId: scene.person.id,
			side: "right",
		});
		await scene.ask("setUp", { personId: null, limb, band });
		expect(await scene.faultOf("startReference", shortReference)).toEqual({ kind: "no-person" });
		expect(await scene.faultOf("startExercise", { ...wanted, planVersion: 9 })).toMatchObject({
			kind: "no-such-record",
			what: "plan",
		});
		expect(await scene.faultOf("startExercise", { ...wanted, itemIndex: 2 })).toMatchObject({
			kind: "invalid-argument",
			path: "itemIndex",
		});
		const other = await scene.ask("savePerson", {
			id: null,
			code: "P-2",
			displayName: null,
			affectedSide: "none",
		});
		await scene.ask("setUp", { personId: other.id, limb, band });
		expect(await scene.faultOf("startReference", shortReference)).toEqual({
			kind: "cautions-not-acknowledged",
		});
		await scene.ask("setUp", { personId: scene.person.id, limb, band });
		await scene.ask("disconnect", null);
		expect(await scene.faultOf("startExercise", wanted)).toEqual({ kind: "not-connected" });
		expect(await scene.faultOf("controlExercise", { action: "pause" })).toMatchObject({
			kind: "not-running",
		});
		expect(await scene.faultOf("answerSet", well)).toMatchObject({ kind: "not-running" });
	});
});
