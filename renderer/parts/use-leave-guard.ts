import { useEffect, useRef, useState } from "preact/hooks";
import { leaveEvent } from "../route.ts";

export interface LeaveGuard {
	/** Where somebody wants to go although something is not saved; null when nobody does. */
	readonly wanted: string | null;
	/** Goes there after all. */
	leave(): void;
	stay(): void;
}

/** While `isUnsaved`, links and the browser's Back are held up for a question, and closing the page asks the browser's own. */
export function useLeaveGuard(isUnsaved: boolean): LeaveGuard {
	const [wanted, setWanted] = useState<string | null>(null);
	const release = useRef<() => void>(() => {});
	useEffect(() => {
		if (!isUnsaved) return;
		const here = location.hash;
		const onLeave = (event: Event): void => {
			if (location.hash === here) return;
			event.preventDefault();
			const there = location.hash;
			history.replaceState(null, "", here);
			setWanted(there);
		};
		const onUnload = (event: BeforeUnloadEvent): void => event.preventDefault();
		window.addEventListener(leaveEvent, onLeave);
		window.addEventListener("beforeunload", onUnload);
		release.current = () => {
			window.removeEventListener(leaveEvent, onLeave);
			window.removeEventListener("beforeunload", onUnload);
		};
		return () => release.current();
	}, [isUnsaved]);
	return {
		wanted,
		leave() {
			release.current();
			if (wanted !== null) location.hash = wanted;
		},
		stay: () => setWanted(null),
	};
}
