import { useState } from "preact/hooks";
import type { PersonRecord } from "../../app/contract.ts";
import type { Exercise } from "../../core/exercise/exercise.ts";
import type { Plan, PlanVersion } from "../../core/exercise/plan.ts";
import { ExerciseDialog } from "../parts/exercise-dialog.tsx";
import { ExerciseLibrary } from "../parts/exercise-library.tsx";
import { Icon } from "../parts/icon.tsx";
import { Modal } from "../parts/modal.tsx";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { PlanItemCard } from "../parts/plan-item-card.tsx";
import { PlanSchedule } from "../parts/plan-schedule.tsx";
import { PlanVersions } from "../parts/plan-versions.tsx";
import { useAction, useLoaded } from "../parts/use-request.ts";
import {
	addExercise,
	changeItem,
	isSameAs,
	moveItem,
	type PlanForm,
	planFormFrom,
	readPlanForm,
	removeItem,
} from "../plan-form.ts";
import { hashOf } from "../route.ts";
import { planWords } from "../text/plan-words.ts";
import { formatDay, today } from "../text/quantity.ts";

export function PlanScreen({ personId }: { readonly personId: number }) {
	const record = useLoaded("getPerson", { personId }, `person ${personId}`);
	return (
		<>
			<p>
				<a class="back-link" href={hashOf({ screen: "person", personId })}>
					<Icon name="left" />
					{planWords.back}
				</a>
			</p>
			{record.state === "loading" && <LoadingNote text={planWords.loading} />}
			{record.state === "failed" && <FaultNote fault={record.fault} />}
			{record.state === "ready" && <PlanEditor record={record.value} />}
		</>
	);
}

function PlanEditor({ record: { person, plan: stored } }: { readonly record: PersonRecord }) {
	const [plan, setPlan] = useState(stored);
	const [form, setForm] = useState(() => planFormFrom(latestOf(stored), today()));
	const [showsErrors, setShowsErrors] = useState(false);
	const [said, setSaid] = useState("");
	const save = useAction("savePlan");
	const read = readPlanForm(form, plan);
	const errors = read.ok || !showsErrors ? null : read.errors;
	const running = plan !== null && plan.endedOn === null ? latestOf(plan) : null;
	const isUnchanged = isSameAs(form, running);
	const nextVersion = 1 + (running?.version ?? 0);

	function change(next: PlanForm): void {
		setForm(next);
		setSaid("");
	}

	async function run(): Promise<void> {
		setShowsErrors(true);
		if (!read.ok) return;
		const outcome = await save.run({ personId: person.id, draft: read.draft });
		if (!outcome.ok) return;
		setShowsErrors(false);
		setPlan(outcome.value);
		const latest = latestOf(outcome.value);
		setForm(planFormFrom(latest, today()));
		setSaid(planWords.saved(latest?.version ?? 1));
	}

	return (
		<form
			class="plan-form"
			noValidate
			onSubmit={(event) => {
				event.preventDefault();
				void run();
			}}
		>
			<header>
				<h1>{planWords.titleFor(person.displayName ?? person.code)}</h1>
				<p class="lead">{planWords.lead}</p>
			</header>
			{plan?.endedOn != null && (
				<p class="note">
					<Icon name="info" />
					{planWords.ended(formatDay(plan.endedOn))}
				</p>
			)}
			<div class="plan">
				<div class="plan-main">
					<PlanItems form={form} doses={errors?.doses ?? new Map()} onChange={change} onSay={setSaid} />
					<PlanSchedule form={form} errors={errors} onChange={change} />
					{save.fault !== null && <FaultNote fault={save.fault} />}
					<div class="button-row plan-save">
						<button type="submit" class="button button-primary" disabled={save.isBusy || isUnchanged}>
							{nextVersion === 1 ? planWords.save : planWords.saveNew(nextVersion)}
						</button>
						{running !== null && <EndPlan personId={person.id} onEnded={setPlan} />}
						<p class="live-words" role="status">
							{errors !== null ? (errors.items ?? planWords.fixFirst) : said}
						</p>
					</div>
				</div>
				<div class="plan-side">
					<Library
						onAdd={(exercise) => {
							const side = person.affectedSide === "right" ? "right" : "left";
							setForm(addExercise(form, exercise, side));
							setSaid(planWords.added(exercise.name));
						}}
					/>
					<PlanVersions
						plan={plan}
						onStartFrom={(version) => change({ ...planFormFrom(version, today()), from: form.from })}
					/>
				</div>
			</div>
		</form>
	);
}

