import { useEffect, useState } from "preact/hooks";
import { type Ease, easedDose } from "../../core/exercise/next-morning.ts";
import type { PlanItem } from "../../core/exercise/plan.ts";
import type { RequestFault } from "../bridge.ts";
import { coachWords } from "../text/coach-words.ts";
import { homeDose, homeWords } from "../text/home-words.ts";
import { Icon } from "./icon.tsx";
import { MainButton } from "./main-button.tsx";
import { FaultNote } from "./notes.tsx";
import { ExercisePictogram } from "./pictogram.tsx";

/** Adults read 238 words a minute in silence (M. Brysbaert, J. Mem. Lang. 109:104047, 2019, from memory); half of that
 *  leaves time for poor eyes and for lying down (our own choice). */
const WORDS_PER_SECOND = 2;
const LEAST_SECONDS = 20;

/** Time to read before it starts by itself, s. */
function readingSeconds({ exercise, note }: PlanItem): number {
	const { name, instructions, cautions, stopRules } = exercise;
	const words = [name, ...instructions, note, ...cautions, ...stopRules].join(" ").split(/\s+/).length;
	return Math.max(LEAST_SECONDS, Math.ceil(words / WORDS_PER_SECOND));
}

/** What comes next and how it is done. */
export function ExerciseIntro({
	item,
	ease,
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
	/** Less than prescribed; null for all of it. */
	readonly ease: Ease | null;
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
	const [secondsLeft, setSecondsLeft] = useState<number | null>(startsItself ? readingSeconds(item) : null);
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
			<div class="intro-side">
				<div class="intro-picture">
					<ExercisePictogram drawing={exercise.drawing} />
				</div>
				<Care exercise={exercise} />
			</div>
			<div class="intro-words">
				<p class="intro-place">
					{coachWords.exerciseOf(place, of)} · {homeWords.legs[side]}
				</p>
				<h2 class="guide-title">{exercise.name}</h2>
				<p class="intro-dose">{homeDose(exercise.kind, easedDose(dose, ease))}</p>
				<ol class="numbers intro-lines">
					{exercise.instructions.map((line) => (
						<li key={line}>{line}</li>
					))}
				</ol>
				{note !== "" && <p class="intro-note">{note}</p>}
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

/** When to take care and when to end it: read before each exercise. */
function Care({ exercise: { cautions, stopRules } }: { readonly exercise: PlanItem["exercise"] }) {
	const parts = [
		{ title: coachWords.cautions, icon: "caution", lines: cautions },
		{ title: coachWords.stopRules, icon: "stop", lines: stopRules },
	] as const;
	if (parts.every(({ lines }) => lines.length === 0)) return null;
	return (
		<div class="intro-care">
			{parts
				.filter(({ lines }) => lines.length > 0)
				.map(({ title, icon, lines }) => (
					<section key={title} aria-label={title}>
						<h3>
							<Icon name={icon} />
							{title}
						</h3>
						<ul>
							{lines.map((line) => (
								<li key={line}>{line}</li>
							))}
						</ul>
					</section>
				))}
		</div>
	);
}
