/** Measured facts of a session as a draft for the objective part of its notes. Facts only: what they mean is for
 *  whoever writes the assessment. */
import type { SessionReview, SetRecord } from "../../app/contract.ts";
import { unsafeList } from "./comparison.ts";
import { setMeasures } from "./set-measures.ts";

export function objectiveDraft(review: SessionReview): string {
	const unit = review.measured.pictures[0]?.unit ?? "S/m";
	const lines: string[] = [];
	if (review.session.simulated) lines.push("Invented data from a simulated person.");
	for (const group of setsByExercise(review.sets)) {
		const { item } = group.sets[0]!;
		lines.push(`${item.exercise.name}, ${item.side} thigh:`);
		for (const set of group.sets) {
			const measures = new Map(setMeasures(set, unit).map((measure) => [measure.id, measure]));
			const say = (id: Parameters<typeof measures.get>[0], name: string): string[] => {
				const measure = measures.get(id);
				if (measure === undefined || measure.value === "–") return [];
				return [`${name} ${measure.value}${measure.detail?.startsWith("±") ? ` ${measure.detail}` : ""}`];
			};
			const facts = [
				...say("count", "repetitions"),
				...say("hold", "hold"),
				...say("peak", "peak engagement"),
				...say("pain", "pain"),
				...say("effort", "effort"),
			];
			lines.push(`  Set ${set.set}: ${facts.join(", ")}.`);
		}
	}
	if (review.sets.length === 0) lines.push("No exercise sets were recorded.");
	const unsafe = review.sincePrevious?.unsafe ?? [];
	if (unsafe.length > 0) {
		lines.push(`Not comparable with the session before: ${unsafeList(unsafe)}.`);
	}
	// A text field keeps breaking spaces only.
	return lines.join("\n").replace(/\u00a0/g, " ");
}

export interface ExerciseGroup {
	/** Exercise and side: the same exercise on the other side is another group. */
	readonly key: string;
	readonly sets: readonly SetRecord[];
}

/** Sets of the same exercise on the same side, in the order done. */
export function setsByExercise(sets: readonly SetRecord[]): readonly ExerciseGroup[] {
	const groups = new Map<string, SetRecord[]>();
	for (const set of sets) {
		const key = `${set.item.exercise.id} ${set.item.side}`;
		const group = groups.get(key);
		if (group === undefined) groups.set(key, [set]);
		else group.push(set);
	}
	return [...groups].map(([key, group]) => ({ key, sets: group }));
}
