import { useEffect, useState } from "preact/hooks";
import type { ReplayState } from "../../app/contract.ts";
import type { RequestFault } from "../bridge.ts";
import { useAppState, useModel } from "./model-context.ts";

/** Opens a recording for replay while the screen shows it; the page closes it when another kind of screen comes.
 *  `replay` is null until it is open. */
export function useReplay(sessionId: number): {
	readonly replay: ReplayState | null;
	readonly fault: RequestFault | null;
} {
	const { bridge, connection, feed } = useModel();
	const { replay } = useAppState();
	const [fault, setFault] = useState<RequestFault | null>(null);

	useEffect(() => {
		feed.setMode("replay");
		return () => feed.setMode("live");
	}, [feed]);
	useEffect(() => {
		if (connection !== "open") return;
		const controller = new AbortController();
		void bridge.request("openReplay", { sessionId }, controller.signal).then((outcome) => {
			if (!controller.signal.aborted) setFault(outcome.ok ? null : outcome.error);
		});
		return () => controller.abort();
	}, [bridge, connection, sessionId]);

	return { replay: replay?.session.id === sessionId ? replay : null, fault };
}
