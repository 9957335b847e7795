import { useRef, useState } from "preact/hooks";

export interface ScaleStep {
	readonly value: number;
	readonly words: string | null;
}

/** Large buttons for one answer on a scale; a press answers. Arrows move between them, Tab to them and on from them. `chosen` stays marked where other
 *  questions stand beside it. */
export function AnswerScale({
	label,
	steps,
	chosen = null,
	onAnswer,
}: {
	readonly label: string;
	readonly steps: readonly ScaleStep[];
	readonly chosen?: number | null;
	readonly onAnswer: (value: number) => void;
}) {
	const row = useRef<HTMLFieldSetElement>(null);
	const [reached, setReached] = useState(0);

	function move(by: number): void {
		const buttons = [...(row.current?.querySelectorAll("button") ?? [])];
		const at = buttons.indexOf(document.activeElement as HTMLButtonElement);
		buttons[Math.min(buttons.length - 1, Math.max(0, at + by))]?.focus();
	}

	return (
		<fieldset
			ref={row}
			class="scale"
			aria-label={label}
			onKeyDown={(event) => {
				if (event.key === "ArrowRight" || event.key === "ArrowDown") move(1);
				else if (event.key === "ArrowLeft" || event.key === "ArrowUp") move(-1);
				else return;
				event.preventDefault();
			}}
		>
			{steps.map(({ value, words }, i) => (
				<button
					key={value}
					type="button"
					class={value === chosen ? "scale-step scale-step-chosen" : "scale-step"}
					aria-pressed={chosen === null ? undefined : value === chosen}
					tabIndex={i === reached ? 0 : -1}
					onFocus={() => setReached(i)}
					onClick={() => onAnswer(value)}
				>
					<span class="scale-number figures">{value === 0.5 ? "½" : value}</span>
					{words !== null && <span class="scale-words">{words}</span>}
				</button>
			))}
		</fieldset>
	);
}
