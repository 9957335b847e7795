import { useEffect, useState } from "preact/hooks";
import type { PlanItem } from "../../core/exercise/plan.ts";
import type { RequestFault } from "../bridge.ts";
import { coachWords } from "../text/coach-words.ts";
import { homeWords } from "../text/home-words.ts";
import { doseWords } from "../text/plan-words.ts";
import { MainButton } from "./main-button.tsx";
import { FaultNote } from "./notes.tsx";
import { ExercisePictogram } from "./pictogram.tsx";

/** Time to read before it starts by itself, s (our own choice). */
const READING_SECONDS = 20;

/** What comes next and how it is done. */
export function ExerciseIntro({
	item,
	place,
	of,
	startsItself,
	isBusy,
	restSeconds,
	fault,
	onStart,
	onBandAgain,
}: {
	readonly item: PlanItem;
	readonly place: number;
	readonly of: number;
	readonly startsItself: boolean;
	readonly isBusy: boolean;
	/** While rest is being taken. */
	readonly restSeconds: number | null;
	readonly fault: RequestFault | null;
	readonly onStart: () => void;
	readonly onBandAgain: () => void;
}) {
	const [secondsLeft, setSecondsLeft] = useState<number | null>(startsItself ? READING_SECONDS : null);
	useEffect(() => {
		if (secondsLeft === null || isBusy || fault !== null) return;
		const timer = setTimeout(() => {
			if (secondsLeft <= 1) {
				setSecondsLeft(null);
				onStart();
			} else setSecondsLeft(secondsLeft - 1);
		}, 1000);
		return () => clearTimeout(timer);
	}, [secondsLeft, isBusy, fault]);
	const { exercise, dose, side, note } = item;
	return (
		<section class="intro">
			<div class="intro-picture">
				<ExercisePictogram drawing={exercise.drawing} />
			</div>
			<div class="intro-words">
				<p class="intro-place">
					{coachWords.exerciseOf(place, of)} · {homeWords.legs[side]}
				</p>
				<h2 class="guide-title">{exercise.name}</h2>
				<p class="intro-dose">{doseWords(exercise.kind, dose)}</p>
				<ol class="numbers intro-lines">
					{exercise.instructions.map((line) => (
						<li key={line}>{line}</li>
					))}
				</ol>
				{note !== "" && <p class="intro-note">{note}</p>}
				{exercise.cautions.length > 0 && (
					<p class="intro-cautions">
						<strong>{coachWords.cautions}:</strong> {exercise.cautions.join(" ")}
					</p>
				)}
				{fault !== null && <FaultNote fault={fault} />}
				<div class="button-row question-row">
					<MainButton
						text={
							isBusy
								? restSeconds === null
									? homeWords.band.working
									: homeWords.band.keepStill(restSeconds)
								: fault !== null
									? coachWords.tryAgain
									: secondsLeft === null
										? coachWords.start
										: coachWords.startNow
						}
						isDisabled={isBusy}
						onPress={onStart}
					/>
					{secondsLeft !== null && fault === null && (
						<button type="button" class="button coach-button" onClick={() => setSecondsLeft(null)}>
							{coachWords.wait}
						</button>
					)}
					{fault !== null && (
						<button type="button" class="button coach-button" onClick={onBandAgain}>
							{coachWords.bandAgain}
						</button>
					)}
					{secondsLeft !== null && fault === null && (
						<p class="guide-note figures" aria-hidden="true">
							{coachWords.startsIn(secondsLeft)}
						</p>
					)}
				</div>
			</div>
		</section>
	);
}
