import { useState } from "preact/hooks";
import { homeWords } from "../text/home-words.ts";
import { AnswerScale } from "./answer-scale.tsx";
import { PainQuestion, painSteps } from "./pain-question.tsx";
import { Question } from "./question.tsx";

/** Pain before a sitting, and on the same page of the morning after the last one, where that is to be asked: the answer
 *  to the last question ends the page, so that it is no screen of its own. */
export function PainCheckIn({
	asksNextMorning,
	onAnswer,
}: {
	readonly asksNextMorning: boolean;
	/** @param nextMorning null where it was not asked or not answered */
	readonly onAnswer: (now: number, nextMorning: number | null) => void;
}) {
	const [nextMorning, setNextMorning] = useState<number | null>(null);
	return (
		<>
			{asksNextMorning && (
				<Question title={homeWords.pain.morning}>
					<AnswerScale
						label={homeWords.pain.morning}
						steps={painSteps}
						chosen={nextMorning}
						onAnswer={setNextMorning}
					/>
				</Question>
			)}
			<PainQuestion
				title={homeWords.pain.before}
				takesFocus={!asksNextMorning}
				onAnswer={(now) => onAnswer(now, nextMorning)}
			/>
		</>
	);
}
