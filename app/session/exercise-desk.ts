/** Where a person does one exercise after the other: the coach is fed by live pictures, and what comes of each set is
 *  stored at once, before its questions are answered. */
import type { CounterLearning } from "../../core/exercise/counting-rule.ts";
import { createExerciseRun, type ExerciseRun } from "../../core/exercise/exercise-run.ts";
import type { Ease } from "../../core/exercise/next-morning.ts";
import type { PlanItem } from "../../core/exercise/plan.ts";
import { referenceIdOf, referencesInForce } from "../../core/exercise/reference-target.ts";
import type { NextStep, SetAnswer } from "../../core/exercise/stop-rules.ts";
import { failure, type Result, success } from "../../core/result.ts";
import type { ExerciseState, Fault, RequestArgument } from "../contract.ts";
import type { BegunSet } from "../store/broken-sets.ts";
import type { Clock } from "./clock.ts";
import type { LiveResult } from "./live-pictures.ts";
import { conditionsWith, type FittingReferences } from "./measuring-conditions.ts";
import type { Work } from "./work-place.ts";

export interface ExerciseDesk {
	readonly state: ExerciseState | null;
	/** Whether somebody is in the middle of an exercise. */
	readonly isRunning: boolean;
	/** What the latest answers lead to; null before any of this sitting. */
	readonly nextStep: NextStep | null;
	start(order: ExerciseOrder): Result<null, Fault>;
	control(action: RequestArgument<"controlExercise">["action"]): Result<null, Fault>;
	answer(answer: SetAnswer): Result<NextStep, Fault>;
	onMeans(result: LiveResult, means: Float32Array): void;
	/** Stores what the records have refused before. @returns their fault */
	keep(): Result<null, Fault>;
	/** Nothing comes from the band any more (`link`), or nothing that can be believed (`band`). */
	breakOff(fault: Fault): void;
	/** The board's clock begins anew: what runs is stopped, and its questions are asked. */
	stopTime(): void;
	/** Stops what runs as it is and forgets the sitting. Sets that could not be stored are kept for one more try.
	 *  @returns their fault */
	leave(): Result<null, Fault>;
}

export interface ExerciseOrder {
	readonly work: Work;
	readonly sessionId: number;
	readonly planId: number;
	readonly planVersion: number;
	readonly itemIndex: number;
	readonly item: PlanItem;
	readonly painBefore: number | null;
	/** Whether pain has already ended one exercise of the day. */
	readonly hadToStop: boolean;
	readonly references: FittingReferences;
	/** Less than prescribed; null for all of it. */
	readonly ease: Ease | null;
}

export interface ExerciseDeskParts {
	readonly clock: Clock;
	readonly onChange: () => void;
	/** Somebody did something, or a set is over. */
	readonly onActivity: () => void;
	/** Noted beside the frames: a set that is never stored was broken off. */
	readonly onSetBegun: (set: BegunSet) => void;
}

interface Running {
	readonly order: ExerciseOrder;
	readonly run: ExerciseRun;
	/** Of the sets that are stored, in their order, and whether their answers are. */
	readonly stored: { readonly id: number; isAnswered: boolean }[];
	pausedBy: ExerciseState["pausedBy"];
	nextStep: NextStep | null;
	fault: Fault | null;
	/** The board's clock at the newest picture, s, and for how long none has come, ms. */
	seconds: number;
	silentMs: number;
	/** Why nothing has come since the stream was broken off; null where something has. */
	brokenBy: Fault | null;
	phase: ExerciseRun["phase"];
	/** When the set that was noted last began, s. */
	notedStart: number | null;
}

/** Without a picture for so long the coach goes on by the app's own clock, this much behind it, so that pictures that were
 *  only late still count. */
const SILENT_MS = 1000;
const TICK_MS = 250;

