/** The same measure of two sessions, and what its difference is worth. */
import type { MeasureProgress, Progress, SessionReview } from "../../app/contract.ts";
import { type ChangeVerdict, unsafeBetween, verdictOn } from "../../core/exercise/progress.ts";
import type { UnsafeMark } from "../parts/unsafe-note.tsx";
import { unsafeWords } from "./comparison.ts";
import { reviewWords } from "./review-words.ts";

export interface MeasurePair {
	readonly key: string;
	readonly kind: MeasureProgress["kind"];
	readonly name: string;
	readonly unit: MeasureProgress["unit"];
	readonly first: number;
	readonly second: number;
	/** Null where the units differ, such as with and without a reference. */
	readonly difference: number | null;
	/** Null where comparing is unsafe, or the plan asked for something else. */
	readonly verdict: ChangeVerdict | null;
	readonly minimalDetectableChange: number | null;
}

/** Why two sessions should not be compared; empty if they may be. */
export function marksBetween(first: SessionReview, second: SessionReview): readonly UnsafeMark[] {
	const marks: UnsafeMark[] = [];
	if (first.session.personId !== second.session.personId) {
		marks.push({ what: reviewWords.compare.otherPerson, why: reviewWords.compare.otherPersonWhy });
	}
	if (first.conditions === null || second.conditions === null) {
		marks.push({
			what: reviewWords.compare.unknownConditions,
			why: reviewWords.compare.unknownConditionsWhy,
		});
		return marks;
	}
	return [...marks, ...unsafeBetween(first.conditions, second.conditions).map(unsafeWords)];
}

/** Measures of one exercise that are known for both sessions; sides may differ. */
export function measurePairs(
	exerciseId: string,
	first: { readonly sessionId: number; readonly progress: Progress },
	second: { readonly sessionId: number; readonly progress: Progress },
	isSafe: boolean,
): readonly MeasurePair[] {
	const known = ({ sessionId, progress }: typeof first) =>
		progress.measures.flatMap((measure) => {
			const point = measure.points.find((candidate) => candidate.sessionId === sessionId);
			return measure.exerciseId === exerciseId && point !== undefined ? [{ measure, point }] : [];
		});
	const others = known(second);
	return known(first).flatMap(({ measure, point }) => {
		const other = others.find((candidate) => candidate.measure.kind === measure.kind);
		if (other === undefined) return [];
		const difference = other.measure.unit === measure.unit ? other.point.value - point.value : null;
		const sem = measure.error?.sem ?? null;
		return [
			{
				key: measure.id,
				kind: measure.kind,
				name: measure.name,
				unit: measure.unit,
				first: point.value,
				second: other.point.value,
				difference,
				verdict:
					isSafe && difference !== null && point.asked === other.point.asked
						? verdictOn(difference, sem)
						: null,
				minimalDetectableChange: measure.error?.minimalDetectableChange ?? null,
			},
		];
	});
}
