import type { Repetition } from "./repetition.ts";
import type { SampleRing } from "./sample-ring.ts";

/** A peak is the largest mean over this time, so that neither noise nor tremor makes it. s */
export const PEAK_SECONDS = 0.25;
const NEAR_PEAK = 0.9;
/** Hold time is time above half of the peak (common practice, no source). */
const HOLD_SHARE = 0.5;

export type RepetitionBounds = Pick<Repetition, "onset" | "offset" | "restLevel" | "peak">;
export type RepetitionMeasures = Pick<
	Repetition,
	"mean" | "timeToPeak" | "holdTime" | "timeInTarget" | "longestGap"
>;

/** Measures one repetition from its samples, in one pass from onset to offset. Times between samples are weighed by
 *  the trapezoid rule, so that uneven frames do not tilt a mean. @param target as changes from rest; NaN for none */
export function measureRepetition(
	ring: SampleRing,
	{ onset, offset, restLevel, peak }: RepetitionBounds,
	side: 1 | -1,
	{ low, high }: { readonly low: number; readonly high: number },
): RepetitionMeasures {
	let area = 0;
	let hold = 0;
	let inTarget = 0;
	let longestGap = 0;
	let timeToPeak = Number.NaN;
	const first = ring.firstAtOrAfter(onset);
	for (let i = first; i < ring.end && ring.timeAt(i) <= offset; i++) {
		const time = ring.timeAt(i);
		const change = side * (ring.valueAt(i) - restLevel);
		const smooth = side * (ring.meanUpTo(i, PEAK_SECONDS) - restLevel);
		if (Number.isNaN(timeToPeak) && smooth >= NEAR_PEAK * peak) timeToPeak = time - onset;
		if (i === first) continue;
		const dt = time - ring.timeAt(i - 1);
		const before = side * (ring.valueAt(i - 1) - restLevel);
		longestGap = Math.max(longestGap, dt);
		area += (dt * (change + before)) / 2;
		hold += dt * shareAbove(before, change, HOLD_SHARE * peak);
		inTarget += dt * (shareAbove(before, change, low) - shareAbove(before, change, high));
	}
	const lasted = offset - onset;
	return {
		mean: lasted > 0 ? area / lasted : peak,
		timeToPeak: Number.isNaN(timeToPeak) ? lasted : timeToPeak,
		holdTime: hold,
		timeInTarget: Number.isNaN(low) ? null : inTarget,
		longestGap,
	};
}

/** Of a straight line from a to b, the share that lies above `bar`. */
function shareAbove(a: number, b: number, bar: number): number {
	if (a >= bar && b >= bar) return 1;
	if (a < bar && b < bar) return 0;
	return (Math.max(a, b) - bar) / Math.abs(b - a);
}
