/** A reference contraction: a few choices, then full-screen steps, then what it gave. */
import { useEffect, useRef, useState } from "preact/hooks";
import type { PersonRecord, ReferenceState } from "../../app/contract.ts";
import { usualReference } from "../../core/exercise/reference-contraction.ts";
import { VARIATION_LIMIT_PERCENT } from "../../core/exercise/reference-result.ts";
import { type ReferenceTarget, referenceTargets, regionsOf } from "../../core/exercise/reference-target.ts";
import { Choice } from "../parts/choice.tsx";
import { CountdownRing } from "../parts/countdown-ring.tsx";
import { Icon } from "../parts/icon.tsx";
import { useAppState, useModel } from "../parts/model-context.ts";
import { EmptyNote, FaultNote, LoadingNote } from "../parts/notes.tsx";
import { ReferencePictogram } from "../parts/pictogram.tsx";
import { ReferenceTable } from "../parts/reference-table.tsx";
import { SimulatedTag } from "../parts/simulated-tag.tsx";
import { useAction, useLoaded } from "../parts/use-request.ts";
import { useStartAtRest } from "../parts/use-start-at-rest.ts";
import { hashOf } from "../route.ts";
import { referenceWords as text } from "../text/coach-words.ts";

export function ReferenceScreen({ personId }: { readonly personId: number }) {
	const { reference } = useAppState();
	const record = useLoaded("getPerson", { personId }, `person ${personId}`);
	const [firstTarget, setFirstTarget] = useState<ReferenceTarget>(usualReference.target);
	const own = reference !== null && reference.personId === personId ? reference : null;
	if (own !== null && isUnderWay(own)) return <Guide reference={own} />;
	if (record.state === "loading") return <LoadingNote text={text.loading} />;
	if (record.state === "failed") return <FaultNote fault={record.fault} />;
	return own === null ? (
		<Prepare key={firstTarget} record={record.value} firstTarget={firstTarget} />
	) : (
		<Outcome reference={own} record={record.value} onOther={setFirstTarget} />
	);
}

function isUnderWay({ view }: ReferenceState): boolean {
	return view.step !== "done" && view.step !== "stopped";
}

function BackLink({ personId }: { readonly personId: number }) {
	return (
		<p>
			<a class="back-link" href={hashOf({ screen: "person", personId })}>
				<Icon name="left" />
				{text.back}
			</a>
		</p>
	);
}

