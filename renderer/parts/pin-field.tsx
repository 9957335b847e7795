import { useId } from "preact/hooks";

/** Digits that are not shown; never offered to a password store. */
export function PinField({
	label,
	hint,
	error = null,
	value,
	onInput,
}: {
	readonly label: string;
	readonly hint?: string;
	readonly error?: string | null;
	readonly value: string;
	readonly onInput: (value: string) => void;
}) {
	const id = useId();
	return (
		<div class={error === null ? "field" : "field field-wrong"}>
			<label class="field-label" for={id}>
				{label}
			</label>
			<input
				id={id}
				type="password"
				class="input input-number"
				inputMode="numeric"
				autocomplete="off"
				value={value}
				aria-invalid={error !== null}
				onInput={(event) => onInput(event.currentTarget.value)}
			/>
			{hint !== undefined && <p class="field-hint">{hint}</p>}
			{error !== null && <p class="field-error">{error}</p>}
		</div>
	);
}
