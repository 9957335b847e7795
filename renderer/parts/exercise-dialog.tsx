import { useState } from "preact/hooks";
import type { Exercise } from "../../core/exercise/exercise.ts";
import { pictogramNames } from "../draw/pictograms.ts";
import { type ExerciseForm, exerciseFormOf, readExerciseForm } from "../exercise-form.ts";
import { planWords, regionNames } from "../text/plan-words.ts";
import { Choice } from "./choice.tsx";
import { DoseFields } from "./dose-fields.tsx";
import { AreaField, TextField } from "./field.tsx";
import { Modal } from "./modal.tsx";
import { FaultNote } from "./notes.tsx";
import { ExercisePictogram } from "./pictogram.tsx";
import { useAction } from "./use-request.ts";

const text = planWords.exercise;

/** Makes or changes an exercise of the clinic's own. */
export function ExerciseDialog({
	exercise,
	taken,
	onSaved,
	onClose,
}: {
	/** To be changed; null for a new one. */
	readonly exercise: Exercise | null;
	readonly taken: readonly Exercise[];
	readonly onSaved: (exercise: Exercise) => void;
	readonly onClose: () => void;
}) {
	const [form, setForm] = useState(() => exerciseFormOf(exercise));
	const [showsErrors, setShowsErrors] = useState(false);
	const save = useAction("saveExercise");
	const read = readExerciseForm(form, taken);
	const errors = read.ok || !showsErrors ? null : read.errors;
	const change = (part: Partial<ExerciseForm>): void => setForm({ ...form, ...part });

	async function run(): Promise<void> {
		setShowsErrors(true);
		if (!read.ok) return;
		const outcome = await save.run({ exercise: read.exercise });
		if (outcome.ok) onSaved(outcome.value);
	}

	return (
		<Modal title={text.title} onClose={onClose}>
			<form
				class="exercise-form"
				noValidate
				onSubmit={(event) => {
					event.preventDefault();
					void run();
				}}
			>
				<div class="modal-body exercise-fields">
					<div class="form-grid">
						<TextField
							label={text.name}
							value={form.name}
							onInput={(name) => change({ name })}
							error={errors?.name ?? null}
						/>
						<Choice
							label={text.kind}
							isLabelShown
							options={[
								{ value: "hold", text: text.kinds.hold },
								{ value: "repetition", text: text.kinds.repetition },
							]}
							value={form.kind}
							onChoose={(kind) => change({ kind })}
						/>
					</div>
					<RegionChoice
						chosen={form.targetRegions}
						error={errors?.targetRegions ?? null}
						onChange={(targetRegions) => change({ targetRegions })}
					/>
					<DoseFields
						kind={form.kind}
						dose={form.dose}
						errors={errors?.dose ?? {}}
						onChange={(dose) => change({ dose })}
					/>
					<AreaField
						label={text.instructions}
						hint={text.instructionsHint}
						rows={4}
						value={form.instructions}
						onInput={(instructions) => change({ instructions })}
						error={errors?.instructions ?? null}
					/>
					<div class="form-grid">
						<AreaField
							label={text.cautions}
							rows={2}
							value={form.cautions}
							onInput={(cautions) => change({ cautions })}
							error={errors?.cautions ?? null}
						/>
						<AreaField
							label={text.stopRules}
							rows={2}
							value={form.stopRules}
							onInput={(stopRules) => change({ stopRules })}
							error={errors?.stopRules ?? null}
						/>
					</div>
					<DrawingChoice drawing={form.drawing} onChoose={(drawing) => change({ drawing })} />
					{save.fault !== null && <FaultNote fault={save.fault} />}
				</div>
				<div class="modal-foot">
					<button type="submit" class="button button-primary" disabled={save.isBusy}>
						{text.save}
					</button>
					<button type="button" class="button button-quiet" onClick={onClose}>
						{text.cancel}
					</button>
					{errors !== null && (
						<p class="field-error" role="alert">
							{planWords.fixFirst}
						</p>
					)}
				</div>
			</form>
		</Modal>
	);
}

function RegionChoice({
	chosen,
	error,
	onChange,
}: {
	readonly chosen: readonly string[];
	readonly error: string | null;
	readonly onChange: (chosen: readonly string[]) => void;
}) {
	return (
		<fieldset class="field">
			<legend class="field-label">{text.regions}</legend>
			<div class="check-row">
				{Object.entries(regionNames).map(([id, name]) => (
					<label key={id} class="check">
						<input
							type="checkbox"
							checked={chosen.includes(id)}
							onChange={(event) =>
								onChange(
									event.currentTarget.checked ? [...chosen, id] : chosen.filter((other) => other !== id),
								)
							}
						/>
						{name}
						{chosen[0] === id && <span class="fact-note">{text.leads}</span>}
					</label>
				))}
			</div>
			<p class="field-hint">{text.regionsHint}</p>
			{error !== null && <p class="field-error">{error}</p>}
		</fieldset>
	);
}

function DrawingChoice({
	drawing,
	onChoose,
}: {
	readonly drawing: string;
	readonly onChoose: (drawing: string) => void;
}) {
	return (
		<fieldset class="field">
			<legend class="field-label">{text.drawing}</legend>
			<div class="drawing-options">
				{pictogramNames.map((name) => (
					<label key={name} class="drawing-option">
						<input type="radio" name="drawing" checked={name === drawing} onChange={() => onChoose(name)} />
						<ExercisePictogram drawing={name} />
						<span>{text.drawings[name]}</span>
					</label>
				))}
			</div>
		</fieldset>
	);
}
