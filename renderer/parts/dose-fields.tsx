import type { Exercise } from "../../core/exercise/exercise.ts";
import type { DoseErrors, DoseField, DoseForm } from "../dose-form.ts";
import { planWords } from "../text/plan-words.ts";
import { TextField } from "./field.tsx";

/** How much: only what the exercise's kind knows. */
export function DoseFields({
	kind,
	dose,
	errors,
	onChange,
}: {
	readonly kind: Exercise["kind"];
	readonly dose: DoseForm;
	readonly errors: DoseErrors;
	readonly onChange: (dose: DoseForm) => void;
}) {
	const field = (name: DoseField) => ({
		value: dose[name],
		onInput: (value: string) => onChange({ ...dose, [name]: value }),
		error: errors[name] ?? null,
		isNumber: true,
	});
	return (
		<div class="dose-fields">
			<TextField label={planWords.sets} {...field("sets")} />
			<TextField
				label={kind === "hold" ? planWords.holds : planWords.repetitions}
				{...field("repetitions")}
			/>
			{kind === "hold" && (
				<>
					<TextField label={planWords.hold} unit="s" {...field("holdSeconds")} />
					<TextField label={planWords.pause} unit="s" {...field("pauseSeconds")} />
				</>
			)}
			<TextField label={planWords.rest} unit="s" {...field("restSeconds")} />
			<div class="dose-target">
				<TextField label={planWords.low} unit="%" {...field("low")} />
				<TextField label={planWords.high} unit={planWords.percent} {...field("high")} />
			</div>
		</div>
	);
}
