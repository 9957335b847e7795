import { useEffect, useState } from "preact/hooks";
import { type Action, useAction } from "./use-request.ts";

export const captureSeconds = 3;

export interface Capture {
	readonly action: Action<"captureLines">;
	/** Since it began, s. */
	readonly elapsed: number;
	/** What a port says in `captureSeconds`, a character for each byte; null when nothing came of it. */
	run(portId: string, baudRate: number): Promise<string | null>;
}

/** Listens to a port, and tells how far it is. */
export function useCapture(): Capture {
	const action = useAction("captureLines");
	const [elapsed, setElapsed] = useState(0);
	const { isBusy } = action;
	useEffect(() => {
		if (!isBusy) return;
		const began = performance.now();
		const timer = setInterval(
			() => setElapsed(Math.min(captureSeconds, (performance.now() - began) / 1000)),
			100,
		);
		return () => clearInterval(timer);
	}, [isBusy]);
	return {
		action,
		elapsed,
		async run(portId, baudRate) {
			setElapsed(0);
			const outcome = await action.run({ portId, baudRate, seconds: captureSeconds });
			if (!outcome.ok) return null;
			// The time is over in the middle of a line.
			const { text } = outcome.value;
			return text.slice(0, text.lastIndexOf("\n") + 1) || text;
		},
	};
}
