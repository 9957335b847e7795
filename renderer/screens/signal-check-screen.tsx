import { useEffect } from "preact/hooks";
import type { AppState, CheckState } from "../../app/contract.ts";
import { type CheckStep, checkSteps, overallOf } from "../../core/signal/signal-check.ts";
import { BandChoice } from "../parts/band-choice.tsx";
import { CheckSteps } from "../parts/check-steps.tsx";
import { ContactRing } from "../parts/contact-ring.tsx";
import { Icon } from "../parts/icon.tsx";
import { useAppState, useModel } from "../parts/model-context.ts";
import { FaultNote } from "../parts/notes.tsx";
import { useAction } from "../parts/use-request.ts";
import { hashOf } from "../route.ts";
import { checkWords, ohmText } from "../text/check-words.ts";

/** From the link to a rest baseline on one screen: it begins by itself, and a step that stops says what to do. */
export function SignalCheckScreen() {
	const state = useAppState();
	const start = useAction("startCheck");
	const passOver = useAction("passOverCheck");
	const { run } = state.check;
	useCheckWhileHere(state, () => void start.run({ from: null }));
	const steps = run?.steps ?? emptySteps;
	const stopped =
		run !== null && !run.isRunning ? steps.find(({ status }) => status === "stopped") : undefined;
	const isDone = run !== null && !run.isRunning && stopped === undefined;
	const fault = start.fault ?? passOver.fault;
	const person = state.setup.person;
	return (
		<>
			<header class="screen-head">
				<div>
					<h1>{checkWords.title}</h1>
					<p class="lead">{checkWords.lead}</p>
				</div>
				<div class="check-actions">
					{run?.isRunning === true ? (
						<p class="check-overall" role="status">
							<Icon name="refresh" />
							{runningWords(state)}
						</p>
					) : (
						<button
							type="button"
							class={isDone || stopped !== undefined ? "button" : "button button-primary"}
							disabled={start.isBusy}
							onClick={() => void start.run({ from: null })}
						>
							{run === null ? checkWords.start : checkWords.anew}
						</button>
					)}
				</div>
			</header>
			{fault !== null && (
				<FaultNote fault={fault}>
					{fault.kind === "cautions-not-acknowledged" && person !== null && (
						<a class="button" href={hashOf({ screen: "person", personId: person.id })}>
							{checkWords.toPerson}
						</a>
					)}
				</FaultNote>
			)}
			{isDone && <Done steps={steps} personId={person?.id ?? null} />}
			<div class="signal-check">
				<CheckSteps
					steps={steps}
					isRunning={run?.isRunning === true}
					onAgain={(from) => void start.run({ from })}
					action={
						stopped === undefined ? null : (
							<StoppedActions
								step={stopped}
								mayPassOver={run?.mayPassOver === true}
								isBusy={start.isBusy || passOver.isBusy}
								onAgain={() => void start.run({ from: stopped.id })}
								onPassOver={() => void passOver.run(null)}
							/>
						)
					}
				/>
				<RingPanel state={state} />
			</div>
		</>
	);
}

/** The check begins with the screen, unless it was done; one that waits for somebody is given up with it. */
function useCheckWhileHere({ check, recording }: AppState, begin: () => void): void {
	const model = useModel();
	useEffect(() => {
		const isNew = check.run === null && check.last === null;
		if (recording === null && (isNew || check.isDue)) begin();
		return () => {
			if (isUnfinished(model.state?.check ?? null)) void model.bridge.request("stopCheck", null);
		};
	}, []);
}

function isUnfinished(check: CheckState | null): boolean {
	const run = check?.run ?? null;
	return run !== null && (run.isRunning || run.steps.some(({ status }) => status === "stopped"));
}

function runningWords({ takingBaseline }: AppState): string {
	if (takingBaseline === null) return checkWords.running;
	return `${checkWords.sitStill} ${Math.max(0, takingBaseline.secondsLeft)} s`;
}

function Done({
	steps,
	personId,
}: {
	readonly steps: readonly CheckStep[];
	readonly personId: number | null;
}) {
	const overall = overallOf(steps);
	return (
		<div class={overall === "good" ? "note note-done" : "note check-offer"} role="status">
			<Icon name={overall === "good" ? "check" : "caution"} />
			<p>
				<strong>{checkWords.overall[overall]}</strong>
			</p>
			<a class="button button-primary" href={hashOf({ screen: "live" })}>
				{checkWords.toLive}
			</a>
			{personId !== null && (
				<a class="button" href={hashOf({ screen: "exercise", personId })}>
					{checkWords.toExercises}
				</a>
			)}
		</div>
	);
}

function StoppedActions({
	step,
	mayPassOver,
	isBusy,
	onAgain,
	onPassOver,
}: {
	readonly step: CheckStep;
	readonly mayPassOver: boolean;
	readonly isBusy: boolean;
	readonly onAgain: () => void;
	readonly onPassOver: () => void;
}) {
	return (
		<div class="button-row">
			<button type="button" class="button button-primary" disabled={isBusy} onClick={onAgain}>
				{checkWords.tryAgain}
			</button>
			{mayPassOver && (
				<button type="button" class="button" disabled={isBusy} onClick={onPassOver}>
					{checkWords.goOn}
				</button>
			)}
			{step.id === "link" && (
				<a class="button" href={hashOf({ screen: "connect" })}>
					{checkWords.toConnect}
				</a>
			)}
			{step.id === "band" && (
				<a class="button" href={hashOf({ screen: "set-up" })}>
					{checkWords.toSetUp}
				</a>
			)}
		</div>
	);
}

function RingPanel({ state: { contacts, setup } }: { readonly state: AppState }) {
	const isKnown = contacts.some(({ verdict }) => verdict !== "unknown");
	const notGood = contacts.flatMap((contact, e) =>
		contact.verdict === "good" || contact.verdict === "unknown" ? [] : [{ ...contact, number: e + 1 }],
	);
	return (
		<section class="panel check-ring" aria-label={checkWords.ring}>
			<div class="panel-line">
				<h2>{checkWords.ring}</h2>
				<BandChoice />
			</div>
			<p class="panel-sub">
				{isKnown || contacts.length === 0 ? checkWords.ringText(setup.limb.side) : checkWords.ringUnknown}
			</p>
			{contacts.length > 0 && <ContactRing contacts={contacts} band={setup.band} side={setup.limb.side} />}
			<ul class="check-contacts">
				{notGood.map(({ number, verdict, ohm }) => (
					<li key={number}>
						<Icon name="caution" />
						{`${number}: ${checkWords.contacts[verdict]}${ohm === null ? "" : `, ${ohmText(ohm)}`}`}
					</li>
				))}
			</ul>
		</section>
	);
}

const emptySteps: readonly CheckStep[] = checkSteps.map((id) => ({ id, status: "waiting", finding: null }));
