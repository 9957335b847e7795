/** How many bands are worn, and where each sits: asked only where there are several. */
import { type FieldErrors, type PlaceForm, type SetUpForm, withBands } from "../set-up-form.ts";
import { volumeWords } from "../text/volume-words.ts";
import { Choice } from "./choice.tsx";
import { TextField } from "./field.tsx";

const COUNTS = [1, 2, 3, 4];

export function PlaceFields({
	form,
	errors,
	onChange,
}: {
	readonly form: SetUpForm;
	readonly errors: FieldErrors;
	readonly onChange: (part: Partial<SetUpForm>) => void;
}) {
	function field(band: number, name: keyof PlaceForm) {
		return {
			value: form.places[band]![name],
			onInput: (value: string) =>
				onChange({
					places: form.places.map((place, i) => (i === band ? { ...place, [name]: value } : place)),
				}),
			error: errors[`${name} ${band}`] ?? null,
		};
	}
	return (
		<>
			<Choice
				label={volumeWords.bandCount}
				isLabelShown
				options={COUNTS.map((count) => ({ value: count, text: String(count) }))}
				value={form.bandCount}
				onChoose={(count) => onChange(withBands(form, count))}
			/>
			{form.places.length > 0 && <p class="lead">{volumeWords.placesHint}</p>}
			<div class="form-grid">
				{form.places.map((_, band) => [
					<TextField
						key={`above ${band}`}
						label={volumeWords.above(band)}
						unit="cm"
						isNumber
						{...field(band, "above")}
					/>,
					<TextField
						key={`around ${band}`}
						label={volumeWords.around(band)}
						unit="cm"
						isNumber
						{...field(band, "around")}
					/>,
				])}
			</div>
		</>
	);
}
