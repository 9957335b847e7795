/** A computation that takes seconds and follows what is typed: asked for once that has paused, given up when outdated. */
import { useEffect, useState } from "preact/hooks";
import type { Replies, RequestArgument } from "../../app/contract.ts";
import type { RequestFault } from "../bridge.ts";
import { useModel, useSubscription } from "./model-context.ts";

type StudyName = "studyBand" | "studyFat";

export interface Studied<T> {
	/** The newest answer, which may be of what was typed before; null before the first. */
	readonly value: T | null;
	/** Whether another is on its way. */
	readonly isBusy: boolean;
	readonly fault: RequestFault | null;
}

/** ms without a change. */
const PAUSE = 500;

/** @param argument null: nothing can be asked for now
 *  @param key what the answer depends on besides the argument */
export function useStudy<K extends StudyName>(
	name: K,
	argument: RequestArgument<K> | null,
	key: string,
): Studied<Replies[K]> {
	const model = useModel();
	useSubscription(model.onChange);
	const { bridge, connection } = model;
	const [studied, setStudied] = useState<Studied<Replies[K]>>({ value: null, isBusy: false, fault: null });
	const asked = JSON.stringify(argument);
	useEffect(() => {
		if (connection !== "open" || argument === null) return;
		const controller = new AbortController();
		// From now on what is shown is of something else.
		setStudied(({ value }) => ({ value, isBusy: true, fault: null }));
		const timer = setTimeout(() => {
			void bridge.request(name, argument, controller.signal).then((outcome) => {
				if (controller.signal.aborted) return;
				if (outcome.ok) setStudied({ value: outcome.value, isBusy: false, fault: null });
				else setStudied({ value: null, isBusy: false, fault: outcome.error });
			});
		}, PAUSE);
		return () => {
			clearTimeout(timer);
			controller.abort();
		};
	}, [asked, key, connection]);
	return studied;
}

/** Whether the element has been on the screen: what takes long need not be done for somebody who never scrolls to it. */
export function useSeen(element: { readonly current: Element | null }): boolean {
	const [isSeen, setSeen] = useState(false);
	useEffect(() => {
		if (isSeen || element.current === null) return;
		const observer = new IntersectionObserver((entries) => {
			if (entries.some((entry) => entry.isIntersecting)) setSeen(true);
		});
		observer.observe(element.current);
		return () => observer.disconnect();
	}, [isSeen, element]);
	return isSeen;
}
