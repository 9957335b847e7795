import { useMemo, useState } from "preact/hooks";
import type { AppState, Person } from "../../app/contract.ts";
import { BandSight } from "../parts/band-sight.tsx";
import { Choice } from "../parts/choice.tsx";
import { AreaField, SelectField, TextField } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { LimbPreview } from "../parts/limb-preview.tsx";
import { Modal } from "../parts/modal.tsx";
import { useAppState } from "../parts/model-context.ts";
import { FaultNote, LoadingNote } from "../parts/notes.tsx";
import { PersonForm } from "../parts/person-form.tsx";
import { PlaceFields } from "../parts/place-fields.tsx";
import { isSimulated } from "../parts/simulated.ts";
import { useAction, useLoaded } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import {
	type FieldErrors,
	fatChange,
	formFromSetUp,
	isRead,
	type ReadSetUp,
	readSetUpForm,
	type SetUpField,
	type SetUpForm,
} from "../set-up-form.ts";
import { formatQuantity } from "../text/quantity.ts";
import { fatWords, strengthWords } from "../text/sight-words.ts";
import { words } from "../text/words.ts";

const NOBODY = "nobody";
const NEW = "new";

/** @param personId whom to enter measures for; null for whom the set-up names already */
export function SetUpScreen({ personId }: { readonly personId: number | null }) {
	const state = useAppState();
	const { person, limb, band, places } = state.setup;
	if (personId !== null && personId !== person?.id) return <SetUpFor personId={personId} />;
	return <SetUpEditor start={formFromSetUp(person?.id ?? null, limb, band, places, bandsOf(state))} />;
}

/** Starts from the person's newest measures, else from the affected side and the measures in use. */
function SetUpFor({ personId }: { readonly personId: number }) {
	const state = useAppState();
	const { limb, band } = state.setup;
	const record = useLoaded("getPerson", { personId }, `person ${personId}`);
	if (record.state === "loading") return <LoadingNote text={words.loading} />;
	if (record.state === "failed") return <FaultNote fault={record.fault} />;
	const { person, limbs } = record.value;
	const side = person.affectedSide === "right" ? "right" : "left";
	const measures = limbs[0]?.setup ?? { ...limb, side };
	return <SetUpEditor start={formFromSetUp(personId, measures, band, null, bandsOf(state))} />;
}

/** Of the board, else as many as places were entered for. */
function bandsOf({ board, setup }: AppState): number {
	return board?.bandCount ?? setup.places?.length ?? 1;
}

