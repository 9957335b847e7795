/** A few choices side by side: radio buttons underneath, so that arrows move and one stop takes the Tab key. */
import { useId } from "preact/hooks";

export interface ChoiceOption<T extends string | number | boolean> {
	readonly value: T;
	readonly text: string;
}

export function Choice<T extends string | number | boolean>({
	label,
	options,
	value,
	onChoose,
	isLabelShown = false,
	isDisabled = false,
}: {
	readonly label: string;
	readonly options: readonly ChoiceOption<T>[];
	readonly value: T;
	readonly onChoose: (value: T) => void;
	readonly isLabelShown?: boolean;
	readonly isDisabled?: boolean;
}) {
	const name = useId();
	return (
		<fieldset class="choice" disabled={isDisabled}>
			<legend class={isLabelShown ? "field-label" : "visually-hidden"}>{label}</legend>
			<div class="choice-options">
				{options.map((option) => (
					<label key={String(option.value)} class="choice-option">
						<input
							type="radio"
							name={name}
							checked={option.value === value}
							onChange={() => onChoose(option.value)}
						/>
						<span>{option.text}</span>
					</label>
				))}
			</div>
		</fieldset>
	);
}
