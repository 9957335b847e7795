/** What the coach's gauge shows: how full it is and where to aim, as shares of its height from the bottom; pure. */
import type { CoachView } from "../../core/exercise/coach-view.ts";

export interface GaugeShape {
	/** 0 at rest to 1 at the top; null where nothing is measured. */
	readonly level: number | null;
	/** Where to aim; null without a reference. */
	readonly target: { readonly low: number; readonly high: number } | null;
	/** Null while nothing is to be reached: at rest, in a pause, on letting go. */
	readonly place: "below" | "within" | "above" | null;
}

/** Percent of the reference at the top: room above the target, so that too much can be seen. */
export function topPercent(high: number): number {
	return Math.max(120, 1.3 * high);
}

/** @param rawTop the change at the top where there is no reference, from `rawTopAfter` */
export function gaugeOf(
	{ live, target, cue }: Pick<CoachView, "live" | "target" | "cue">,
	rawTop: number,
): GaugeShape {
	switch (live.kind) {
		case "none":
			return { level: null, target: null, place: null };
		case "raw":
			// either sign can go with effort
			return { level: share(Math.abs(live.change), rawTop), target: null, place: null };
		case "percent": {
			const top = topPercent(target.high);
			return {
				level: share(live.percent, top),
				target: { low: target.low / top, high: target.high / top },
				place: cue === "work" || cue === "hold" ? live.place : null,
			};
		}
	}
}

/** Without a reference the gauge grows with the largest change seen: its top is never crossed, and never falls. */
export function rawTopAfter(before: number, live: CoachView["live"]): number {
	return live.kind === "raw" ? Math.max(before, 1.2 * Math.abs(live.change)) : before;
}

function share(value: number, top: number): number {
	return top > 0 && Number.isFinite(value) ? Math.min(1, Math.max(0, value / top)) : 0;
}
