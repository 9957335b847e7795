import { isPain } from "./pain.ts";

/** A symptom that ends exercise at once. */
export interface RedFlag {
	readonly id: string;
	/** Asked of the person, in plain words. */
	readonly text: string;
	/** `emergency`: call for help now. `today`: see a doctor or nurse today. */
	readonly urgency: "emergency" | "today";
}

/** Topics: patient leaflets after surgery and on thrombosis. Wording and urgency are common practice without a source;
 *  a clinic must check them against its own rules before use. */
export const redFlags: readonly RedFlag[] = [
	{ id: "chest", text: "Pain in your chest, or hard to breathe", urgency: "emergency" },
	{ id: "faint", text: "You fainted, or feel you will faint", urgency: "emergency" },
	{
		id: "tense-thigh",
		text: "Your thigh is very tight and hurts more than you would expect",
		urgency: "emergency",
	},
	{ id: "deformity", text: "A sharp pain with a pop, or your leg has a new odd shape", urgency: "emergency" },
	{ id: "swollen-calf", text: "Your calf or thigh is newly swollen, warm, red or sore", urgency: "today" },
	{ id: "fever", text: "Fever, or your wound is red or leaks", urgency: "today" },
	{ id: "giving-way", text: "Your knee gives way", urgency: "today" },
	{ id: "numb", text: "A part of your leg is newly numb or weak, or your foot hangs down", urgency: "today" },
	{ id: "swollen-knee", text: "Your knee swells up fast", urgency: "today" },
	{ id: "night-pain", text: "Pain at night or all the time that gets worse", urgency: "today" },
	{ id: "skin", text: "A burn, blister or rash under the band", urgency: "today" },
];

/**
 * Limits that a clinician may change. Pain from 0 to 10: 0–2 fine, 3–5 acceptable if settled by the next morning, above
 * 5 reduce or stop follows the pain-monitoring model (see `MorningVerdict`). Effort is Borg's CR10 (G. A. Borg, Med. Sci. Sports
 * Exerc. 14:377, 1982, from memory): 7 very strong, 10 extremely strong; acting at 7 and 9 is our own choice.
 */
export interface StopLimits {
	readonly painFine: number;
	readonly painAcceptable: number;
	/** Pain at which the session ends, not just the exercise. */
	readonly painSevere: number;
	/** A rise within the session by which the exercise is made easier, points. */
	readonly painRise: number;
	readonly effortHigh: number;
	readonly effortTooHigh: number;
}

export const usualStopLimits: StopLimits = {
	painFine: 2,
	painAcceptable: 5,
	painSevere: 8,
	painRise: 2,
	effortHigh: 7,
	effortTooHigh: 9,
};

/** Values of the CR10 scale that are offered, with Borg's words. */
export const effortScale: readonly { readonly value: number; readonly words: string }[] = [
	{ value: 0, words: "nothing at all" },
	{ value: 0.5, words: "extremely weak" },
	{ value: 1, words: "very weak" },
	{ value: 2, words: "weak" },
	{ value: 3, words: "moderate" },
	{ value: 5, words: "strong" },
	{ value: 7, words: "very strong" },
	{ value: 10, words: "extremely strong" },
];

export interface SetAnswer {
	/** 0 to 10; null where not answered. */
	readonly pain: number | null;
	/** CR10, 0 to 10; null where not answered. */
	readonly effort: number | null;
	/** Ids of red flags that apply. */
	readonly symptoms: readonly string[];
}

export interface SessionSoFar {
	/** Asked before the session; null where not answered. */
	readonly painBefore: number | null;
	/** Whether pain above what is acceptable has already ended an exercise of this session. */
	readonly hadToStop: boolean;
}

export type StopReason =
	| "pain-above-acceptable"
	| "pain-severe"
	| "pain-again"
	| "pain-acceptable"
	| "pain-rising"
	| "effort-high"
	| "effort-too-high";

