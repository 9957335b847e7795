import type { Exercise } from "../../core/exercise/exercise.ts";
import { doseWords, planWords, regionNames } from "../text/plan-words.ts";
import { Icon } from "./icon.tsx";
import { ExercisePictogram } from "./pictogram.tsx";

/** All exercises to choose from, own ones last. */
export function ExerciseLibrary({
	exercises,
	onAdd,
	onEdit,
	onNew,
}: {
	readonly exercises: readonly Exercise[];
	readonly onAdd: (exercise: Exercise) => void;
	readonly onEdit: (exercise: Exercise) => void;
	readonly onNew: () => void;
}) {
	return (
		<section class="panel form-section library" aria-label={planWords.library}>
			<div class="panel-line">
				<div>
					<h2>{planWords.library}</h2>
					<p class="panel-sub">{planWords.libraryHint}</p>
				</div>
			</div>
			<ul class="library-list">
				{exercises.map((exercise) => (
					<li key={exercise.id} class="library-entry">
						<ExercisePictogram drawing={exercise.drawing} />
						<div class="library-words">
							<p class="plan-summary-name">
								{exercise.name}
								{exercise.origin === "own" && <span class="tag tag-after">{planWords.own}</span>}
							</p>
							<p class="panel-sub">{doseWords(exercise.kind, exercise.dose)}</p>
						</div>
						<button
							type="button"
							class="button button-small"
							aria-label={planWords.addNamed(exercise.name)}
							onClick={() => onAdd(exercise)}
						>
							<Icon name="add" />
							{planWords.add}
						</button>
						<details class="library-more">
							<summary>{planWords.how}</summary>
							<ExerciseFacts exercise={exercise} />
							{exercise.origin === "own" && (
								<button type="button" class="button button-small" onClick={() => onEdit(exercise)}>
									{planWords.ownEdit}
								</button>
							)}
						</details>
					</li>
				))}
			</ul>
			<button type="button" class="button" onClick={onNew}>
				<Icon name="add" />
				{planWords.ownNew}
			</button>
		</section>
	);
}

function ExerciseFacts({ exercise }: { readonly exercise: Exercise }) {
	return (
		<div class="library-facts">
			<ol class="numbers">
				{exercise.instructions.map((line) => (
					<li key={line}>{line}</li>
				))}
			</ol>
			{exercise.cautions.length > 0 && (
				<p>
					<strong>{planWords.cautions}:</strong> {exercise.cautions.join(" ")}
				</p>
			)}
			{exercise.stopRules.length > 0 && (
				<p>
					<strong>{planWords.stopRules}:</strong> {exercise.stopRules.join(" ")}
				</p>
			)}
			<p class="field-hint">
				{exercise.targetRegions.map((id) => regionNames[id] ?? id).join(", ")}
				{exercise.doseSource === "" ? "" : ` · ${planWords.doseSource}: ${exercise.doseSource}`}
			</p>
		</div>
	);
}
