import type { ComponentChildren } from "preact";
import type { CheckStep, CheckStepId } from "../../core/signal/signal-check.ts";
import { checkWords, statusIcons, stepWords } from "../text/check-words.ts";
import { Icon } from "./icon.tsx";

/** The steps of the signal check in their order. @param action what can be done about the one that stopped */
export function CheckSteps({
	steps,
	isRunning,
	action,
	onAgain,
}: {
	readonly steps: readonly CheckStep[];
	readonly isRunning: boolean;
	readonly action: ComponentChildren;
	readonly onAgain: (from: CheckStepId) => void;
}) {
	return (
		<ol class="check-steps">
			{steps.map((step) => (
				<Step
					key={step.id}
					step={step}
					mayRepeat={!isRunning && step.finding !== null && step.status !== "stopped"}
					onAgain={() => onAgain(step.id)}
				>
					{step.status === "stopped" && action}
				</Step>
			))}
		</ol>
	);
}

function Step({
	step: { id, status, finding },
	mayRepeat,
	onAgain,
	children,
}: {
	readonly step: CheckStep;
	readonly mayRepeat: boolean;
	readonly onAgain: () => void;
	readonly children: ComponentChildren;
}) {
	const words = finding === null || status === "running" || status === "waiting" ? null : stepWords(finding);
	const isUrgent = status === "stopped";
	return (
		<li
			class={`panel check-step check-step-${status}`}
			aria-current={status === "running" ? "step" : undefined}
		>
			<Icon name={statusIcons[status]} />
			<div class="check-step-body">
				<h2>
					{checkWords.steps[id]}
					<span class="check-status" role={status === "waiting" ? undefined : "status"}>
						{checkWords.statuses[status]}
					</span>
				</h2>
				{status === "running" && <p>{checkWords.doing[id]}</p>}
				{words !== null && (
					<p>
						{words.found}
						{words.advice !== null && (
							<strong class="check-advice" role={isUrgent ? "alert" : undefined}>
								{" "}
								{words.advice}
							</strong>
						)}
					</p>
				)}
				{children}
			</div>
			{mayRepeat && (
				<button
					type="button"
					class="button button-quiet"
					aria-label={checkWords.again(checkWords.steps[id])}
					onClick={onAgain}
				>
					<Icon name="refresh" />
					{checkWords.againShort}
				</button>
			)}
		</li>
	);
}