/** What comes next, mildest first. `askTomorrow`: whether to ask next morning if the pain has settled. */
export type NextStep =
	| { readonly action: "go-on"; readonly askTomorrow: boolean; readonly reasons: readonly StopReason[] }
	/** The next set with fewer repetitions and a longer rest before it. */
	| {
			readonly action: "ease";
			readonly repetitionShare: number;
			readonly restShare: number;
			readonly askTomorrow: boolean;
			readonly reasons: readonly StopReason[];
	  }
	| {
			readonly action: "stop-exercise" | "stop-session";
			readonly askTomorrow: boolean;
			readonly reasons: readonly StopReason[];
	  }
	| {
			readonly action: "get-help";
			readonly urgency: RedFlag["urgency"];
			readonly symptoms: readonly string[];
	  };

/** @throws RangeError on pain or effort outside 0 to 10, or an unknown symptom */
export function nextStepAfter(
	answer: SetAnswer,
	session: SessionSoFar,
	limits: StopLimits = usualStopLimits,
): NextStep {
	check(answer, session);
	const flags = redFlags.filter(({ id }) => answer.symptoms.includes(id));
	if (flags.length > 0) {
		const urgency = flags.some((flag) => flag.urgency === "emergency") ? "emergency" : "today";
		return { action: "get-help", urgency, symptoms: flags.map(({ id }) => id) };
	}
	const pain = answer.pain ?? 0;
	const askTomorrow = pain > limits.painFine;
	if (pain >= limits.painSevere) return { action: "stop-session", askTomorrow, reasons: ["pain-severe"] };
	if (pain > limits.painAcceptable) {
		return session.hadToStop
			? { action: "stop-session", askTomorrow, reasons: ["pain-again"] }
			: { action: "stop-exercise", askTomorrow, reasons: ["pain-above-acceptable"] };
	}
	const reasons: StopReason[] = [];
	const effort = answer.effort ?? 0;
	const isRising =
		session.painBefore !== null && answer.pain !== null && pain - session.painBefore >= limits.painRise;
	if (askTomorrow) reasons.push("pain-acceptable");
	if (isRising && askTomorrow) reasons.push("pain-rising");
	if (effort >= limits.effortTooHigh) reasons.push("effort-too-high");
	else if (effort >= limits.effortHigh) reasons.push("effort-high");
	const fewer = reasons.includes("pain-rising") || reasons.includes("effort-too-high");
	if (fewer) return { action: "ease", repetitionShare: 0.7, restShare: 1.5, askTomorrow, reasons };
	if (reasons.includes("effort-high")) {
		return { action: "ease", repetitionShare: 1, restShare: 1.5, askTomorrow, reasons };
	}
	return { action: "go-on", askTomorrow, reasons };
}

/** Whether somebody who is alone may begin: pain that would end an exercise begins none. @throws RangeError on pain
 *  outside 0 to 10 */
export function nextStepBefore(pain: number, limits: StopLimits = usualStopLimits): NextStep {
	if (!isPain(pain)) throw new RangeError("pain goes from 0 to 10");
	const askTomorrow = pain > limits.painFine;
	if (pain <= limits.painAcceptable) return { action: "go-on", askTomorrow, reasons: [] };
	const reason = pain >= limits.painSevere ? "pain-severe" : "pain-above-acceptable";
	return { action: "stop-session", askTomorrow, reasons: [reason] };
}

function check({ pain, effort, symptoms }: SetAnswer, { painBefore }: SessionSoFar): void {
	for (const value of [pain, painBefore]) {
		if (value !== null && !isPain(value)) throw new RangeError("pain goes from 0 to 10");
	}
	if (effort !== null && !(effort >= 0 && effort <= 10))
		throw new RangeError("effort (CR10) goes from 0 to 10");
	for (const id of symptoms) {
		if (!redFlags.some((flag) => flag.id === id)) throw new RangeError(`there is no symptom '${id}'`);
	}
}
