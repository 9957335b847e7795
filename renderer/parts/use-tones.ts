import { useEffect, useRef } from "preact/hooks";
import type { CoachView } from "../../core/exercise/coach-view.ts";
import { createTonePlayer } from "../coach-tones.ts";
import { usePreferences } from "./model-context.ts";

/** What a browser takes for a press that may begin sound. */
const presses = ["pointerup", "keydown"] as const;

/** Sounds each tone of the coach once, if tones are wanted. @returns whether they are, and how to change it */
export function useTones(tone: CoachView["tone"]): [isOn: boolean, toggle: () => void] {
	const [{ tones: isOn }, setPreferences] = usePreferences();
	const player = useRef(createTonePlayer(() => new AudioContext()));
	// what was sounded before this page looked is over
	const sounded = useRef(tone?.number ?? 0);
	useEffect(() => () => player.current.dispose(), []);
	// A page that was reloaded in the middle of an exercise sounds from the next press on.
	useEffect(() => {
		if (!isOn) return;
		const wake = (): void => player.current.wake();
		if (navigator.userActivation.hasBeenActive) wake();
		for (const press of presses) window.addEventListener(press, wake);
		return () => {
			for (const press of presses) window.removeEventListener(press, wake);
		};
	}, [isOn]);
	useEffect(() => {
		if (tone === null || tone.number === sounded.current) return;
		sounded.current = tone.number;
		if (isOn) player.current.play(tone.kind);
	}, [tone?.number, isOn]);
	return [isOn, () => setPreferences({ tones: !isOn })];
}
