/** What the coach's gauge shows: how full it is and where to aim, as shares of its height from the bottom; pure. */
import type { CoachView } from "../../core/exercise/coach-view.ts";

export interface GaugeShape {
	/** 0 at rest to 1 at the top; null where nothing is measured. */
	readonly level: number | null;
	/** Where to aim; null without a reference. */
	readonly target: { readonly low: number; readonly high: number } | null;
	/** The most so far; null with a reference, and until there was work. */
	readonly most: number | null;
	/** What is told in words; null where there is nothing to tell. */
	readonly place: GaugePlace | null;
}

/** `aim`: work is about to begin. `working`, `resting`: all that can be told without a reference. */
export type GaugePlace = "aim" | "below" | "within" | "above" | "working" | "resting";

/** Without a reference there is no scale but the person's own. */
export interface OwnScale {
	/** Largest size of the change in this exercise, from `largestAfter`. */
	readonly largest: number;
	/** Standard deviation at rest, in the same unit; null where it is not known. */
	readonly noise: number | null;
}

/** Change above so many times the noise of rest counts as work here (our own choice). */
const WORK_NOISES = 5;
/** So many times the noise fill the gauge before there was work: rest stays low on it. */
const LEAST_TOP_NOISES = 30;
/** From this share of the target's lower end on an effort has begun here (our own choice). */
const BEGUN_SHARE = 0.4;
/** Room above the most so far, so that more can be seen. */
const ROOM = 1.25;

/** Percent of the reference at the top: room above the target, so that too much can be seen. */
export function topPercent(high: number): number {
	return Math.max(120, 1.3 * high);
}

/** @param hasReference whether percentages will come, before the first one has */
export function gaugeOf(
	{ live, target, cue, phase }: Pick<CoachView, "live" | "target" | "cue" | "phase">,
	hasReference: boolean,
	own: OwnScale,
): GaugeShape {
	const top = topPercent(target.high);
	const aim = { low: target.low / top, high: target.high / top };
	switch (live.kind) {
		case "none": {
			const isAhead = hasReference && phase === "get-ready";
			return {
				level: null,
				target: isAhead ? aim : null,
				most: null,
				place: isAhead ? "aim" : null,
			};
		}
		case "raw":
			return ownGauge(live.change, own);
		case "percent":
			return {
				level: share(live.percent, top),
				target: aim,
				most: null,
				place: placeOf(live, target, cue),
			};
	}
}

/** Nothing is said between efforts; who has not begun yet is shown where to aim, not told that it is too little. */
function placeOf(
	{ percent, place }: Extract<CoachView["live"], { kind: "percent" }>,
	target: CoachView["target"],
	cue: CoachView["cue"],
): GaugePlace | null {
	if (cue === "work" && percent < BEGUN_SHARE * target.low) return "aim";
	return cue === "work" || cue === "hold" ? place : null;
}

/** Either sign can go with effort, so its size is shown. */
function ownGauge(change: number, { largest, noise }: OwnScale): GaugeShape {
	if (noise === null || !(noise > 0)) return { level: null, target: null, most: null, place: null };
	const size = Math.abs(change);
	const top = ROOM * Math.max(largest, LEAST_TOP_NOISES * noise);
	const least = WORK_NOISES * noise;
	return {
		level: share(size, top),
		target: null,
		most: largest > least ? share(largest, top) : null,
		place: size > least ? "working" : "resting",
	};
}

/** Without a reference the gauge grows with the largest change seen: its top is never crossed, and never falls. */
export function largestAfter(before: number, live: CoachView["live"]): number {
	return live.kind === "raw" && Number.isFinite(live.change)
		? Math.max(before, Math.abs(live.change))
		: before;
}

function share(value: number, top: number): number {
	return top > 0 && Number.isFinite(value) ? Math.min(1, Math.max(0, value / top)) : 0;
}
