/** The questions after a set: pain, effort, and what else may be wrong. */
import { useState } from "preact/hooks";
import type { RequestArgument } from "../../app/contract.ts";
import { effortScale, redFlags } from "../../core/exercise/stop-rules.ts";
import { coachWords, effortAnchors } from "../text/coach-words.ts";
import { AnswerScale } from "./answer-scale.tsx";
import { FaultNote } from "./notes.tsx";
import { PainQuestion } from "./pain-question.tsx";
import { Question } from "./question.tsx";
import { useAction } from "./use-request.ts";

type Symptom = RequestArgument<"answerSet">["symptoms"][number];

const efforts = effortScale.map(({ value }) => ({ value, words: effortAnchors[value] ?? null }));

export function AfterSet() {
	const [pain, setPain] = useState<number | null>(null);
	const [isTelling, setTelling] = useState(false);
	const answer = useAction("answerSet");
	return (
		<div class="questions">
			{answer.fault !== null && <FaultNote fault={answer.fault} />}
			{isTelling ? (
				<Symptoms
					isBusy={answer.isBusy}
					onTell={(symptoms) => void answer.run({ pain, effort: null, symptoms })}
					onBack={() => setTelling(false)}
				/>
			) : (
				<>
					{pain === null ? (
						<PainQuestion key="pain" title={coachWords.painTitle} onAnswer={setPain} />
					) : (
						<Question key="effort" title={coachWords.effortTitle}>
							<AnswerScale
								label={coachWords.effortTitle}
								steps={efforts}
								onAnswer={(effort) => void answer.run({ pain, effort, symptoms: [] })}
							/>
						</Question>
					)}
					<button type="button" class="button coach-button" onClick={() => setTelling(true)}>
						{coachWords.symptoms}
					</button>
				</>
			)}
		</div>
	);
}

function Symptoms({
	isBusy,
	onTell,
	onBack,
}: {
	readonly isBusy: boolean;
	readonly onTell: (symptoms: Symptom[]) => void;
	readonly onBack: () => void;
}) {
	const [chosen, setChosen] = useState<readonly string[]>([]);
	return (
		<Question title={coachWords.symptomsTitle}>
			<ul class="symptoms">
				{redFlags.map(({ id, text }) => (
					<li key={id}>
						<label class="symptom">
							<input
								type="checkbox"
								checked={chosen.includes(id)}
								onChange={(event) =>
									setChosen(
										event.currentTarget.checked ? [...chosen, id] : chosen.filter((other) => other !== id),
									)
								}
							/>
							{text}
						</label>
					</li>
				))}
			</ul>
			<div class="button-row question-row">
				<button
					type="button"
					class="button button-primary coach-button"
					disabled={chosen.length === 0 || isBusy}
					onClick={() => onTell([...chosen])}
				>
					{coachWords.symptomsSend}
				</button>
				<button type="button" class="button coach-button" onClick={onBack}>
					{coachWords.symptomsNone}
				</button>
			</div>
		</Question>
	);
}
