/** What a person chose for this page; kept in the browser, never with the records. */
import type { ScaleName } from "./draw/colour-ramp.ts";

export type ThemeChoice = "system" | "light" | "dark";
export type TrendWindow = 10 | 60 | "all";

export interface Preferences {
	readonly theme: ThemeChoice;
	readonly scale: ScaleName;
	/** Seen from the hip instead of from the foot. */
	readonly mirrored: boolean;
	readonly trendWindow: TrendWindow;
	readonly largeView: boolean;
	/** Whether the coach sounds. */
	readonly tones: boolean;
}

const KEY = "tautline-preferences";

const initial: Preferences = {
	theme: "system",
	scale: "change",
	mirrored: false,
	trendWindow: 60,
	largeView: false,
	tones: false,
};

export interface PreferenceStore {
	readonly value: Preferences;
	change(part: Partial<Preferences>): void;
	onChange(listener: () => void): () => void;
}

export function createPreferences(storage: Pick<Storage, "getItem" | "setItem">): PreferenceStore {
	const listeners = new Set<() => void>();
	let value = readPreferences(storage.getItem(KEY));
	return {
		get value() {
			return value;
		},
		change(part) {
			value = { ...value, ...part };
			storage.setItem(KEY, JSON.stringify(value));
			for (const listener of listeners) listener();
		},
		onChange(listener) {
			listeners.add(listener);
			return () => listeners.delete(listener);
		},
	};
}

/** What is missing, from another version or edited by hand falls back to its initial value, one by one. */
export function readPreferences(text: string | null): Preferences {
	const stored = parseObject(text);
	const oneOf = <T>(name: keyof Preferences, choices: readonly T[], fallback: T): T =>
		choices.find((choice) => choice === stored[name]) ?? fallback;
	return {
		theme: oneOf<ThemeChoice>("theme", ["system", "light", "dark"], initial.theme),
		scale: oneOf<ScaleName>("scale", ["change", "size"], initial.scale),
		mirrored: oneOf("mirrored", [true, false], initial.mirrored),
		trendWindow: oneOf<TrendWindow>("trendWindow", [10, 60, "all"], initial.trendWindow),
		largeView: oneOf("largeView", [true, false], initial.largeView),
		tones: oneOf("tones", [true, false], initial.tones),
	};
}

function parseObject(text: string | null): Partial<Record<keyof Preferences, unknown>> {
	if (text === null) return {};
	try {
		const parsed: unknown = JSON.parse(text);
		return typeof parsed === "object" && parsed !== null ? parsed : {};
	} catch (error) {
		if (error instanceof SyntaxError) return {};
		throw error;
	}
}
