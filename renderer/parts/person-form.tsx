import { useState } from "preact/hooks";
import type { Person } from "../../app/contract.ts";
import { words } from "../text/words.ts";
import { Choice } from "./choice.tsx";
import { TextField } from "./field.tsx";
import { FaultNote } from "./notes.tsx";
import { useAction } from "./use-request.ts";

/** Adds a person. Not a form element of its own: it stands inside the set-up's. */
export function PersonForm({ onSaved }: { readonly onSaved: (person: Person) => void }) {
	const [code, setCode] = useState("");
	const [displayName, setDisplayName] = useState("");
	const [affectedSide, setAffectedSide] = useState<Person["affectedSide"]>("left");
	const save = useAction("savePerson");
	return (
		<div class="form-inset">
			<div class="form-grid">
				<TextField label={words.setUp.code} hint={words.setUp.codeHint} value={code} onInput={setCode} />
				<TextField label={words.setUp.displayName} value={displayName} onInput={setDisplayName} />
				<Choice
					label={words.setUp.affectedSide}
					isLabelShown
					options={(["left", "right", "both", "none"] as const).map((side) => ({
						value: side,
						text: words.setUp.sides[side],
					}))}
					value={affectedSide}
					onChoose={setAffectedSide}
				/>
			</div>
			{save.fault !== null && <FaultNote fault={save.fault} />}
			<button
				type="button"
				class="button"
				disabled={save.isBusy || code.trim() === ""}
				onClick={async () => {
					const outcome = await save.run({
						id: null,
						code: code.trim(),
						displayName: displayName.trim() === "" ? null : displayName.trim(),
						affectedSide,
					});
					if (outcome.ok) onSaved(outcome.value);
				}}
			>
				{words.setUp.savePerson}
			</button>
		</div>
	);
}
