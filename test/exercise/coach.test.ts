import { describe, expect, test } from "vitest";
import { createCoach, GET_READY_SECONDS } from "../../core/exercise/coach.ts";
import type { CoachOptions, CoachReading } from "../../core/exercise/coach-contract.ts";
import type { CoachView } from "../../core/exercise/coach-view.ts";
import type { Dose } from "../../core/exercise/exercise.ts";
import { libraryExerciseOf } from "../../core/exercise/library.ts";

const hold = libraryExerciseOf("quad-set")!;
const raise = libraryExerciseOf("straight-leg-raise")!;

const idle: CoachReading = {
	isActive: false,
	activeSince: Number.NaN,
	full: 0,
	partial: 0,
	unended: 0,
	percent: 0,
	change: 0,
	isRestSteady: true,
};

const dose: Dose = {
	sets: 2,
	repetitions: 2,
	holdSeconds: 5,
	pauseSeconds: 4,
	restSeconds: 30,
	target: { low: 40, high: 80 },
};

const well = { pain: 1, effort: 3, symptoms: [] };

/** A coach with a clock that a test turns by hand, ten frames a second. */
function createScene(options: Partial<CoachOptions> = {}) {
	const coach = createCoach({
		exercise: hold,
		dose,
		mode: "measured",
		painBefore: 0,
		hadToStop: false,
		...options,
	});
	let time = 100;
	let reading: CoachReading | null = idle;
	const tones: string[] = [];
	let lastTone = 0;
	const scene = {
		coach,
		tones,
		view: (): CoachView => coach.view(),
		now: () => time,
		read(change: Partial<CoachReading> | null) {
			reading = change === null ? null : { ...(reading ?? idle), ...change };
		},
		wait(seconds: number) {
			for (let i = 0; i < Math.round(seconds * 10); i++) {
				time += 0.1;
				coach.advance(time, reading);
				const { tone } = coach.view();
				if (tone !== null && tone.number !== lastTone) {
					lastTone = tone.number;
					tones.push(tone.kind);
				}
			}
		},
		toWork() {
			coach.begin(time);
			scene.wait(GET_READY_SECONDS + 0.2);
		},
		/** The counter sees one repetition of some seconds. */
		repeat(seconds: number) {
			scene.read({ isActive: true, activeSince: time, percent: 60 });
			scene.wait(seconds);
			const full = (reading?.full ?? 0) + 1;
			scene.read({ isActive: false, activeSince: Number.NaN, full, percent: 0 });
			scene.wait(0.1);
		},
	};
	return scene;
}

