import { useEffect, useRef, useState } from "preact/hooks";
import type { Replies, RequestArgument, RequestName } from "../../app/contract.ts";
import type { Outcome, RequestFault } from "../bridge.ts";
import { useModel, useSubscription } from "./model-context.ts";

export interface Action<K extends RequestName> {
	readonly isBusy: boolean;
	/** Of the last run; null while it runs or when it went well. */
	readonly fault: RequestFault | null;
	run(argument: RequestArgument<K>): Promise<Outcome<K>>;
	cancel(): void;
	clearFault(): void;
}

/** A request that a person starts: knows whether it is under way and how it failed; leaving the screen aborts it. */
export function useAction<K extends RequestName>(name: K): Action<K> {
	const { bridge } = useModel();
	const [isBusy, setBusy] = useState(false);
	const [fault, setFault] = useState<RequestFault | null>(null);
	const controller = useRef<AbortController | null>(null);
	useEffect(() => () => controller.current?.abort(), []);
	return {
		isBusy,
		fault,
		async run(argument) {
			controller.current?.abort();
			const own = new AbortController();
			controller.current = own;
			setBusy(true);
			setFault(null);
			const outcome = await bridge.request(name, argument, own.signal);
			if (controller.current === own) {
				controller.current = null;
				setBusy(false);
				setFault(outcome.ok || outcome.error.kind === "cancelled" ? null : outcome.error);
			}
			return outcome;
		},
		cancel: () => controller.current?.abort(),
		clearFault: () => setFault(null),
	};
}

export type Loaded<T> =
	| { readonly state: "loading" }
	| { readonly state: "ready"; readonly value: T }
	| { readonly state: "failed"; readonly fault: RequestFault };

/** What a screen shows from the start: asked for again when `key` changes or the connection is back; the old answer
 *  stays until the new one. */
export function useLoaded<K extends RequestName>(
	name: K,
	argument: RequestArgument<K>,
	key: string,
): Loaded<Replies[K]> {
	const model = useModel();
	useSubscription(model.onChange);
	const { bridge, connection } = model;
	const [loaded, setLoaded] = useState<Loaded<Replies[K]>>({ state: "loading" });
	// The key stands for the argument.
	useEffect(() => {
		if (connection !== "open") return;
		const controller = new AbortController();
		void bridge.request(name, argument, controller.signal).then((outcome) => {
			if (controller.signal.aborted) return;
			if (outcome.ok) setLoaded({ state: "ready", value: outcome.value });
			else setLoaded({ state: "failed", fault: outcome.error });
		});
		return () => controller.abort();
	}, [key, connection]);
	return loaded;
}