function SetUpEditor({ start }: { readonly start: SetUpForm }) {
	const state = useAppState();
	const { person, limb, band, places } = state.setup;
	const [form, setForm] = useState(start);
	const [isAdding, setAdding] = useState(false);
	const [isConfirming, setConfirming] = useState(false);
	const [showsAll, setShowsAll] = useState(false);
	const [listVersion, setListVersion] = useState(0);
	const people = useLoaded("listPeople", null, `people ${listVersion}`);
	const setUp = useAction("setUp");
	const read = useMemo(() => readSetUpForm(form), [form]);
	const errors: FieldErrors = isRead(read) ? {} : read;
	const formInUse = JSON.stringify(formFromSetUp(person?.id ?? null, limb, band, places, bandsOf(state)));
	// What was typed is rounded on its way through the measures (width and depth give way to the circumference).
	const inUse =
		formInUse === JSON.stringify(form) ||
		(isRead(read) && formInUse === JSON.stringify(formOf(read, form.bandCount)));

	function change(part: Partial<SetUpForm>): void {
		setForm({ ...form, ...part });
	}

	function apply(): void {
		setShowsAll(true);
		if (!isRead(read)) return;
		if (read.isUnusual && !isConfirming) setConfirming(true);
		else void send(read);
	}

	async function send(checked: ReadSetUp): Promise<void> {
		setConfirming(false);
		const outcome = await setUp.run(checked.argument);
		if (outcome.ok) setShowsAll(false);
	}

	function field(name: SetUpField) {
		return {
			value: form[name],
			onInput: (value: string) => change({ [name]: value }),
			error: errors[name] ?? null,
		};
	}

	return (
		<>
			<header class="screen-head">
				<div>
					<h1>{words.setUp.title}</h1>
					<p class="lead">{words.setUp.lead}</p>
				</div>
			</header>
			<form
				class="set-up"
				noValidate
				onSubmit={(event) => {
					event.preventDefault();
					apply();
				}}
			>
				<div class="set-up-fields">
					<section class="panel form-section" aria-label={words.setUp.person}>
						<h2>{words.setUp.person}</h2>
						{people.state === "failed" && <FaultNote fault={people.fault} />}
						<SelectField
							label={words.setUp.choosePerson}
							value={isAdding ? NEW : form.personId === null ? NOBODY : String(form.personId)}
							options={[
								{ value: NOBODY, text: words.setUp.nobody },
								...(people.state === "ready" ? people.value.map(personOption) : []),
								{ value: NEW, text: words.setUp.newPerson },
							]}
							onChoose={(value) => {
								setAdding(value === NEW);
								if (value !== NEW) change({ personId: value === NOBODY ? null : Number(value) });
							}}
						/>
						{isAdding && (
							<PersonForm
								onSaved={(saved) => {
									setAdding(false);
									setListVersion(listVersion + 1);
									change({ personId: saved.id });
								}}
							/>
						)}
					</section>

					<section class="panel form-section" aria-label={words.setUp.limb}>
						<h2>{words.setUp.limb}</h2>
						<div class="form-grid">
							<Choice
								label={words.setUp.side}
								isLabelShown
								options={[
									{ value: "left", text: words.setUp.sides.left },
									{ value: "right", text: words.setUp.sides.right },
								]}
								value={form.side}
								onChoose={(side) => change({ side })}
							/>
							<Choice
								label={words.setUp.shape}
								isLabelShown
								options={[
									{ value: "round", text: words.setUp.shapes.round },
									{ value: "oval", text: words.setUp.shapes.oval },
									{ value: "points", text: words.setUp.shapes.points },
								]}
								value={form.shape}
								onChoose={(shape) => change({ shape })}
							/>
							{form.shape !== "points" && (
								<TextField
									label={words.setUp.circumference}
									hint={words.setUp.circumferenceHint}
									unit="cm"
									isNumber
									{...field("circumference")}
								/>
							)}
							{form.shape === "oval" && (
								<>
									<TextField
										label={words.setUp.width}
										hint={words.setUp.ovalHint}
										unit="cm"
										isNumber
										{...field("width")}
									/>
									<TextField label={words.setUp.depth} unit="cm" isNumber {...field("depth")} />
								</>
							)}
							{form.shape === "points" && (
								<AreaField
									label={words.setUp.points}
									hint={words.setUp.pointsHint}
									rows={8}
									{...field("points")}
								/>
							)}
							<Choice
								label={fatWords.source}
								isLabelShown
								options={(["ultrasound", "skinfold", "assumed"] as const).map((value) => ({
									value,
									text: fatWords.sources[value],
								}))}
								value={form.fatSource}
								onChoose={(source) => change(fatChange(form, source))}
							/>
							<FatField source={form.fatSource} read={isRead(read) ? read : null} {...field("fat")} />
							<TextField
								label={words.setUp.level}
								hint={words.setUp.levelHint}
								unit="%"
								isNumber
								{...field("level")}
							/>
						</div>
					</section>

					<section class="panel form-section" aria-label={words.setUp.band}>
						<h2>{words.setUp.band}</h2>
						<div class="form-grid">
							<TextField label={words.setUp.bandName} {...field("bandName")} />
							<TextField label={words.setUp.electrodes} isNumber {...field("electrodeCount")} />
							<TextField label={words.setUp.electrodeWidth} unit="mm" isNumber {...field("electrodeWidth")} />
							<TextField
								label={words.setUp.first}
								hint={words.setUp.firstHint}
								unit="°"
								isNumber
								{...field("firstElectrode")}
							/>
							<SelectField
								label={words.setUp.direction}
								value={form.direction}
								options={[
									{ value: "anticlockwise", text: words.setUp.directions.anticlockwise },
									{ value: "clockwise", text: words.setUp.directions.clockwise },
								]}
								onChoose={(direction) => change({ direction })}
							/>
						</div>
						<PlaceFields form={form} errors={errors} onChange={change} />
					</section>
				</div>

				<aside class="set-up-side">
					<section class="panel preview-panel" aria-label={words.setUp.preview}>
						<div class="panel-line">
							<h2>{words.setUp.preview}</h2>
							<p class="panel-sub">{words.picture.fromFoot}</p>
						</div>
						<LimbPreview read={isRead(read) ? read : null} />
						{isRead(read) && (
							<dl class="facts">
								<dt>{words.setUp.circumference}</dt>
								<dd>{formatQuantity(100 * read.outline.circumference, 1, "cm")}</dd>
								<dt>{words.setUp.area}</dt>
								<dd>{formatQuantity(1e4 * read.outline.area, 0, "cm²")}</dd>
								<dt>{words.setUp.pitch}</dt>
								<dd>
									{formatQuantity(
										(1000 * read.outline.circumference) / read.argument.band.electrodeCount,
										1,
										"mm",
									)}
								</dd>
							</dl>
						)}
					</section>
					{setUp.fault !== null && <FaultNote fault={setUp.fault} />}
					{showsAll && !isRead(read) && (
						<p class="note note-fault" role="alert">
							<Icon name="caution" />
							{words.setUp.fixFirst}
						</p>
					)}
					<div class="set-up-apply">
						<button type="submit" class="button button-primary" disabled={setUp.isBusy || inUse}>
							{words.setUp.apply}
						</button>
						<p class="live-words" role="status">
							{inUse ? words.setUp.unchanged : ""}
						</p>
					</div>
					{isSimulated(state) && <p class="lead">{words.setUp.simulatedNote}</p>}
				</aside>
			</form>
			<BandSight read={isRead(read) ? read : null} />
			<p>
				{strengthWords.linkText} <a href={hashOf({ screen: "picture" })}>{strengthWords.link}</a>
			</p>
			{isConfirming && isRead(read) && (
				<Modal title={words.setUp.confirmTitle} isSmall onClose={() => setConfirming(false)}>
					<p class="modal-body">
						{words.setUp.confirmText(formatQuantity(100 * read.outline.circumference, 1, "cm"))}
					</p>
					<div class="modal-foot">
						<button type="button" class="button button-primary" onClick={() => void send(read)}>
							{words.setUp.confirmYes}
						</button>
						<button type="button" class="button button-quiet" onClick={() => setConfirming(false)}>
							{words.setUp.confirmNo}
						</button>
					</div>
				</Modal>
			)}
		</>
	);
}

function FatField({
	source,
	read,
	...field
}: {
	readonly source: SetUpForm["fatSource"];
	readonly read: ReadSetUp | null;
	readonly value: string;
	readonly error: string | null;
	readonly onInput: (value: string) => void;
}) {
	if (source === "skinfold") {
		const thickness = read === null ? null : formatQuantity(1000 * read.argument.limb.fatThickness, 1, "mm");
		return (
			<TextField
				label={fatWords.skinfold}
				hint={fatWords.foldHint(thickness)}
				unit="mm"
				isNumber
				{...field}
			/>
		);
	}
	return (
		<TextField
			label={words.setUp.fat}
			hint={source === "unsaid" ? fatWords.hint : fatWords.hints[source]}
			unit="mm"
			isNumber
			isDisabled={source === "assumed"}
			{...field}
		/>
	);
}

function personOption(person: Person): { value: string; text: string } {
	const name = person.displayName === null ? person.code : `${person.displayName} (${person.code})`;
	return { value: String(person.id), text: name };
}

function formOf({ argument }: ReadSetUp, bandCount: number): SetUpForm {
	return formFromSetUp(argument.personId, argument.limb, argument.band, argument.places, bandCount);
}