export function createExerciseDesk(parts: ExerciseDeskParts): ExerciseDesk {
	const { clock, onChange, onActivity } = parts;
	let current: Running | null = null;
	let nextStep: NextStep | null = null;
	let stopTicking: (() => void) | null = null;
	/** Leaving was tried, and the records refused the last sets. */
	let isLeaving = false;
	/** What the counter has learned in this sitting, by the region that was counted in. */
	const learned = new Map<string, CounterLearning>();

	const isOver = ({ run }: Running): boolean => run.phase === "done";

	/** Stores what is not stored yet, oldest first. */
	function keep(running: Running): void {
		running.fault = null;
		const { order, run, stored } = running;
		const { records } = order.work;
		for (const [i, result] of run.results().entries()) {
			const known = stored[i];
			if (known === undefined) {
				const {
					sessionId,
					planId,
					planVersion: version,
					itemIndex,
					item,
					painBefore,
					work,
					references,
				} = order;
				const added = records.addSet({
					sessionId,
					plan: { planId, version, itemIndex },
					item,
					result,
					painBefore,
					conditions: conditionsWith(work.conditions, references),
				});
				if (!added.ok) {
					running.fault = added.error;
					return;
				}
				stored.push({ id: added.value, isAnswered: result.answer !== null });
			} else if (result.answer !== null && !known.isAnswered) {
				const answered = records.answerSet(known.id, result.answer);
				if (!answered.ok) {
					running.fault = answered.error;
					return;
				}
				known.isAnswered = true;
			}
		}
	}

	function keepAll(): Result<null, Fault> {
		if (current === null) return success(null);
		keep(current);
		return current.fault === null ? success(null) : failure(current.fault);
	}

	/** To be called after everything that may have moved the coach on. */
	function follow(running: Running): void {
		const { phase } = running.run;
		if (phase !== running.phase) {
			running.phase = phase;
			onActivity();
			noteStart(running);
			if (phase === "ask" || phase === "done") finishSet(running);
		}
		onChange();
	}

	function noteStart(running: Running): void {
		const { run, order } = running;
		const start = run.workingSince;
		// a set that goes on after a pause has begun before
		if (start === null || start === running.notedStart) return;
		running.notedStart = start;
		parts.onSetBegun({ exercise: order.item.exercise.name, set: run.view().set, start });
	}

	function finishSet(running: Running): void {
		const lead = running.run.results().at(-1)?.countedIn ?? null;
		const learning = running.run.learning();
		if (lead !== null && learning !== null) learned.set(lead, learning);
		keep(running);
	}

	function pause(running: Running, by: ExerciseState["pausedBy"]): void {
		running.run.pause();
		running.pausedBy = running.run.phase === "paused" ? by : null;
		follow(running);
	}

	function tick(): void {
		const running = current;
		if (running === null || isOver(running) || running.pausedBy !== null) return;
		// counted, not told by the time of day: that may be set while somebody exercises
		running.silentMs += TICK_MS;
		if (running.silentMs <= SILENT_MS) return;
		running.run.tick(running.seconds + (running.silentMs - SILENT_MS) / 1000);
		follow(running);
	}

	return {
		get state() {
			if (current === null) return null;
			const { order, run, pausedBy, fault } = current;
			const results = run.results();
			return {
				personId: order.work.personId,
				planVersion: order.planVersion,
				itemIndex: order.itemIndex,
				item: order.item,
				countedIn: run.countedIn,
				referenceId:
					run.countedIn === null
						? null
						: referenceIdOf(conditionsWith(order.work.conditions, order.references), run.countedIn),
				view: run.view(),
				results,
				nextStep: current.nextStep,
				pausedBy,
				sessionId: order.sessionId,
				fault,
			};
		},
		get isRunning() {
			return current !== null && !isOver(current);
		},
		get nextStep() {
			return nextStep;
		},
		start(order) {
			// the sets of the exercise before must not be lost for this one
			const kept = keepAll();
			if (!kept.ok) return kept;
			isLeaving = false;
			const { work, item, painBefore, hadToStop, ease } = order;
			const { regions } = work.measuring.model;
			const regionIds = regions.map(({ id }) => id);
			const references = referencesInForce(regionIds, order.references);
			const options = { item, regionIds, references, painBefore, hadToStop, ease };
			// which region is counted in is the run's own choice; what was learned there goes with it
			const lead = createExerciseRun({ ...options, learned: null }).countedIn;
			const run = createExerciseRun({
				...options,
				learned: lead === null ? null : (learned.get(lead) ?? null),
			});
			run.begin(work.measuring.seconds);
			current = {
				order,
				run,
				stored: [],
				pausedBy: null,
				nextStep: null,
				fault: null,
				seconds: work.measuring.seconds,
				silentMs: 0,
				brokenBy: null,
				phase: run.phase,
				notedStart: null,
			};
			stopTicking ??= clock.every(TICK_MS, tick);
			onActivity();
			onChange();
			return success(null);
		},
		control(action) {
			const running = current;
			if (running === null || isOver(running)) return failure({ kind: "not-running", what: "exercise" });
			onActivity();
			switch (action) {
				case "tap":
					running.run.tap();
					break;
				case "pause":
					pause(running, "person");
					break;
				case "resume":
					if (running.brokenBy !== null) return failure(running.brokenBy);
					running.run.resume(running.seconds);
					running.silentMs = 0;
					running.pausedBy = null;
					break;
				case "stop":
					running.run.stop();
					running.pausedBy = null;
					break;
			}
			follow(running);
			return success(null);
		},
		answer(answer) {
			const running = current;
			if (running === null || running.run.phase !== "ask") {
				return failure({ kind: "not-running", what: "exercise" });
			}
			onActivity();
			const step = running.run.answer(running.seconds, answer);
			nextStep = step;
			running.nextStep = step;
			keep(running);
			if (running.brokenBy !== null) pause(running, pauseOf(running.brokenBy));
			follow(running);
			return success(step);
		},
		onMeans({ seconds }, means) {
			const running = current;
			if (running === null || isOver(running)) return;
			running.seconds = seconds;
			running.silentMs = 0;
			running.brokenBy = null;
			running.run.add(seconds, means);
			follow(running);
		},
		keep: keepAll,
		breakOff(fault) {
			if (current === null || isOver(current)) return;
			current.brokenBy = fault;
			if (current.pausedBy === null) pause(current, pauseOf(fault));
			else if (current.pausedBy !== "person" && current.pausedBy !== pauseOf(fault)) {
				current.pausedBy = pauseOf(fault);
				onChange();
			}
		},
		stopTime() {
			if (current === null || isOver(current)) return;
			current.run.stop();
			current.pausedBy = null;
			follow(current);
		},
		leave() {
			const running = current;
			stopTicking?.();
			stopTicking = null;
			nextStep = null;
			learned.clear();
			onChange();
			if (running === null) return success(null);
			running.run.stop();
			keep(running);
			const { fault } = running;
			const isLastTry = isLeaving;
			isLeaving = fault !== null && !isLastTry;
			if (!isLeaving) current = null;
			return fault === null ? success(null) : failure(fault);
		},
	};
}

function pauseOf(fault: Fault): "link" | "band" {
	return fault.kind === "band-off" ? "band" : "link";
}
