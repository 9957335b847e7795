import type { CoachView } from "./coach-view.ts";
import type { Dose, Exercise } from "./exercise.ts";
import type { Ease } from "./next-morning.ts";
import type { NextStep, SetAnswer, StopLimits } from "./stop-rules.ts";

/** What the counter says with a frame. */
export interface CoachReading {
	readonly isActive: boolean;
	/** Device time, s; NaN while not active. */
	readonly activeSince: number;
	readonly full: number;
	readonly partial: number;
	readonly unended: number;
	/** Percent of the reference; NaN without one. */
	readonly percent: number;
	/** Change from rest in the signal's unit; NaN where nothing is measured. */
	readonly change: number;
	/** Whether rest could be measured during the latest seconds. */
	readonly isRestSteady: boolean;
}

export interface CoachOptions {
	readonly exercise: Exercise;
	readonly dose: Dose;
	/** `measured`: the counter leads. `self-counted`: nothing is detected in the region, so time and taps lead. */
	readonly mode: "measured" | "self-counted";
	readonly painBefore: number | null;
	readonly hadToStop: boolean;
	readonly limits?: StopLimits;
	/** Less than prescribed from the first set on; null for all of it. */
	readonly ease?: Ease | null;
}

export type CoachPhase = "ready" | "get-ready" | "work" | "ask" | "rest" | "done";

export interface Coach {
	begin(time: number): void;
	/** Time goes on. @param reading null without a new frame, and always where nothing is measured */
	advance(time: number, reading: CoachReading | null): void;
	/** A repetition that the person counts; only where nothing is measured. */
	tap(): void;
	pause(): void;
	resume(time: number): void;
	/** At any time: the questions come next, then the end. */
	stop(): void;
	/** Answers to the questions; decides what comes next. */
	answer(time: number, answer: SetAnswer): NextStep;
	view(): CoachView;
	readonly phase: CoachPhase | "paused";
	/** 1 for the first. */
	readonly set: number;
}
