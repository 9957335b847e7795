import { isPain } from "./pain.ts";
import { type StopLimits, usualStopLimits } from "./stop-rules.ts";

/**
 * What pain on the morning after says about the exercise of the day before. Pain-monitoring model: pain up to 5 of 10 is
 * allowed during and after exercise, has settled by the next morning, and does not rise from week to week (R. Thomeé, Phys.
 * Ther. 77:1690, 1997; K. G. Silbernagel et al., Am. J. Sports Med. 35:897, 2007; both from memory). Pain that
 * was there before that exercise counts as settled, too: the exercise has not added to it (our own reading).
 */
export type MorningVerdict =
	/** As before that exercise, or less; or no more than is fine anyway. */
	| "settled"
	| "not-settled"
	/** Above what is acceptable at all. */
	| "too-high";

/** @param before pain before that exercise; null where not answered @throws RangeError outside 0 to 10 */
export function morningVerdict(
	morning: number,
	before: number | null,
	limits: StopLimits = usualStopLimits,
): MorningVerdict {
	if (!(isPain(morning) && (before === null || isPain(before)))) {
		throw new RangeError("pain goes from 0 to 10");
	}
	if (morning > limits.painAcceptable) return "too-high";
	return morning <= Math.max(limits.painFine, before ?? 0) ? "settled" : "not-settled";
}

/** Less of everything from the first set on. */
export interface Ease {
	readonly repetitionShare: number;
	readonly restShare: number;
}

/** How much is left of a dose; at least one repetition. */
export function easedDose<T extends { readonly repetitions: number }>(dose: T, ease: Ease | null): T {
	if (ease === null) return dose;
	return { ...dose, repetitions: Math.max(1, Math.round(dose.repetitions * ease.repetitionShare)) };
}

export type MorningAdvice =
	| { readonly step: "as-planned" }
	/** `tellTherapist`: the plan may be too much. */
	| { readonly step: "less-today"; readonly ease: Ease; readonly tellTherapist: boolean };

/** How much less is our own choice, the same as after a set that hurt. */
const lessToday: Ease = { repetitionShare: 0.7, restShare: 1.5 };

/** How the plan goes on that day. @param verdict null where nothing had to be asked, or was not answered */
export function adviceNextMorning(verdict: MorningVerdict | null): MorningAdvice {
	if (verdict === null || verdict === "settled") return { step: "as-planned" };
	return { step: "less-today", ease: lessToday, tellTherapist: verdict === "too-high" };
}
