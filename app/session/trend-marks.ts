/** Gathers what is to be known about live lines of region means. */
import type { LeftOut } from "../../core/signal/left-out.ts";
import type { TrendMarks } from "../contract.ts";

export interface TrendMarking {
	readonly marks: TrendMarks;
	/** @param seconds as in the lines */
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
		leaveOut(seconds, { electrodes, kept, isTrustworthy }) {
			const spans = [...marks.leftOut];
			const last = spans.at(-1);
			const numbers = electrodes.map(({ electrode }) => electrode + 1);
			if (last?.to === null) {
				const isSame =
					last.electrodes.join() === numbers.join() && last.isTrustworthy === isTrustworthy && kept !== null;
				// only other readings are at their limit
				if (isSame) return;
				spans[spans.length - 1] = { ...last, to: seconds };
			}
			if (kept !== null) spans.push({ from: seconds, to: null, electrodes: numbers, isTrustworthy });
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
