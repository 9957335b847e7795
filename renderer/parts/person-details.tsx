import { useState } from "preact/hooks";
import type { PersonRecord } from "../../app/contract.ts";
import { personWords } from "../text/people-words.ts";
import { words } from "../text/words.ts";
import { AreaField } from "./field.tsx";
import { FaultNote } from "./notes.tsx";
import { PersonFields, readPersonDraft, usePersonDraft } from "./person-fields.tsx";
import { useAction } from "./use-request.ts";

/** Who the person is and what they want to reach; to be changed in place. */
export function PersonDetails({
	record,
	onChanged,
}: {
	readonly record: PersonRecord;
	readonly onChanged: () => void;
}) {
	const [isEditing, setEditing] = useState(false);
	const { person, goals } = record;
	return (
		<section class="panel form-section" aria-label={personWords.details}>
			<div class="panel-line">
				<h2>{personWords.details}</h2>
				{!isEditing && (
					<button type="button" class="button button-quiet button-small" onClick={() => setEditing(true)}>
						{personWords.edit}
					</button>
				)}
			</div>
			{isEditing ? (
				<DetailsForm
					record={record}
					onDone={(isChanged) => {
						setEditing(false);
						if (isChanged) onChanged();
					}}
				/>
			) : (
				<>
					<dl class="facts">
						<dt>{words.setUp.code}</dt>
						<dd>{person.code}</dd>
						<dt>{words.setUp.affectedSide}</dt>
						<dd>{words.setUp.sides[person.affectedSide]}</dd>
					</dl>
					<div class="person-goals">
						<h3>{personWords.goals}</h3>
						{goals === "" ? <p class="lead">{personWords.noGoals}</p> : <p class="written">{goals}</p>}
					</div>
				</>
			)}
		</section>
	);
}

function DetailsForm({
	record: { person, goals, archived },
	onDone,
}: {
	readonly record: PersonRecord;
	readonly onDone: (isChanged: boolean) => void;
}) {
	const [draft, setDraft] = usePersonDraft(person);
	const [newGoals, setNewGoals] = useState(goals);
	const savePerson = useAction("savePerson");
	const saveDetails = useAction("savePersonDetails");
	const fault = savePerson.fault ?? saveDetails.fault;

	async function save(): Promise<void> {
		const saved = await savePerson.run({ id: person.id, ...readPersonDraft(draft) });
		if (!saved.ok) return;
		const kept = await saveDetails.run({ personId: person.id, goals: newGoals.trim(), archived });
		if (kept.ok) onDone(true);
	}

	return (
		<>
			<PersonFields draft={draft} onChange={setDraft} />
			<AreaField
				label={personWords.goals}
				hint={personWords.goalsHint}
				rows={3}
				value={newGoals}
				onInput={setNewGoals}
			/>
			{fault !== null && <FaultNote fault={fault} />}
			<div class="button-row">
				<button
					type="button"
					class="button button-primary"
					disabled={savePerson.isBusy || saveDetails.isBusy || draft.code.trim() === ""}
					onClick={() => void save()}
				>
					{personWords.save}
				</button>
				<button type="button" class="button button-quiet" onClick={() => onDone(false)}>
					{words.live.cancel}
				</button>
			</div>
		</>
	);
}
