/** One exercise while it is done: filling the window, read from three metres, pause and stop always in reach. */
import { useEffect } from "preact/hooks";
import type { ExerciseState, RequestArgument } from "../../app/contract.ts";
import { adviceWords, coachWords, cueWords, hintWords, nextWords } from "../text/coach-words.ts";
import { AfterSet } from "./after-set.tsx";
import { CoachGauge } from "./coach-gauge.tsx";
import { CountdownRing } from "./countdown-ring.tsx";
import { Icon } from "./icon.tsx";
import { useModel } from "./model-context.ts";
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
				<CoachBody exercise={exercise} onTap={mayTap ? () => run("tap") : null} />
			)}
		</div>
	);
}

function CoachBody({
	exercise,
	onTap,
}: {
	readonly exercise: ExerciseState;
	readonly onTap: (() => void) | null;
}) {
	const { view, item, countedIn } = exercise;
	const { feed } = useModel();
	const isMeasured = countedIn !== null;
	const isHold = item.exercise.kind === "hold";
	const advice = view.phase === "rest" || view.phase === "get-ready" ? adviceWords(view.advice) : null;
	return (
		<div class="coach-body">
			{!isMeasured && (
				<div class="coach-left coach-picture">
					<ExercisePictogram drawing={item.exercise.drawing} />
				</div>
			)}
			{isMeasured && (
				<div class="coach-left">
					<CoachGauge view={view} unit={feed.geometry?.unit ?? "S/m"} />
				</div>
			)}
			<div class="coach-main">
				<p class="coach-cue" role="status">
					{cueWords[view.cue]}
				</p>
				<div class="coach-numbers">
					{view.secondsLeft !== null && view.secondsOf !== null && (
						<CountdownRing secondsLeft={view.secondsLeft} secondsOf={view.secondsOf} />
					)}
					{view.phase !== "rest" && (
						<div class="coach-count">
							<p class="coach-count-number figures">{coachWords.count(view.count, view.goal)}</p>
							<p class="coach-count-label">{coachWords.countLabel[isHold ? "hold" : "repetition"]}</p>
							<RepetitionDots count={view.count} goal={view.goal} />
						</div>
					)}
				</div>
				{onTap !== null && (
					<button type="button" class="button button-primary coach-tap" onClick={onTap}>
						{coachWords.tap}
					</button>
				)}
				<p class="coach-hint">
					{hintOf(exercise) ?? (advice === null ? " " : `${advice.title}. ${advice.text}`)}
				</p>
				{view.next !== null && (
					<p class="coach-next">
						{coachWords.next}:{" "}
						{view.phase === "rest" ? coachWords.nextSet(view.set, view.sets) : nextWords[view.next]}
					</p>
				)}
				<p class="coach-keys">{onTap === null ? coachWords.keys : coachWords.keysTap}</p>
			</div>
		</div>
	);
}

function hintOf({ view, pausedBy, countedIn, item }: ExerciseState): string | null {
	if (pausedBy === "link") return coachWords.pausedByLink;
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
