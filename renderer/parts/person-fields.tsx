import { useState } from "preact/hooks";
import type { Person } from "../../app/contract.ts";
import { words } from "../text/words.ts";
import { Choice } from "./choice.tsx";
import { TextField } from "./field.tsx";

/** Who a person is, as it is entered. */
export interface PersonDraft {
	readonly code: string;
	readonly displayName: string;
	readonly affectedSide: Person["affectedSide"];
}

export function usePersonDraft(person: Person | null) {
	return useState<PersonDraft>({
		code: person?.code ?? "",
		displayName: person?.displayName ?? "",
		affectedSide: person?.affectedSide ?? "left",
	});
}

/** What the app takes. */
export function readPersonDraft({ code, displayName, affectedSide }: PersonDraft) {
	const name = displayName.trim();
	return { code: code.trim(), displayName: name === "" ? null : name, affectedSide };
}

export function PersonFields({
	draft,
	onChange,
}: {
	readonly draft: PersonDraft;
	readonly onChange: (draft: PersonDraft) => void;
}) {
	return (
		<div class="form-grid">
			<TextField
				label={words.setUp.code}
				hint={words.setUp.codeHint}
				value={draft.code}
				onInput={(code) => onChange({ ...draft, code })}
			/>
			<TextField
				label={words.setUp.displayName}
				value={draft.displayName}
				onInput={(displayName) => onChange({ ...draft, displayName })}
			/>
			<Choice
				label={words.setUp.affectedSide}
				isLabelShown
				options={(["left", "right", "both", "none"] as const).map((side) => ({
					value: side,
					text: words.setUp.sides[side],
				}))}
				value={draft.affectedSide}
				onChoose={(affectedSide) => onChange({ ...draft, affectedSide })}
			/>
		</div>
	);
}
