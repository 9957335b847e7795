import { useEffect, useState } from "preact/hooks";
import type { Replies, SessionSummary } from "../../app/contract.ts";
import type { Bridge, RequestFault } from "../bridge.ts";
import { useModel, useSubscription } from "./model-context.ts";
import type { Loaded } from "./use-request.ts";

type SessionPage = Replies["listSessions"];

/** Most that the app hands out at once. */
const LARGEST_PAGE = 200;

/** One page of recordings; with a search text, one page of those whose title, notes or person match. */
export function useSessionList(
	personId: number | null,
	search: string,
	offset: number,
	limit: number,
): Loaded<SessionPage> {
	const model = useModel();
	useSubscription(model.onChange);
	const { bridge, connection, state } = model;
	const [loaded, setLoaded] = useState<Loaded<SessionPage>>({ state: "loading" });
	const wanted = search.trim().toLowerCase();
	const recordingId = state?.recording?.sessionId ?? null;
	// A recording that begins or ends changes the list.
	useEffect(() => {
		if (connection !== "open") return;
		const controller = new AbortController();
		const load =
			wanted === ""
				? bridge.request("listSessions", { personId, offset, limit }, controller.signal)
				: findSessions(bridge, personId, wanted, offset, limit, controller.signal);
		void load.then((outcome) => {
			if (controller.signal.aborted) return;
			setLoaded(
				outcome.ok ? { state: "ready", value: outcome.value } : { state: "failed", fault: outcome.error },
			);
		});
		return () => controller.abort();
	}, [bridge, connection, personId, wanted, offset, limit, recordingId]);
	return loaded;
}

type Found =
	| { readonly ok: true; readonly value: SessionPage }
	| { readonly ok: false; readonly error: RequestFault };

async function findSessions(
	bridge: Bridge,
	personId: number | null,
	wanted: string,
	offset: number,
	limit: number,
	signal: AbortSignal,
): Promise<Found> {
	const matches: SessionSummary[] = [];
	for (let from = 0; ; from += LARGEST_PAGE) {
		const reply = await bridge.request(
			"listSessions",
			{ personId, offset: from, limit: LARGEST_PAGE },
			signal,
		);
		if (!reply.ok) return reply;
		matches.push(...reply.value.sessions.filter((session) => matchesText(session, wanted)));
		if (from + LARGEST_PAGE >= reply.value.total) break;
	}
	return { ok: true, value: { total: matches.length, sessions: matches.slice(offset, offset + limit) } };
}

function matchesText(session: SessionSummary, wanted: string): boolean {
	return [session.title, session.notes, session.personCode ?? ""].some((text) =>
		text.toLowerCase().includes(wanted),
	);
}
