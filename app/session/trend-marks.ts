/** Gathers what is to be known about live lines of region means. */
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { TrendMarks } from "../contract.ts";

export interface TrendMarking {
	readonly marks: TrendMarks;
	/** Marks lines from when on they were wrong, or made without some readings.
	 *  @param seconds of the first frame that was pictured so, as in the lines */
	leaveOut(seconds: number, leftOut: LeftOut): void;
	takeRest(seconds: number): void;
	followRest(seconds: number): void;
}

/** More could not be told apart in a plot. */
const MOST = 200;

export const noMarks: TrendMarks = { leftOut: [], rests: [], followed: [] };

export function createTrendMarking(): TrendMarking {
	let marks: TrendMarks = noMarks;
	return {
		get marks() {
			return marks;
		},
		leaveOut(seconds, { electrodes, kept, wrongSeconds, isTrustworthy }) {
			const spans = [...marks.leftOut];
			const last = spans.at(-1);
			const from = Math.max(0, last?.to ?? last?.from ?? 0, seconds - wrongSeconds);
			const numbers = electrodes.map(({ electrode }) => electrode + 1);
			if (last?.to === null) {
				const isSame =
					last.electrodes.join() === numbers.join() && last.isTrustworthy === isTrustworthy && kept !== null;
				// only other readings are at their limit
				if (isSame) return;
				spans[spans.length - 1] = { ...last, to: from };
			}
			if (kept !== null)
				spans.push({
					from,
					rightFrom: Math.max(from, seconds),
					to: null,
					electrodes: numbers,
					isTrustworthy,
				});
			marks = { ...marks, leftOut: spans.slice(-MOST) };
		},
		takeRest(seconds) {
			marks = { ...marks, rests: [...marks.rests, seconds].slice(-MOST) };
		},
		followRest(seconds) {
			marks = { ...marks, followed: [...marks.followed, seconds].slice(-MOST) };
		},
	};
}