function Prepare({
	record: { person, limbs },
	firstTarget,
}: {
	readonly record: PersonRecord;
	readonly firstTarget: ReferenceTarget;
}) {
	const { setup } = useAppState();
	const worn = setup.person?.id === person.id ? setup.limb.side : null;
	const [side, setSide] = useState<"left" | "right">(
		worn ?? (person.affectedSide === "right" ? "right" : "left"),
	);
	const [target, setTarget] = useState(firstTarget);
	const [effort, setEffort] = useState(usualReference.effort);
	const [contractions, setContractions] = useState(usualReference.contractions);
	const [pauseSeconds, setPauseSeconds] = useState(usualReference.pauseSeconds);
	const wear = useAction("wearBand");
	const start = useStartAtRest("startReference", () => {});
	const fault = wear.fault ?? start.fault;
	const isBusy = wear.isBusy || start.isWaiting;
	const isMeasured = limbs.some(({ setup: limb }) => limb.side === side);
	const { restSeconds, contractionSeconds } = usualReference;
	const seconds = restSeconds + contractions * contractionSeconds + (contractions - 1) * pauseSeconds + 6;

	async function run(): Promise<void> {
		if (worn !== side) {
			const worn = await wear.run({ personId: person.id, side });
			if (!worn.ok) return;
		}
		start.start({ target, effort, contractions, pauseSeconds });
	}

	return (
		<div class="reference-prepare">
			<BackLink personId={person.id} />
			<header>
				<h1>{text.title}</h1>
				<p class="lead">
					{person.displayName ?? person.code} · {text.lead}
				</p>
			</header>
			<section class="panel form-section" aria-label={text.title}>
				<Choice
					label={text.leg}
					isLabelShown
					options={[
						{ value: "left", text: text.legs.left },
						{ value: "right", text: text.legs.right },
					]}
					value={side}
					onChoose={setSide}
				/>
				<div class="reference-target">
					<ReferencePictogram target={target} />
					<div class="field">
						<Choice
							label={text.target}
							isLabelShown
							options={referenceTargets.map((value) => ({ value, text: text.targets[value] }))}
							value={target}
							onChoose={setTarget}
						/>
						<p class="field-hint">{text.targetHints[target]}</p>
						<p class="field-hint">{text.both}</p>
					</div>
				</div>
				<div class="field">
					<Choice
						label={text.effort}
						isLabelShown
						options={[
							{ value: "comfortable", text: text.efforts.comfortable },
							{ value: "maximal", text: text.efforts.maximal },
						]}
						value={effort}
						onChoose={setEffort}
					/>
					<p class="field-hint">{text.effortHints[effort]}</p>
				</div>
				<div class="button-row reference-choices">
					<Choice
						label={text.contractions}
						isLabelShown
						options={[1, 2, 3, 5].map((value) => ({ value, text: String(value) }))}
						value={contractions}
						onChoose={setContractions}
					/>
					<Choice
						label={text.pause}
						isLabelShown
						options={[10, 30, 60, 120].map((value) => ({ value, text: `${value} s` }))}
						value={pauseSeconds}
						onChoose={setPauseSeconds}
					/>
				</div>
				<p class="field-hint">{text.length(inMinutes(seconds))}</p>
				{fault !== null && <FaultNote fault={fault} />}
				{isMeasured ? (
					<div class="button-row">
						<button type="button" class="button button-primary" disabled={isBusy} onClick={() => void run()}>
							<Icon name="play" />
							{!isBusy
								? text.start
								: start.secondsLeft === null
									? text.starting
									: text.keepStill(start.secondsLeft)}
						</button>
					</div>
				) : (
					<EmptyNote title={text.notMeasured} text="">
						<a class="button" href={hashOf({ screen: "set-up", personId: person.id })}>
							{text.measure}
						</a>
					</EmptyNote>
				)}
			</section>
		</div>
	);
}

