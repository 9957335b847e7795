/**
 * One colour per region, the same for its outline and its trend line. Hues keep apart with every common kind of colour
 * vision (after Okabe & Ito, "Color universal design", 2008); each is tuned for what it stands on, at a contrast of at
 * least 3:1 (WCAG 2.2, criterion 1.4.11). A line's dash is a second carrier, and names are always written beside.
 */
export interface RegionInk {
	readonly onLight: string;
	readonly onDark: string;
	/** CSS px on, off, …; empty for a solid line. */
	readonly dash: readonly number[];
}

export const regionInks: readonly RegionInk[] = [
	{ onLight: "#0a5fb8", onDark: "#4d9ff0", dash: [] },
	{ onLight: "#c2410c", onDark: "#f58a4b", dash: [] },
	{ onLight: "#2f9e5b", onDark: "#52d98c", dash: [] },
	{ onLight: "#8e2f8a", onDark: "#e07ad0", dash: [9, 4] },
	{ onLight: "#8a6a00", onDark: "#e8cf5a", dash: [9, 4] },
	{ onLight: "#3f4a54", onDark: "#c3cdd4", dash: [3, 3] },
	{ onLight: "#2b8fb3", onDark: "#8fd6ef", dash: [3, 3] },
	{ onLight: "#6a4fbf", onDark: "#b3a1f2", dash: [9, 3, 2, 3] },
];

/** @throws RangeError on a negative index; more regions than inks share them in turn. */
export function regionInk(trendIndex: number): RegionInk {
	const ink = regionInks[trendIndex % regionInks.length];
	if (ink === undefined) throw new RangeError("region colour: no such trend");
	return ink;
}
