/** One exercise while it is done: filling the window, read from three metres, pause and stop always in reach. */
import { useEffect, useRef } from "preact/hooks";
import type { AppState, ExerciseState, RequestArgument } from "../../app/contract.ts";
import { largestAfter } from "../draw/coach-gauge.ts";
import { adviceWords, coachWords, cueWords, hintWords, nextWords } from "../text/coach-words.ts";
import { lostBandText } from "../text/contact-advice.ts";
import { homeFaultWords } from "../text/home-faults.ts";
import { AfterSet } from "./after-set.tsx";
import { CoachGauge } from "./coach-gauge.tsx";
import { CountdownRing } from "./countdown-ring.tsx";
import { Icon } from "./icon.tsx";
import { useAppState, useModel } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { ExercisePictogram } from "./pictogram.tsx";
import { SimulatedTag } from "./simulated-tag.tsx";
import { useAction } from "./use-request.ts";
import { useTones } from "./use-tones.ts";

type ControlAction = RequestArgument<"controlExercise">["action"];

export function Coach({ exercise }: { readonly exercise: ExerciseState }) {
	const { view, item } = exercise;
	const control = useAction("controlExercise");
	const run = (action: ControlAction): void => void control.run({ action });
	const [hasTones, toggleTones] = useTones(view.tone);
	const mayTap = exercise.countedIn === null && item.exercise.kind === "repetition" && view.phase === "work";
	const isAsking = view.phase === "ask";
	// kept over all sets of the exercise, so that each is seen beside the ones before
	const largest = useRef(0);
	largest.current = largestAfter(largest.current, view.live);
	useCoachKeys(view.phase, mayTap, run);
	return (
		<div class="coach">
			<header class="coach-bar">
				<div class="coach-name">
					<h1>{item.exercise.name}</h1>
					<p class="coach-set">{coachWords.set(view.set, view.sets)}</p>
					<SimulatedTag />
				</div>
				<div class="coach-tools">
					<button
						type="button"
						class="button coach-button coach-tones"
						aria-pressed={hasTones}
						onClick={toggleTones}
					>
						<Icon name={hasTones ? "sound" : "silent"} />
						{hasTones ? coachWords.tonesOn : coachWords.tonesOff}
					</button>
					{!isAsking && (
						<>
							<button
								type="button"
								class="button coach-button coach-pause"
								onClick={() => run(view.phase === "paused" ? "resume" : "pause")}
							>
								<Icon name={view.phase === "paused" ? "play" : "pause"} />
								{view.phase === "paused" ? coachWords.resume : coachWords.pause}
							</button>
							<button type="button" class="button coach-button" onClick={() => run("stop")}>
								<Icon name="stop" />
								{coachWords.stop}
							</button>
						</>
					)}
				</div>
			</header>
			{control.fault !== null && <FaultNote fault={control.fault} onDismiss={control.clearFault} />}
			{exercise.fault !== null && <FaultNote fault={exercise.fault} />}
			{isAsking ? (
				<AfterSet key={view.set} />
			) : (
				<CoachBody exercise={exercise} largest={largest.current} onTap={mayTap ? () => run("tap") : null} />
			)}
		</div>
	);
}

function CoachBody({
	exercise,
	largest,
	onTap,
}: {
	readonly exercise: ExerciseState;
	/** Of the change in this exercise. */
	readonly largest: number;
	readonly onTap: (() => void) | null;
}) {
	const { view } = exercise;
	const { kind, drawing } = exercise.item.exercise;
	const hint = hintOf(exercise, useAppState());
	const advice = view.phase === "rest" || view.phase === "get-ready" ? adviceWords(view.advice) : null;
	return (
		<div class="coach-body">
			<CoachSide exercise={exercise} largest={largest} />
			<div class="coach-main">
				<p class="coach-cue" role="status">
					{cueWords[view.cue]}
				</p>
				<div class="coach-numbers">
					<CoachCount exercise={exercise} />
					{view.secondsLeft !== null && view.secondsOf !== null && (
						<CountdownRing secondsLeft={view.secondsLeft} secondsOf={view.secondsOf} />
					)}
					{onTap !== null && (
						<button type="button" class="button button-primary coach-tap" onClick={onTap}>
							{coachWords.tap}
						</button>
					)}
					{onTap === null && kind === "repetition" && view.phase === "work" && (
						<ExercisePictogram drawing={drawing} />
					)}
				</div>
				<p class={hint === null ? "coach-hint coach-advice" : "coach-hint"} role="status">
					{hint ?? (advice === null ? "" : `${advice.title}. ${advice.text}`)}
				</p>
				<p class="coach-next">
					{view.next === null
						? ""
						: `${coachWords.next}: ${
								view.phase === "rest" ? coachWords.nextSet(view.set, view.sets) : nextWords[view.next]
							}`}
				</p>
				<p class="coach-keys">{onTap === null ? coachWords.keys : coachWords.keysTap}</p>
			</div>
		</div>
	);
}

