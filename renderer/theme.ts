/** Light or dark: the system's wish unless the person chose. Canvases read their colours from the same custom
 *  properties as the style sheet (registered as colours there, so that they come resolved). */
import type { PreferenceStore } from "./preferences.ts";

export interface CanvasColours {
	readonly isDark: boolean;
	readonly ink: string;
	readonly inkSoft: string;
	readonly hairline: string;
	readonly surface: string;
	readonly caution: string;
	readonly accent: string;
}

/** The light theme's colours, for what goes on paper whatever the theme; the style sheet says the same. */
export const paperColours: CanvasColours = {
	isDark: false,
	ink: "#17242b",
	inkSoft: "#4d5d66",
	hairline: "#d7dfe2",
	surface: "#ffffff",
	caution: "#8a4b00",
	accent: "#0b5f69",
};

export interface Theme {
	readonly isDark: boolean;
	/** A new object at each change. */
	readonly colours: CanvasColours;
	onChange(listener: () => void): () => void;
}

export function createTheme(preferences: PreferenceStore): Theme {
	const listeners = new Set<() => void>();
	const system = matchMedia("(prefers-color-scheme: dark)");
	let choice = preferences.value.theme;
	let isDark = false;
	let colours: CanvasColours;

	function apply(): void {
		isDark = choice === "dark" || (choice === "system" && system.matches);
		document.documentElement.dataset.theme = isDark ? "dark" : "light";
		colours = readColours(isDark);
		for (const listener of listeners) listener();
	}

	system.addEventListener("change", apply);
	preferences.onChange(() => {
		if (preferences.value.theme === choice) return;
		choice = preferences.value.theme;
		apply();
	});
	apply();

	return {
		get isDark() {
			return isDark;
		},
		get colours() {
			return colours;
		},
		onChange(listener) {
			listeners.add(listener);
			return () => listeners.delete(listener);
		},
	};
}

function readColours(isDark: boolean): CanvasColours {
	const style = getComputedStyle(document.documentElement);
	const read = (name: string): string => style.getPropertyValue(name).trim();
	return {
		isDark,
		ink: read("--ink"),
		inkSoft: read("--ink-soft"),
		hairline: read("--hairline"),
		surface: read("--surface"),
		caution: read("--caution"),
		accent: read("--accent"),
	};
}