describe("the coach", () => {
	test("waits for the start, then counts down while rest is measured", () => {
		const { coach, view, wait, tones, now } = createScene();
		expect(view()).toMatchObject({ phase: "ready", cue: "press-start", next: "work" });
		coach.begin(now());
		wait(1);
		expect(view()).toMatchObject({ phase: "get-ready", cue: "keep-still", set: 1, sets: 2, goal: 2 });
		expect(view().secondsLeft).toBeCloseTo(4, 5);
		wait(4.2);
		expect(view()).toMatchObject({ phase: "work", cue: "work" });
		expect(tones).toEqual(["countdown", "countdown", "countdown", "start"]);
	});

	test("waits while the person does not keep still, but not for ever", () => {
		const { coach, read, wait, view, now } = createScene();
		read({ isRestSteady: false });
		coach.begin(now());
		wait(8);
		expect(view()).toMatchObject({ phase: "get-ready", hint: "keep-still" });
		wait(8);
		expect(view().phase).toBe("work");
	});

	test("leads through holds: push, hold with its countdown, let go, pause", () => {
		const scene = createScene();
		scene.toWork();
		scene.read({ isActive: true, activeSince: scene.now(), percent: 60 });
		scene.wait(2);
		expect(scene.view()).toMatchObject({
			cue: "hold",
			live: { kind: "percent", place: "within" },
			secondsOf: 5,
		});
		expect(scene.view().secondsLeft).toBeCloseTo(3, 1);
		scene.wait(3.1);
		expect(scene.view()).toMatchObject({ cue: "let-go", count: 1 });
		scene.read({ isActive: false, activeSince: Number.NaN, full: 1, percent: 0 });
		scene.wait(1);
		expect(scene.view()).toMatchObject({ cue: "rest", count: 1, hint: null });
		expect(scene.view().secondsLeft).toBeCloseTo(3, 0);
		scene.wait(4);
		expect(scene.view()).toMatchObject({ cue: "work", secondsLeft: null });
	});

	test("asks to hold longer after a short hold", () => {
		const scene = createScene();
		scene.toWork();
		scene.repeat(2);
		expect(scene.view()).toMatchObject({ hint: "hold-longer", count: 1 });
		scene.repeat(5.2);
		expect(scene.view().phase).toBe("ask");
	});

	test("counts repetitions and asks when they are done", () => {
		const scene = createScene({ exercise: raise, dose: { ...dose, holdSeconds: 0, pauseSeconds: 0 } });
		scene.toWork();
		expect(scene.view()).toMatchObject({ cue: "work", next: "questions" });
		scene.repeat(2);
		expect(scene.view()).toMatchObject({ count: 1, phase: "work" });
		scene.repeat(2);
		expect(scene.view()).toMatchObject({ count: 2, phase: "ask", cue: "answer", next: "rest" });
		expect(scene.tones.slice(-2)).toEqual(["repetition", "set-done"]);
	});

	test("rests between sets and ends after the last", () => {
		const scene = createScene({ exercise: raise });
		scene.toWork();
		scene.repeat(2);
		scene.repeat(2);
		expect(scene.coach.answer(scene.now(), well)).toMatchObject({ action: "go-on" });
		expect(scene.view()).toMatchObject({ phase: "rest", cue: "rest", set: 2 });
		expect(scene.view().secondsLeft).toBeCloseTo(30, 5);
		scene.read({ full: 0 });
		scene.wait(25.1);
		expect(scene.view().phase).toBe("get-ready");
		scene.wait(5.2);
		expect(scene.view()).toMatchObject({ phase: "work", count: 0 });
		scene.repeat(2);
		scene.repeat(2);
		scene.coach.answer(scene.now(), well);
		expect(scene.view()).toMatchObject({ phase: "done", cue: "finished", next: null });
	});

	test("makes the next set easier after a very hard one", () => {
		const scene = createScene({ exercise: raise, dose: { ...dose, repetitions: 10 } });
		scene.toWork();
		for (let i = 0; i < 10; i++) scene.repeat(2);
		expect(scene.coach.answer(scene.now(), { ...well, effort: 10 })).toMatchObject({ action: "ease" });
		expect(scene.view()).toMatchObject({ goal: 7 });
		expect(scene.view().secondsLeft).toBeCloseTo(45, 5);
	});

	test.each([
		[{ ...well, pain: 7 }, "stop-exercise"],
		[{ ...well, pain: 9 }, "stop-session"],
		[{ ...well, symptoms: ["chest"] }, "get-help"],
	])("ends after %j", (answer, action) => {
		const scene = createScene({ exercise: raise });
		scene.toWork();
		scene.repeat(2);
		scene.repeat(2);
		expect(scene.coach.answer(scene.now(), answer)).toMatchObject({ action });
		expect(scene.view()).toMatchObject({ phase: "done", cue: "stopped", advice: { action } });
	});

	test("pauses at any time and goes on where it was, after getting ready again", () => {
		const scene = createScene({ exercise: raise });
		scene.toWork();
		scene.repeat(2);
		scene.coach.pause();
		scene.wait(60);
		expect(scene.view()).toMatchObject({ phase: "paused", cue: "paused", count: 1 });
		scene.coach.resume(scene.now());
		expect(scene.view().phase).toBe("get-ready");
		scene.wait(3.2);
		expect(scene.view()).toMatchObject({ phase: "work", count: 1 });
	});

	test("does not count a pause as rest", () => {
		const scene = createScene({ exercise: raise });
		scene.toWork();
		scene.repeat(2);
		scene.repeat(2);
		scene.coach.answer(scene.now(), well);
		scene.wait(10);
		scene.coach.pause();
		scene.wait(100);
		scene.coach.resume(scene.now());
		expect(scene.view().phase).toBe("rest");
		expect(scene.view().secondsLeft).toBeCloseTo(20, 0);
	});

	test.each(["get-ready", "work", "rest"])("stops from %s with the questions, then ends", (from) => {
		const scene = createScene({ exercise: raise });
		scene.coach.begin(scene.now());
		if (from !== "get-ready") scene.wait(5.2);
		if (from === "rest") {
			scene.repeat(2);
			scene.repeat(2);
			scene.coach.answer(scene.now(), well);
		}
		expect(scene.view().phase).toBe(from);
		scene.coach.stop();
		expect(scene.view()).toMatchObject({ phase: "ask", next: "end" });
		scene.coach.answer(scene.now(), well);
		expect(scene.view()).toMatchObject({ phase: "done", cue: "stopped" });
	});

	test("stops out of a pause, and before it began", () => {
		const paused = createScene();
		paused.toWork();
		paused.coach.pause();
		paused.coach.stop();
		expect(paused.view().phase).toBe("ask");
		const early = createScene();
		early.coach.stop();
		expect(early.view().phase).toBe("done");
	});

	test("says when no frame comes", () => {
		const scene = createScene();
		scene.toWork();
		scene.read(null);
		scene.wait(2.5);
		expect(scene.view()).toMatchObject({ hint: "no-signal", live: { kind: "none" } });
	});

	test("says when the signal does not come back to rest", () => {
		const scene = createScene();
		scene.toWork();
		scene.read({ unended: 1 });
		scene.wait(0.2);
		expect(scene.view().hint).toBe("check-band");
	});

	test.each([
		[20, "below"],
		[40, "within"],
		[80, "within"],
		[81, "above"],
	])("places %d %% %s its target", (percent, place) => {
		const scene = createScene();
		scene.toWork();
		scene.read({ isActive: true, activeSince: scene.now(), percent });
		scene.wait(0.1);
		expect(scene.view().live).toEqual({ kind: "percent", percent, place });
	});

	test("shows raw units without a reference, and no place", () => {
		const scene = createScene();
		scene.toWork();
		scene.read({ percent: Number.NaN, change: 0.003 });
		scene.wait(0.1);
		expect(scene.view().live).toEqual({ kind: "raw", change: 0.003 });
	});

	test("leads by time where nothing is measured", () => {
		const scene = createScene({ mode: "self-counted" });
		scene.read(null);
		scene.toWork();
		expect(scene.view()).toMatchObject({ cue: "hold", live: { kind: "none" }, hint: null });
		scene.wait(5.2);
		expect(scene.view()).toMatchObject({ cue: "rest", count: 1 });
		scene.wait(4);
		expect(scene.view().cue).toBe("hold");
		scene.wait(5.2);
		expect(scene.view()).toMatchObject({ phase: "ask", count: 2 });
	});

	test("takes taps for repetitions where nothing is measured, and only there", () => {
		const scene = createScene({ exercise: raise, mode: "self-counted" });
		scene.read(null);
		scene.toWork();
		scene.coach.tap();
		expect(scene.view().count).toBe(1);
		scene.coach.tap();
		expect(scene.view().phase).toBe("ask");
		const measured = createScene({ exercise: raise });
		measured.toWork();
		measured.coach.tap();
		expect(measured.view().count).toBe(0);
	});

	test("shows plain data only", () => {
		const scene = createScene();
		scene.toWork();
		scene.wait(1);
		expect(JSON.parse(JSON.stringify(scene.view()))).toEqual(scene.view());
	});

	test("refuses answers to questions that were not asked", () => {
		expect(() => createScene().coach.answer(100, well)).toThrow(RangeError);
	});
});
