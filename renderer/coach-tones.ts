/** Tones without speech: short, soft, and told apart by height and number. */
import type { Tone } from "../core/exercise/coach-view.ts";

interface Note {
	/** Hz */
	readonly pitch: number;
	/** s from the tone's start. */
	readonly at: number;
	/** s */
	readonly length: number;
}

const note = (pitch: number, at = 0, length = 0.14): Note => ({ pitch, at, length });

export const tones: Readonly<Record<Tone, readonly Note[]>> = {
	countdown: [note(440, 0, 0.09)],
	start: [note(660, 0, 0.3)],
	repetition: [note(784)],
	"let-go": [note(523), note(392, 0.15, 0.25)],
	"set-done": [note(523), note(659, 0.16, 0.25)],
	"all-done": [note(523), note(659, 0.16), note(784, 0.32, 0.35)],
};

export interface TonePlayer {
	/** To be called while a press is handled, or after one: browsers let sound begin only then. */
	wake(): void;
	/** Silent until sound has begun: tones that a browser holds back would all sound at once later. */
	play(tone: Tone): void;
	dispose(): void;
}

/** Loud enough to be heard at three metres without startling (our own choice). */
const LOUDNESS = 0.2;
const FADE_SECONDS = 0.02;

export function createTonePlayer(makeContext: () => AudioContext): TonePlayer {
	let context: AudioContext | null = null;

	return {
		wake() {
			context ??= makeContext();
			if (context.state === "suspended") void context.resume();
		},
		play(tone) {
			if (context?.state !== "running") return;
			const audio = context;
			for (const { pitch, at, length } of tones[tone]) {
				const begin = audio.currentTime + at;
				const oscillator = audio.createOscillator();
				const gain = audio.createGain();
				oscillator.frequency.value = pitch;
				// a hard edge would click
				gain.gain.setValueAtTime(0, begin);
				gain.gain.linearRampToValueAtTime(LOUDNESS, begin + FADE_SECONDS);
				gain.gain.setValueAtTime(LOUDNESS, begin + length - FADE_SECONDS);
				gain.gain.linearRampToValueAtTime(0, begin + length);
				oscillator.connect(gain).connect(audio.destination);
				oscillator.start(begin);
				oscillator.stop(begin + length);
			}
		},
		dispose() {
			void context?.close();
			context = null;
		},
	};
}
