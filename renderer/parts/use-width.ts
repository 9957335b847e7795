import { useLayoutEffect, useRef, useState } from "preact/hooks";
import { watchSize } from "../draw/picture-view.ts";

/** The width of an element, known before it is first painted. CSS px. */
export function useWidth<T extends HTMLElement>(): readonly [{ current: T | null }, number] {
	const element = useRef<T>(null);
	const [width, setWidth] = useState(0);
	useLayoutEffect(() => {
		const host = element.current!;
		const measure = (): void => setWidth(host.clientWidth);
		measure();
		return watchSize(host, measure);
	}, []);
	return [element, width];
}
