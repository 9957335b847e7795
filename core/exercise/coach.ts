import type { Coach, CoachOptions, CoachPhase, CoachReading } from "./coach-contract.ts";
import type { CoachView, Cue, LiveValue, Tone } from "./coach-view.ts";
import { easedDose } from "./next-morning.ts";
import { type NextStep, nextStepAfter, usualStopLimits } from "./stop-rules.ts";

/** s */
export const GET_READY_SECONDS = 5;
const GET_READY_AGAIN = 3;
/** Longest that an unsteady rest delays the set, s. */
const STEADY_WAIT = 10;
const NO_SIGNAL_AFTER = 2;
const COUNTDOWN_FROM = 3;
/** A hold that ended before this share of its time was short. */
const SHORT_HOLD = 0.8;

/**
 * Leads through the sets of one exercise: get ready → work → questions → rest → … → done, with pause and stop at any
 * time. It has no clock: time comes with each call, in seconds of one clock that rises.
 */
export function createCoach(options: CoachOptions): Coach {
	const { exercise, dose, mode, limits = usualStopLimits, ease = null } = options;
	const isHold = exercise.kind === "hold";
	let phase: CoachPhase = "ready";
	let isPaused = false;
	let isStopped = false;
	let now = Number.NaN;
	let phaseStart = Number.NaN;
	let phaseSeconds = 0;
	let set = 1;
	let goal = Math.max(1, Math.round(easedDose(dose, ease).repetitions));
	const usualRestShare = ease?.restShare ?? 1;
	let count = 0;
	let partial = 0;
	let restShare = usualRestShare;
	let hadToStop = options.hadToStop;
	let advice: NextStep | null = null;
	let latest: CoachReading | null = null;
	let latestTime = Number.NaN;
	let hold: "waiting" | "holding" | "let-go" = "waiting";
	let holdStart = Number.NaN;
	let isHoldShort = false;
	let toneNumber = 0;
	let tone: CoachView["tone"] = null;
	let lastCountdown = 0;

	function sound(kind: Tone): void {
		toneNumber++;
		tone = { number: toneNumber, kind };
	}

	function enter(next: CoachPhase, seconds: number): void {
		phase = next;
		phaseStart = now;
		phaseSeconds = seconds;
		lastCountdown = 0;
	}

	function startWork(): void {
		enter("work", 0);
		hold = "waiting";
		holdStart = Number.NaN;
		isHoldShort = false;
		sound("start");
	}

	function startSet(): void {
		count = 0;
		partial = 0;
		latest = null;
		enter("get-ready", GET_READY_SECONDS);
	}

	function finishSet(): void {
		sound("set-done");
		enter("ask", 0);
	}

	/** Beeps for the last seconds, once each. */
	function countDown(left: number): void {
		const whole = Math.ceil(left);
		if (whole > COUNTDOWN_FROM || whole < 1 || whole === lastCountdown) return;
		lastCountdown = whole;
		sound("countdown");
	}

	function getReady(): void {
		const left = phaseSeconds - (now - phaseStart);
		countDown(left);
		if (left > 0) return;
		const mayWait = mode === "measured" && -left < STEADY_WAIT;
		if (mayWait && latest?.isRestSteady !== true) return;
		startWork();
	}

	function workMeasured(reading: CoachReading): void {
		if (reading.full > count && !isHold) sound("repetition");
		count = reading.full;
		partial = reading.partial;
		if (isHold) holdMeasured(reading);
		if (count >= goal && !reading.isActive) finishSet();
	}

	function holdMeasured(reading: CoachReading): void {
		if (!reading.isActive) {
			if (hold === "holding") isHoldShort = now - holdStart < SHORT_HOLD * dose.holdSeconds;
			if (hold !== "waiting") enter("work", dose.pauseSeconds);
			hold = "waiting";
			return;
		}
		if (hold === "waiting") {
			hold = "holding";
			isHoldShort = false;
			lastCountdown = 0;
		}
		holdStart = reading.activeSince;
		holdOn();
	}

	function holdOn(): void {
		if (hold !== "holding") return;
		const left = dose.holdSeconds - (now - holdStart);
		countDown(left);
		if (left > 0) return;
		hold = "let-go";
		sound("let-go");
	}

	/** Nothing is measured: the clock says when to push and when to let go. */
	function holdByTime(): void {
		if (hold === "waiting") {
			if (now - phaseStart < phaseSeconds) return;
			hold = "holding";
			holdStart = now;
			lastCountdown = 0;
			if (count > 0) sound("start");
		}
		holdOn();
		if (hold !== "let-go") return;
		hold = "waiting";
		count++;
		if (count >= goal) finishSet();
		else enter("work", dose.pauseSeconds);
	}

	function secondsLeft(): { left: number; of: number } | null {
		if (phase === "work" && isHold && hold === "holding") {
			return { left: Math.max(0, dose.holdSeconds - (now - holdStart)), of: dose.holdSeconds };
		}
		if (phase === "work" && hold === "let-go") return null;
		if (phaseSeconds === 0 || phase === "ask" || phase === "done") return null;
		const left = phaseSeconds - (now - phaseStart);
		return left > 0 ? { left, of: phaseSeconds } : null;
	}

	function cue(): Cue {
		if (isPaused) return "paused";
		switch (phase) {
			case "ready":
				return "press-start";
			case "get-ready":
				return "keep-still";
			case "rest":
				return "rest";
			case "ask":
				return "answer";
			case "done":
				return isStopped ? "stopped" : "finished";
			case "work":
				if (!isHold) return "work";
				if (hold === "holding") return "hold";
				if (hold === "let-go") return "let-go";
				return secondsLeft() === null ? "work" : "rest";
		}
	}

	function isSilent(): boolean {
		return mode === "measured" && !Number.isNaN(latestTime) && now - latestTime > NO_SIGNAL_AFTER;
	}

	function live(): LiveValue {
		if (mode === "self-counted" || latest === null || isSilent()) return { kind: "none" };
		if (Number.isNaN(latest.percent)) {
			return Number.isNaN(latest.change) ? { kind: "none" } : { kind: "raw", change: latest.change };
		}
		const { low, high } = dose.target;
		const { percent } = latest;
		const place = percent < low ? "below" : percent > high ? "above" : "within";
		return { kind: "percent", percent, place: phase === "work" ? place : null };
	}

	function hint(): CoachView["hint"] {
		if (phase === "done" || phase === "ask" || phase === "ready") return null;
		if (isSilent()) return "no-signal";
		if (phase === "get-ready") return now - phaseStart > phaseSeconds ? "keep-still" : null;
		if (latest !== null && latest.unended > 0) return "check-band";
		return isHoldShort ? "hold-longer" : null;
	}

	function next(): CoachView["next"] {
		switch (phase) {
			case "ready":
			case "get-ready":
			case "rest":
				return "work";
			case "work":
				return isHold && count + 1 < goal ? "rest" : "questions";
			case "ask":
				return set < dose.sets && !isStopped ? "rest" : "end";
			case "done":
				return null;
		}
	}

	function end(): void {
		if (!isStopped) sound("all-done");
		enter("done", 0);
	}

	return {
		get phase() {
			return isPaused ? "paused" : phase;
		},
		get set() {
			return set;
		},
		begin(time) {
			if (phase !== "ready") return;
			now = time;
			latestTime = time;
			startSet();
		},
		advance(time, reading) {
			// a pause stands still: it is neither rest nor a silent band
			if (!(time >= now) || isPaused) return;
			now = time;
			if (reading !== null) {
				latest = reading;
				latestTime = time;
			}
			if (phase === "get-ready") getReady();
			else if (phase === "rest" && now - phaseStart >= phaseSeconds - GET_READY_SECONDS) startSet();
			else if (phase === "work" && mode === "self-counted" && isHold) holdByTime();
			else if (phase === "work" && mode === "measured" && reading !== null) workMeasured(reading);
		},
		tap() {
			if (phase !== "work" || isPaused || mode !== "self-counted" || isHold) return;
			count++;
			sound("repetition");
			if (count >= goal) finishSet();
		},
		pause() {
			if (phase !== "ready" && phase !== "done" && phase !== "ask") isPaused = true;
		},
		resume(time) {
			if (!isPaused) return;
			isPaused = false;
			const paused = Math.max(0, time - now);
			now += paused;
			latestTime = now;
			if (phase === "rest") phaseStart += paused;
			else enter("get-ready", GET_READY_AGAIN);
			hold = "waiting";
		},
		stop() {
			if (phase === "done") return;
			isPaused = false;
			isStopped = true;
			if (phase === "ready") end();
			else if (phase !== "ask") enter("ask", 0);
		},
		answer(time, given) {
			if (phase !== "ask") throw new RangeError("coach: nothing was asked");
			const step = nextStepAfter(given, { painBefore: options.painBefore, hadToStop }, limits);
			now = Math.max(now, time);
			advice = step;
			if (step.action === "stop-exercise" || step.action === "stop-session" || step.action === "get-help") {
				hadToStop = true;
				isStopped = true;
			}
			if (step.action === "ease") {
				goal = Math.max(1, Math.round(goal * step.repetitionShare));
				restShare = Math.max(step.restShare, usualRestShare);
			} else restShare = usualRestShare;
			if (isStopped || set >= dose.sets) end();
			else {
				set++;
				enter("rest", Math.max(GET_READY_SECONDS, dose.restSeconds * restShare));
			}
			return step;
		},
		view() {
			const countdown = secondsLeft();
			return {
				phase: isPaused ? "paused" : phase,
				cue: cue(),
				set,
				sets: dose.sets,
				count: Math.min(count + (hold === "let-go" && mode === "measured" ? 1 : 0), Math.max(count, goal)),
				partialCount: partial,
				goal,
				secondsLeft: countdown?.left ?? null,
				secondsOf: countdown?.of ?? null,
				live: live(),
				target: dose.target,
				next: next(),
				hint: hint(),
				advice,
				tone,
			};
		},
	};
}
