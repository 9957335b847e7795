import type { EngagementRange } from "./repetition.ts";
import type { NextStep } from "./stop-rules.ts";

/** What the person is to do now; words and pictures are the renderer's. */
export type Cue =
	| "press-start"
	/** Relax: rest is being measured. */
	| "keep-still"
	| "work"
	| "hold"
	| "let-go"
	| "rest"
	| "answer"
	| "finished"
	| "stopped"
	| "paused";

/** Sounds without speech. */
export type Tone = "countdown" | "start" | "repetition" | "let-go" | "set-done" | "all-done";

export type LiveValue =
	| {
			readonly kind: "percent";
			readonly percent: number;
			/** Null where nothing is aimed at just now. */
			readonly place: "below" | "within" | "above" | null;
	  }
	/** Change from rest in the signal's unit, without a target. */
	| { readonly kind: "raw"; readonly change: number }
	/** Nothing is measured, or no frame has come for a while. */
	| { readonly kind: "none" };

/** Everything the coach screen shows; plain data. */
export interface CoachView {
	readonly phase: "ready" | "get-ready" | "work" | "ask" | "rest" | "done" | "paused";
	readonly cue: Cue;
	/** 1 for the first. */
	readonly set: number;
	readonly sets: number;
	readonly count: number;
	readonly partialCount: number;
	/** Repetitions wanted in this set. */
	readonly goal: number;
	/** Of what counts down just now, s; null where nothing does. */
	readonly secondsLeft: number | null;
	/** The whole of what counts down, s. */
	readonly secondsOf: number | null;
	readonly live: LiveValue;
	readonly target: EngagementRange;
	/** What follows. */
	readonly next: "work" | "rest" | "questions" | "end" | null;
	readonly hint: "check-band" | "no-signal" | "hold-longer" | "keep-still" | null;
	/** What the latest answers lead to; null before the first. */
	readonly advice: NextStep | null;
	/** To be sounded when its number changes. */
	readonly tone: { readonly number: number; readonly kind: Tone } | null;
}
