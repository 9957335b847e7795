import type { RefObject } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";

/** Takes the focus when it is shown, so that a whole sitting goes by keyboard without searching. */
export function useFirstFocus<E extends HTMLElement>(): RefObject<E | null> {
	const element = useRef<E>(null);
	useLayoutEffect(() => element.current?.focus(), []);
	return element;
}
