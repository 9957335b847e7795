import { useEffect, useState } from "preact/hooks";
import type { AppState, RequestArgument } from "../../app/contract.ts";
import type { RequestFault } from "../bridge.ts";
import { useAppState } from "./model-context.ts";
import { useAction } from "./use-request.ts";

export interface StartAtRest<K extends "startReference" | "startExercise"> {
	/** Wanted, but rest is not known yet. */
	readonly isWaiting: boolean;
	/** While rest is being taken. */
	readonly secondsLeft: number | null;
	/** Why it could not be started; null while it is under way. */
	readonly fault: RequestFault | null;
	start(argument: RequestArgument<K>): void;
	clearFault(): void;
}

/** Starts as soon as rest is known: a band that was just put on takes it first. */
export function useStartAtRest<K extends "startReference" | "startExercise">(
	name: K,
	onStarted: (argument: RequestArgument<K>) => void,
): StartAtRest<K> {
	const state = useAppState();
	const action = useAction(name);
	const [wanted, setWanted] = useState<RequestArgument<K> | null>(null);
	const isReady = mayStart(state);
	const takenAt = state.baseline?.takenAt ?? "";

	async function run(argument: RequestArgument<K>): Promise<void> {
		const outcome = await action.run(argument);
		// The state may be older than the rest that was forgotten just now: the next one tells when it is there.
		if (!outcome.ok && outcome.error.kind === "no-baseline") return;
		setWanted(null);
		if (outcome.ok) onStarted(argument);
	}

	useEffect(() => {
		if (wanted !== null && isReady) void run(wanted);
	}, [wanted, isReady, takenAt]);

	return {
		isWaiting: wanted !== null,
		secondsLeft: state.takingBaseline?.secondsLeft ?? null,
		fault: wanted === null ? action.fault : null,
		start: setWanted,
		clearFault: action.clearFault,
	};
}

/** With rest, or without a band, whose absence the app then tells. */
function mayStart({ link, baseline, picture }: AppState): boolean {
	if (link.state === "opening" || link.state === "waiting-for-board") return false;
	if (link.state !== "streaming") return true;
	return picture.state === "failed" || (baseline !== null && picture.state === "ready");
}