function PlanItems({
	form,
	doses,
	onChange,
	onSay,
}: {
	readonly form: PlanForm;
	readonly doses: ReadonlyMap<number, object>;
	readonly onChange: (form: PlanForm) => void;
	readonly onSay: (text: string) => void;
}) {
	if (form.items.length === 0) {
		return (
			<section class="panel" aria-label={planWords.exercises}>
				<EmptyNote title={planWords.emptyTitle} text={planWords.emptyText} />
			</section>
		);
	}
	return (
		<section class="plan-items" aria-label={planWords.exercises}>
			<ol class="plan-list">
				{form.items.map((item, i) => (
					<PlanItemCard
						key={item.key}
						item={item}
						place={i + 1}
						of={form.items.length}
						errors={doses.get(item.key) ?? {}}
						onChange={(part) => onChange(changeItem(form, item.key, part))}
						onMove={(by) => {
							const moved = moveItem(form, item.key, by);
							if (moved === form) return;
							onChange(moved);
							onSay(planWords.moved(item.exercise.name, i + 1 + by, form.items.length));
						}}
						onRemove={() => onChange(removeItem(form, item.key))}
					/>
				))}
			</ol>
			{form.items.length > 1 && <p class="field-hint">{planWords.orderHint}</p>}
		</section>
	);
}

function Library({ onAdd }: { readonly onAdd: (exercise: Exercise) => void }) {
	const [version, setVersion] = useState(0);
	/** Of an own exercise that is being made or changed. */
	const [edited, setEdited] = useState<{ readonly exercise: Exercise | null } | null>(null);
	const exercises = useLoaded("listExercises", null, `exercises ${version}`);
	if (exercises.state === "loading") return <LoadingNote text={planWords.loading} />;
	if (exercises.state === "failed") return <FaultNote fault={exercises.fault} />;
	return (
		<>
			<ExerciseLibrary
				exercises={exercises.value}
				onAdd={onAdd}
				onEdit={(exercise) => setEdited({ exercise })}
				onNew={() => setEdited({ exercise: null })}
			/>
			{edited !== null && (
				<ExerciseDialog
					exercise={edited.exercise}
					taken={exercises.value}
					onSaved={() => {
						setEdited(null);
						setVersion(version + 1);
					}}
					onClose={() => setEdited(null)}
				/>
			)}
		</>
	);
}

function EndPlan({
	personId,
	onEnded,
}: {
	readonly personId: number;
	readonly onEnded: (plan: Plan) => void;
}) {
	const [isAsking, setAsking] = useState(false);
	const end = useAction("endPlan");
	return (
		<>
			<button type="button" class="button button-quiet" onClick={() => setAsking(true)}>
				{planWords.end}
			</button>
			{isAsking && (
				<Modal title={planWords.endTitle} isSmall onClose={() => setAsking(false)}>
					<p class="modal-body">{planWords.endText}</p>
					<div class="modal-foot">
						{end.fault !== null && <FaultNote fault={end.fault} />}
						<button
							type="button"
							class="button button-primary"
							disabled={end.isBusy}
							onClick={async () => {
								const outcome = await end.run({ personId, endedOn: today() });
								if (!outcome.ok) return;
								setAsking(false);
								onEnded(outcome.value);
							}}
						>
							{planWords.endYes}
						</button>
						<button type="button" class="button button-quiet" onClick={() => setAsking(false)}>
							{planWords.endNo}
						</button>
					</div>
				</Modal>
			)}
		</>
	);
}

function latestOf(plan: Plan | null): PlanVersion | null {
	return plan?.versions.at(-1) ?? null;
}
