/** The newest live frame at another strength, again and again while it is looked at; or one moment that is held. */
import { useEffect, useRef, useState } from "preact/hooks";
import type { StrengthTrial } from "../../app/contract.ts";
import type { RequestFault } from "../bridge.ts";
import { useModel, useSubscription } from "./model-context.ts";

export interface Trials {
	readonly trial: StrengthTrial | null;
	readonly fault: RequestFault | null;
}

/** ms between an answer and the next question: a few pictures a second are enough to compare. */
const PAUSE = 250;

/** @param lambda null: nothing can be tried now */
export function useTrials(lambda: number | null, isHeld: boolean): Trials {
	const model = useModel();
	useSubscription(model.onChange);
	const { bridge, connection } = model;
	const [trials, setTrials] = useState<Trials>({ trial: null, fault: null });
	/** A moment that was held stays the same one at every other strength. */
	const hasHeld = useRef(false);
	useEffect(() => {
		if (!isHeld) hasHeld.current = false;
		if (lambda === null || connection !== "open") return;
		const controller = new AbortController();
		let timer: ReturnType<typeof setTimeout> | undefined;
		async function ask(strength: number): Promise<void> {
			const frame = isHeld && hasHeld.current ? "same" : "newest";
			const outcome = await bridge.request("tryStrength", { lambda: strength, frame }, controller.signal);
			if (controller.signal.aborted) return;
			hasHeld.current = isHeld && outcome.ok;
			setTrials(outcome.ok ? { trial: outcome.value, fault: null } : { trial: null, fault: outcome.error });
			if (!isHeld || !outcome.ok) timer = setTimeout(() => void ask(strength), PAUSE);
		}
		void ask(lambda);
		return () => {
			clearTimeout(timer);
			controller.abort();
		};
	}, [lambda, isHeld, connection]);
	return trials;
}
