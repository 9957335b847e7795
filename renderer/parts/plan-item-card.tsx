import type { DoseErrors } from "../dose-form.ts";
import type { ItemForm } from "../plan-form.ts";
import { planWords } from "../text/plan-words.ts";
import { Choice } from "./choice.tsx";
import { DoseFields } from "./dose-fields.tsx";
import { TextField } from "./field.tsx";
import { Icon } from "./icon.tsx";
import { ExercisePictogram } from "./pictogram.tsx";

/** One exercise of a plan: its place, leg, dose and note. */
export function PlanItemCard({
	item,
	place,
	of,
	errors,
	onChange,
	onMove,
	onRemove,
}: {
	readonly item: ItemForm;
	/** 1 for the first. */
	readonly place: number;
	readonly of: number;
	readonly errors: DoseErrors;
	readonly onChange: (part: Partial<ItemForm>) => void;
	readonly onMove: (by: -1 | 1) => void;
	readonly onRemove: () => void;
}) {
	const { exercise } = item;
	return (
		<li
			class="panel plan-item"
			onKeyDown={(event) => {
				if (!event.altKey || (event.key !== "ArrowUp" && event.key !== "ArrowDown")) return;
				event.preventDefault();
				onMove(event.key === "ArrowUp" ? -1 : 1);
			}}
		>
			<div class="plan-item-picture">
				<span class="plan-item-place figures">{place}</span>
				<ExercisePictogram drawing={exercise.drawing} />
			</div>
			<div class="plan-item-body">
				<div class="plan-item-head">
					<h3>{exercise.name}</h3>
					<Choice
						label={planWords.side}
						options={[
							{ value: "left", text: planWords.sides.left },
							{ value: "right", text: planWords.sides.right },
						]}
						value={item.side}
						onChoose={(side) => onChange({ side })}
					/>
					<div class="button-row plan-item-tools">
						<button
							type="button"
							class="button button-quiet button-icon"
							aria-label={planWords.up(exercise.name)}
							disabled={place === 1}
							onClick={() => onMove(-1)}
						>
							<Icon name="up" />
						</button>
						<button
							type="button"
							class="button button-quiet button-icon"
							aria-label={planWords.down(exercise.name)}
							disabled={place === of}
							onClick={() => onMove(1)}
						>
							<Icon name="down" />
						</button>
						<button
							type="button"
							class="button button-quiet"
							aria-label={planWords.removeNamed(exercise.name)}
							onClick={onRemove}
						>
							{planWords.remove}
						</button>
					</div>
				</div>
				<DoseFields
					kind={exercise.kind}
					dose={item.dose}
					errors={errors}
					onChange={(dose) => onChange({ dose })}
				/>
				<TextField label={planWords.note} value={item.note} onInput={(note) => onChange({ note })} />
			</div>
		</li>
	);
}
