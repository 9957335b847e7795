import { painAnchors } from "../text/coach-words.ts";
import { AnswerScale } from "./answer-scale.tsx";
import { Question } from "./question.tsx";

export const painSteps = Array.from({ length: 11 }, (_, value) => ({
	value,
	words: painAnchors[value] ?? null,
}));

/** Pain from 0 to 10. */
export function PainQuestion({
	title,
	takesFocus = true,
	onAnswer,
}: {
	readonly title: string;
	readonly takesFocus?: boolean;
	readonly onAnswer: (pain: number) => void;
}) {
	return (
		<Question title={title} takesFocus={takesFocus}>
			<AnswerScale label={title} steps={painSteps} onAnswer={onAnswer} />
		</Question>
	);
}