function inMinutes(seconds: number): string {
	return seconds < 90 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 60)} min`;
}

/** One thing to do at a time, read from three metres. */
function Guide({ reference: { view } }: { readonly reference: ReferenceState }) {
	const stop = useAction("stopReference");
	useEffect(() => {
		const onKey = (event: KeyboardEvent): void => {
			if (event.key === "Escape") void stop.run(null);
		};
		window.addEventListener("keydown", onKey);
		return () => window.removeEventListener("keydown", onKey);
	}, []);
	const isStep = view.step === "rest" || view.step === "contract" || view.step === "pause";
	// A step's whole length is what was left when it began.
	const whole = useRef({ step: "", seconds: 0 });
	if (isStep) {
		const step = `${view.step} ${view.contraction}`;
		if (whole.current.step !== step) whole.current = { step, seconds: view.secondsLeft };
	}
	return (
		<div class={`coach guided guided-${view.step}`}>
			<header class="coach-bar">
				<div class="coach-name">
					<p class="coach-set">
						{isStep && view.contraction > 0 ? text.progress(view.contraction, view.of) : text.title}
					</p>
					<SimulatedTag />
				</div>
				<button type="button" class="button coach-button" onClick={() => void stop.run(null)}>
					<Icon name="stop" />
					{text.stop}
				</button>
			</header>
			{stop.fault !== null && <FaultNote fault={stop.fault} />}
			<div class="guided-body">
				<p class="coach-cue" role="status">
					{cueOf(view)}
				</p>
				{isStep && (
					<>
						<div class="guided-picture">
							<ReferencePictogram target={view.target} />
							<CountdownRing secondsLeft={view.secondsLeft} secondsOf={whole.current.seconds} />
						</div>
						<div class="dots" aria-hidden="true">
							{Array.from({ length: view.of }, (_, i) => (
								<span
									key={i}
									class={
										i + 1 < view.contraction || (i + 1 === view.contraction && view.step === "pause")
											? "dot dot-done"
											: i + 1 === view.contraction
												? "dot dot-now"
												: "dot"
									}
								/>
							))}
						</div>
						<p class="coach-hint">{hintOf(view)}</p>
					</>
				)}
			</div>
		</div>
	);
}

type View = ReferenceState["view"];
type Step = Extract<View, { step: "rest" | "contract" | "pause" }>;

function cueOf(view: View): string {
	switch (view.step) {
		case "contract":
			return text.steps.contract[view.target][view.effort];
		case "rest":
		case "pause":
			return text.steps[view.step];
		case "ready":
		case "done":
		case "stopped":
			return text.steps.ready;
	}
}

function hintOf(view: Step): string {
	if (view.step === "pause" && view.contraction === view.of) return text.stepHints.last;
	return view.step === "rest" ? text.stepHints.rest[view.target] : text.stepHints[view.step];
}

function Outcome({
	reference,
	record: { person },
	onOther,
}: {
	readonly reference: ReferenceState;
	readonly record: PersonRecord;
	/** The reference of the other muscles comes next. */
	readonly onOther: (target: ReferenceTarget) => void;
}) {
	const clear = useAction("stopReference");
	const { feed } = useModel();
	const { result, fault, referenceId, target } = reference;
	const aimedAt = regionsOf(target);
	const own = result?.filter(({ regionId }) => aimedAt.includes(regionId)) ?? [];
	const hasTaken = own.some(({ reference: region }) => region.state === "taken");
	const isUneven = own.some(
		({ reference: region }) => region.state === "taken" && region.repeatability === "not-repeatable",
	);
	const other = target === "quadriceps" ? "hamstrings" : "quadriceps";
	return (
		<div class="reference-prepare">
			<BackLink personId={person.id} />
			<header>
				<h1>{result === null ? text.stoppedTitle : text.doneTitle}</h1>
				<p class="lead">
					{person.displayName ?? person.code} ·{" "}
					{result === null
						? text.stoppedText
						: referenceId === null
							? text.notStored
							: hasTaken
								? text.doneText
								: text.nothing}
				</p>
			</header>
			{fault !== null && <FaultNote fault={fault} />}
			{isUneven && <p class="note note-caution">{text.notRepeatable(VARIATION_LIMIT_PERCENT)}</p>}
			{result !== null && (
				<section class="panel form-section" aria-label={text.title}>
					<ReferenceTable
						target={target}
						unit={feed.geometry?.unit ?? "S/m"}
						regions={result.map(({ regionId, name, reference: region }) => ({
							id: regionId,
							name,
							reference: region,
						}))}
					/>
				</section>
			)}
			<div class="button-row">
				<button
					type="button"
					class="button button-primary"
					onClick={async () => {
						const outcome = await clear.run(null);
						if (outcome.ok) location.hash = hashOf({ screen: "person", personId: person.id });
					}}
				>
					{text.done}
				</button>
				{result !== null && (
					<button
						type="button"
						class="button"
						onClick={async () => {
							const outcome = await clear.run(null);
							if (outcome.ok) onOther(other);
						}}
					>
						{text.other[other]}
					</button>
				)}
				<button
					type="button"
					class="button"
					onClick={async () => {
						const outcome = await clear.run(null);
						if (outcome.ok) onOther(target);
					}}
				>
					{text.again}
				</button>
			</div>
			{clear.fault !== null && <FaultNote fault={clear.fault} />}
		</div>
	);
}
