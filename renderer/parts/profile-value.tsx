/** The fourth step of a board profile: what its numbers mean, and what it drives. */
import { currentLimit } from "../../core/safety/current-limit.ts";
import type { DraftErrors, ProfileDraft, ValueUnit } from "../profile-draft.ts";
import { parseNumber } from "../set-up-form.ts";
import { profileWords as text } from "../text/profile-words.ts";
import { formatFrequency, formatQuantity } from "../text/quantity.ts";
import { Choice } from "./choice.tsx";
import { SelectField, TextField } from "./field.tsx";
import { Icon } from "./icon.tsx";

const units: readonly ValueUnit[] = ["V", "mV", "µV", "Ω", "kΩ", "count"];

export function ProfileValue({
	draft,
	errors,
	onChange,
}: {
	readonly draft: ProfileDraft;
	readonly errors: DraftErrors;
	readonly onChange: (draft: ProfileDraft, key?: string) => void;
}) {
	return (
		<>
			<div class="form-grid form-grid-narrow">
				<SelectField
					label={text.unit}
					value={draft.unit}
					options={units.map((value) => ({ value, text: text.units[value] }))}
					onChoose={(unit) => onChange({ ...draft, unit })}
				/>
				{draft.unit === "count" && (
					<TextField
						label={text.voltsPerCount}
						hint={text.voltsHint}
						unit="V"
						isNumber
						value={draft.voltsPerCount}
						error={errors.voltsPerCount ?? null}
						onInput={(voltsPerCount) => onChange({ ...draft, voltsPerCount }, "voltsPerCount")}
					/>
				)}
				<TextField
					label={text.fullScale}
					hint={text.fullScaleHint}
					unit={draft.unit === "count" ? "" : draft.unit}
					isNumber
					value={draft.fullScale}
					error={errors.fullScale ?? null}
					onInput={(fullScale) => onChange({ ...draft, fullScale }, "fullScale")}
				/>
				<div class="field">
					<Choice
						label={text.sign}
						isLabelShown
						options={[
							{ value: false, text: text.signs.signed },
							{ value: true, text: text.signs.magnitude },
						]}
						value={draft.isMagnitude}
						onChoose={(isMagnitude) => onChange({ ...draft, isMagnitude })}
					/>
					<p class="field-hint">{text.signHint}</p>
				</div>
			</div>
			<p class="note note-fault">
				<Icon name="caution" />
				<span>{text.driveCaution}</span>
			</p>
			<div class="form-grid form-grid-narrow">
				<TextField
					label={text.current}
					unit="mA"
					isNumber
					value={draft.current}
					error={errors.current ?? null}
					onInput={(current) => onChange({ ...draft, current }, "current")}
				/>
				<TextField
					label={text.frequency}
					unit="kHz"
					isNumber
					value={draft.frequency}
					error={errors.frequency ?? null}
					onInput={(frequency) => onChange({ ...draft, frequency }, "frequency")}
				/>
				<Limit draft={draft} />
			</div>
		</>
	);
}

function Limit({ draft }: { readonly draft: ProfileDraft }) {
	const kilohertz = parseNumber(draft.frequency);
	if (kilohertz === null || !(kilohertz > 0)) return null;
	const limitMilliamp = 1000 * currentLimit(1000 * kilohertz);
	const shown = formatQuantity(limitMilliamp, 3, "mA");
	const isOver = (parseNumber(draft.current) ?? 0) > limitMilliamp;
	return (
		<div class="drive-limit" role="status">
			<p>{text.limit(shown, formatFrequency(1000 * kilohertz))}</p>
			{isOver && <p class="field-error">{text.overLimit(shown)}</p>}
		</div>
	);
}
