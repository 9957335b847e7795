/** How a person goes through a plan in one sitting, from putting the band on to the end; pure. */
import type { LimbSetup, Today } from "../app/contract.ts";
import type { PlanVersion } from "../core/exercise/plan.ts";

export type Stage =
	| { readonly at: "band"; readonly index: number }
	| { readonly at: "pain"; readonly index: number }
	| { readonly at: "intro"; readonly index: number }
	| { readonly at: "coach"; readonly index: number }
	/** An exercise was ended early: go on, or enough? `next` is null after the last. */
	| { readonly at: "stopped"; readonly next: number | null }
	| { readonly at: "finished" };

/** The first exercise, from `from` on, that has sets left in this round; null if none has.
 *  @param setsDone today, one per item @param round 1 for the first time on this day */
export function nextIndex(
	version: PlanVersion,
	setsDone: readonly number[],
	round: number,
	from: number,
): number | null {
	const index = version.items.findIndex(({ dose }, i) => i >= from && (setsDone[i] ?? 0) < round * dose.sets);
	return index < 0 ? null : index;
}

/** For `nextIndex` and `minutesFor`: what pain has ended today counts as done however often. */
export function doneOrEnded({ setsDone, isEnded }: Pick<Today, "setsDone" | "isEnded">): number[] {
	return setsDone.map((sets, i) => (isEnded[i] ? Number.POSITIVE_INFINITY : sets));
}

/** The same, after this exercise was ended. */
export function withEnded(setsDone: readonly number[], { items }: PlanVersion, index: number): number[] {
	const { exercise, side } = items[index]!;
	return setsDone.map((sets, i) =>
		items[i]!.exercise.id === exercise.id && items[i]!.side === side ? Number.POSITIVE_INFINITY : sets,
	);
}

/** What comes before an exercise can start: the band on its leg, how much it hurts, or its picture. */
export function stageBefore(
	version: PlanVersion,
	index: number,
	worn: LimbSetup["side"] | null,
	isPainAsked: boolean,
): Stage {
	if (version.items[index]!.side !== worn) return { at: "band", index };
	return isPainAsked ? { at: "intro", index } : { at: "pain", index };
}

/** Rough time for what is left, minutes, at least 1: work at the person's own pace is taken as 4 s a repetition. */
export function minutesFor(version: PlanVersion, setsDone: readonly number[], round: number): number {
	const OWN_PACE = 4;
	const BETWEEN = 30;
	let seconds = 0;
	for (const [i, { dose, exercise }] of version.items.entries()) {
		const sets = Math.min(dose.sets, Math.max(0, round * dose.sets - (setsDone[i] ?? 0)));
		if (sets === 0) continue;
		const each = exercise.kind === "hold" ? dose.holdSeconds + dose.pauseSeconds : OWN_PACE;
		seconds += BETWEEN + sets * dose.repetitions * each + (sets - 1) * dose.restSeconds;
	}
	return Math.max(1, Math.round(seconds / 60));
}
