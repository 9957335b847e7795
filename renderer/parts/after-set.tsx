/** The questions after a set: pain, effort, and what else may be wrong; also of a set that was left without answers. */
import { useState } from "preact/hooks";
import type { RequestArgument, UnansweredSet } from "../../app/contract.ts";
import { effortScale, type NextStep, redFlags } from "../../core/exercise/stop-rules.ts";
import type { RequestFault } from "../bridge.ts";
import { adviceWords, coachWords, effortAnchors } from "../text/coach-words.ts";
import { AnswerScale } from "./answer-scale.tsx";
import { FaultNote } from "./notes.tsx";
import { PainQuestion } from "./pain-question.tsx";
import { Question } from "./question.tsx";
import { SimulatedTag } from "./simulated-tag.tsx";
import { useAction } from "./use-request.ts";

type Answer = RequestArgument<"answerSet">;
type Symptom = Answer["symptoms"][number];

const efforts = effortScale.map(({ value }) => ({ value, words: effortAnchors[value] ?? null }));

export function AfterSet() {
	const answer = useAction("answerSet");
	return <SetQuestions {...answer} onAnswer={(given) => void answer.run(given)} />;
}

/** What was left unanswered today comes before anything else. @param onAnswered what the answers lead to, where a person
 *  has to read it before going on; else null */
export function LeftSetQuestions({
	personId,
	left,
	onAnswered,
}: {
	readonly personId: number;
	readonly left: UnansweredSet;
	readonly onAnswered: (step: NextStep | null) => void;
}) {
	const answer = useAction("answerLeftSet");
	return (
		<div class="sitting">
			<header class="sitting-head">
				<p class="left-set">{coachWords.leftSet(left.exerciseName, left.set, coachWords.legs[left.side])}</p>
				<SimulatedTag />
			</header>
			<SetQuestions
				{...answer}
				onAnswer={async (given) => {
					const outcome = await answer.run({ ...given, personId, setId: left.setId });
					if (!outcome.ok) return;
					onAnswered(adviceWords(outcome.value)?.isSerious === true ? outcome.value : null);
				}}
			/>
		</div>
	);
}

function SetQuestions({
	fault,
	isBusy,
	onAnswer,
}: {
	readonly fault: RequestFault | null;
	readonly isBusy: boolean;
	readonly onAnswer: (answer: Answer) => void;
}) {
	const [pain, setPain] = useState<number | null>(null);
	const [isTelling, setTelling] = useState(false);
	return (
		<div class="questions">
			{fault !== null && <FaultNote fault={fault} />}
			{isTelling ? (
				<Symptoms
					isBusy={isBusy}
					onTell={(symptoms) => onAnswer({ pain, effort: null, symptoms })}
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
								onAnswer={(effort) => onAnswer({ pain, effort, symptoms: [] })}
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