/** How much the muscle works; what the exercise looks like where that is not known, and between two sets. */
function CoachSide({
	exercise: { view, item, countedIn, referenceId },
	largest,
}: {
	readonly exercise: ExerciseState;
	readonly largest: number;
}) {
	const { feed } = useModel();
	const isEmpty = view.phase === "get-ready" && referenceId === null;
	if (countedIn === null || view.phase === "rest" || isEmpty) {
		return (
			<div class="coach-left coach-picture">
				<ExercisePictogram drawing={item.exercise.drawing} />
			</div>
		);
	}
	const { geometry } = feed;
	const trendIndex = geometry?.regions.find(({ id }) => id === countedIn)?.trendIndex ?? null;
	const noise = trendIndex === null ? null : (geometry?.regionNoise[trendIndex] ?? null);
	return (
		<div class="coach-left">
			<CoachGauge
				view={view}
				hasReference={referenceId !== null}
				own={{ largest, noise }}
				unit={geometry?.unit ?? "S/m"}
			/>
		</div>
	);
}

/** Between two sets these are what is counted. */
function CoachCount({ exercise: { view, item } }: { readonly exercise: ExerciseState }) {
	const isBetween = view.phase === "rest";
	// the view is of the set to come
	const [count, goal] = isBetween ? [view.set - 1, view.sets] : [view.count, view.goal];
	const label = coachWords.countLabel[isBetween ? "set" : item.exercise.kind];
	const text = coachWords.count(count, goal);
	return (
		<div class="coach-count">
			<p
				class={text.length > 7 ? "coach-count-number coach-count-long figures" : "coach-count-number figures"}
				aria-hidden="true"
			>
				{text}
			</p>
			<p class="coach-count-label" aria-hidden="true">
				{label}
			</p>
			<p class="visually-hidden" role="status">
				{coachWords.counted(count, goal, label)}
			</p>
			<RepetitionDots count={count} goal={goal} />
		</div>
	);
}

function hintOf(
	{ view, pausedBy, countedIn, item }: ExerciseState,
	{ link, leftOut }: Pick<AppState, "link" | "leftOut">,
): string | null {
	if (pausedBy === "link") {
		if (link.state === "failed") {
			// One that was stopped for its current does not come back by itself.
			const { what, next } = homeFaultWords(link.fault);
			return `${what} ${next}`;
		}
		if (link.state === "streaming") return coachWords.bandBack;
		return link.state === "reconnecting"
			? lostBandText(link.fault, coachWords.pausedByLink)
			: coachWords.pausedByLink;
	}
	if (pausedBy === "band") {
		if (leftOut === null || leftOut.isTrustworthy) return coachWords.bandFits;
		return coachWords.pausedByBand(leftOut.electrodes.map(({ number }) => number).join(", "));
	}
	if (view.hint !== null) return hintWords[view.hint];
	if (countedIn !== null || view.phase !== "work") return null;
	return item.exercise.kind === "hold" ? coachWords.notMeasuredHold : coachWords.notMeasured;
}

const MOST_DOTS = 20;

function RepetitionDots({ count, goal }: { readonly count: number; readonly goal: number }) {
	if (goal > MOST_DOTS) return null;
	return (
		<div class="dots" aria-hidden="true">
			{Array.from({ length: goal }, (_, i) => (
				<span key={i} class={i < count ? "dot dot-done" : "dot"} />
			))}
		</div>
	);
}

/** Space, Escape and Enter from anywhere; a button that has the focus keeps its own keys. */
function useCoachKeys(phase: string, mayTap: boolean, run: (action: ControlAction) => void): void {
	useEffect(() => {
		if (phase === "ask" || phase === "done") return;
		const onKey = (event: KeyboardEvent): void => {
			if (event.repeat || event.altKey || event.ctrlKey || event.metaKey) return;
			const isOnButton = event.target instanceof HTMLElement && event.target.closest("button") !== null;
			if (event.key === "Escape") run("stop");
			else if (event.key === " " && !isOnButton) run(phase === "paused" ? "resume" : "pause");
			else if (event.key === "Enter" && mayTap && !isOnButton) run("tap");
			else return;
			event.preventDefault();
		};
		window.addEventListener("keydown", onKey);
		return () => window.removeEventListener("keydown", onKey);
	});
}
