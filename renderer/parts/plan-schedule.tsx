import { type PlanErrors, type PlanForm, toggleWeekday } from "../plan-form.ts";
import { planWords, weekdayNames } from "../text/plan-words.ts";
import { DayField, TextField } from "./field.tsx";

/** On which days, how often, from when and why. */
export function PlanSchedule({
	form,
	errors,
	onChange,
}: {
	readonly form: PlanForm;
	readonly errors: PlanErrors | null;
	readonly onChange: (form: PlanForm) => void;
}) {
	return (
		<section class="panel form-section" aria-label={planWords.schedule}>
			<h2>{planWords.schedule}</h2>
			<fieldset class="field">
				<legend class="field-label">{planWords.weekdays}</legend>
				<div class="weekdays">
					{weekdayNames.map((name, i) => (
						<label key={name} class="weekday">
							<input
								type="checkbox"
								checked={form.weekdays.includes(i + 1)}
								onChange={() => onChange(toggleWeekday(form, i + 1))}
							/>
							<span>{name}</span>
						</label>
					))}
				</div>
				{errors?.weekdays != null && <p class="field-error">{errors.weekdays}</p>}
			</fieldset>
			<div class="form-grid form-grid-narrow">
				<TextField
					label={planWords.timesPerDay}
					isNumber
					value={form.timesPerDay}
					onInput={(timesPerDay) => onChange({ ...form, timesPerDay })}
					error={errors?.timesPerDay ?? null}
				/>
				<DayField
					label={planWords.from}
					value={form.from}
					onInput={(from) => onChange({ ...form, from })}
					error={errors?.from ?? null}
				/>
			</div>
			<TextField
				label={planWords.reason}
				hint={planWords.reasonHint}
				value={form.reason}
				onInput={(reason) => onChange({ ...form, reason })}
			/>
		</section>
	);
}
