import type { Person } from "../../app/contract.ts";
import { words } from "../text/words.ts";
import { FaultNote } from "./notes.tsx";
import { PersonFields, readPersonDraft, usePersonDraft } from "./person-fields.tsx";
import { useAction } from "./use-request.ts";

/** Adds a person. Not a form element of its own: it stands inside the set-up's. */
export function PersonForm({
	onSaved,
	onCancel,
}: {
	readonly onSaved: (person: Person) => void;
	readonly onCancel?: { readonly text: string; readonly run: () => void };
}) {
	const [draft, setDraft] = usePersonDraft(null);
	const save = useAction("savePerson");
	return (
		<div class="form-inset">
			<PersonFields draft={draft} onChange={setDraft} />
			{save.fault !== null && <FaultNote fault={save.fault} />}
			<div class="button-row">
				<button
					type="button"
					class={onCancel === undefined ? "button" : "button button-primary"}
					disabled={save.isBusy || draft.code.trim() === ""}
					onClick={async () => {
						const outcome = await save.run({ id: null, ...readPersonDraft(draft) });
						if (outcome.ok) onSaved(outcome.value);
					}}
				>
					{words.setUp.savePerson}
				</button>
				{onCancel !== undefined && (
					<button type="button" class="button button-quiet" onClick={onCancel.run}>
						{onCancel.text}
					</button>
				)}
			</div>
		</div>
	);
}
