/** Labelled inputs with their unit, a hint and, where the value is no good, what would be. */
import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

interface FieldText {
	readonly label: string;
	readonly hint?: string | undefined;
	/** What to correct; null when the value is fine. */
	readonly error?: string | null;
}

function FieldFrame({
	label,
	hint,
	error,
	id,
	children,
}: FieldText & { readonly id: string; readonly children: ComponentChildren }) {
	return (
		<div class={error ? "field field-wrong" : "field"}>
			<label class="field-label" for={id}>
				{label}
			</label>
			{children}
			{hint !== undefined && (
				<p class="field-hint" id={`${id}-hint`}>
					{hint}
				</p>
			)}
			{error ? (
				<p class="field-error" id={`${id}-error`}>
					{error}
				</p>
			) : null}
		</div>
	);
}

function describedBy(id: string, { hint, error }: FieldText): string | undefined {
	const ids = [hint === undefined ? "" : `${id}-hint`, error ? `${id}-error` : ""].filter(
		(part) => part !== "",
	);
	return ids.length > 0 ? ids.join(" ") : undefined;
}

/** Holds what was typed, number or not: the form reads it and says what is wrong. */
export function TextField({
	value,
	onInput,
	unit,
	isNumber = false,
	isDisabled = false,
	placeholder,
	...text
}: FieldText & {
	readonly value: string;
	readonly onInput: (value: string) => void;
	readonly unit?: string;
	readonly isNumber?: boolean;
	readonly isDisabled?: boolean;
	readonly placeholder?: string;
}) {
	const id = useId();
	return (
		<FieldFrame {...text} id={id}>
			<div class="field-box">
				<input
					id={id}
					type="text"
					class={isNumber ? "input input-number" : "input"}
					inputMode={isNumber ? "decimal" : "text"}
					autocomplete="off"
					spellcheck={false}
					value={value}
					disabled={isDisabled}
					placeholder={placeholder}
					aria-invalid={Boolean(text.error)}
					aria-describedby={describedBy(id, text)}
					onInput={(event) => onInput(event.currentTarget.value)}
				/>
				{unit !== undefined && <span class="field-unit">{unit}</span>}
			</div>
		</FieldFrame>
	);
}

/** A calendar day such as 2026-03-04; empty while it is no day. */
export function DayField({
	value,
	onInput,
	...text
}: FieldText & { readonly value: string; readonly onInput: (value: string) => void }) {
	const id = useId();
	return (
		<FieldFrame {...text} id={id}>
			<input
				id={id}
				type="date"
				class="input input-day"
				value={value}
				aria-invalid={Boolean(text.error)}
				aria-describedby={describedBy(id, text)}
				onInput={(event) => onInput(event.currentTarget.value)}
			/>
		</FieldFrame>
	);
}

export function AreaField({
	value,
	onInput,
	rows,
	...text
}: FieldText & { readonly value: string; readonly onInput: (value: string) => void; readonly rows: number }) {
	const id = useId();
	return (
		<FieldFrame {...text} id={id}>
			<textarea
				id={id}
				class="input"
				rows={rows}
				value={value}
				aria-invalid={Boolean(text.error)}
				aria-describedby={describedBy(id, text)}
				onInput={(event) => onInput(event.currentTarget.value)}
			/>
		</FieldFrame>
	);
}

export function SelectField<T extends string>({
	value,
	options,
	onChoose,
	isDisabled = false,
	...text
}: FieldText & {
	readonly value: T;
	readonly options: readonly { readonly value: T; readonly text: string }[];
	readonly onChoose: (value: T) => void;
	readonly isDisabled?: boolean;
}) {
	const id = useId();
	return (
		<FieldFrame {...text} id={id}>
			<select
				id={id}
				class="input"
				value={value}
				disabled={isDisabled}
				aria-describedby={describedBy(id, text)}
				onChange={(event) => {
					const chosen = options[event.currentTarget.selectedIndex];
					if (chosen !== undefined) onChoose(chosen.value);
				}}
			>
				{options.map((option) => (
					<option key={option.value} value={option.value} selected={option.value === value}>
						{option.text}
					</option>
				))}
			</select>
		</FieldFrame>
	);
}
