import { fitOnset } from "./onset-fit.ts";
import type { SampleRing } from "./sample-ring.ts";

/** A rise or fall between rest and a peak. */
export interface Edge {
	/** Index of a sample on it, at or near its foot. */
	readonly foot: number;
	readonly level: number;
	/** Standard deviation of one sample. */
	readonly noise: number;
	readonly side: 1 | -1;
	/** Change at the peak, above zero. */
	readonly peak: number;
}

const CAPACITY = 1024;
/** The edge's upper end: most of the peak. */
const TOP_SHARE = 0.8;
/** The lower part is fitted: as much as stands clear of the noise, but no more than simple shapes describe. */
const CLEAR_DEVIATIONS = 20;
const LEAST_SHARE = 0.1;

/** How an edge of one kind is fitted. */
interface EdgeFit {
	/** Share of the peak that is fitted at most. */
	readonly mostShare: number;
	/** How far out the foot is looked for, relative to a rise of least jerk (T. Flash & N. Hogan, J. Neurosci. 5:1688, 1985)
	 *  that is as steep. */
	readonly reach: number;
	readonly mostSeconds: number;
	readonly powers: readonly number[];
}

/** Muscles begin more abruptly than they let go, and what lets go decays. */
const rising: EdgeFit = { mostShare: 0.3, reach: 0.8, mostSeconds: 2.5, powers: [1, 1.5, 2] };
const falling: EdgeFit = { mostShare: 0.35, reach: 3, mostSeconds: 8, powers: [1, 2, 3] };

const MARGIN = 0.1;
/** Rest that is fitted along beyond that, s. */
const REST_ALONG = 0.7;

/**
 * Finds the moment at which a rise began or a fall ended. How far from the visible part of the edge it is looked for
 * follows from how steep that part is. Scratch is made once.
 */
export class EdgeFinder {
	readonly #times = new Float64Array(CAPACITY);
	readonly #values = new Float64Array(CAPACITY);

	/** @param oldest index before which nothing belongs to this rise. @returns s; NaN if no rise fits */
	rise(ring: SampleRing, edge: Edge, oldest: number): number {
		const bar = TOP_SHARE * edge.peak;
		let top = edge.foot;
		while (top < ring.end - 1 && edge.side * (ring.valueAt(top) - edge.level) < bar) top++;
		return this.#foot(ring, edge, top, -1, Math.max(ring.begin, oldest));
	}

	/** @param newest index after which nothing belongs to this fall. @returns s; NaN if no fall fits */
	fall(ring: SampleRing, edge: Edge, newest: number): number {
		const bar = TOP_SHARE * edge.peak;
		let top = edge.foot;
		while (top > ring.begin && edge.side * (ring.valueAt(top) - edge.level) < bar) top--;
		// a fall is a rise of a film run backwards
		return -this.#foot(ring, edge, top, 1, newest);
	}

	/** @param way −1 towards earlier samples, +1 towards later ones. @returns time times −way */
	#foot(
		ring: SampleRing,
		{ level, noise, side, peak }: Edge,
		top: number,
		way: 1 | -1,
		last: number,
	): number {
		const fit = way < 0 ? rising : falling;
		const enough = Math.min(fit.mostShare * peak, Math.max(LEAST_SHARE * peak, CLEAR_DEVIATIONS * noise));
		let start = top;
		while (start !== last && side * (ring.valueAt(start + way) - level) > enough) start += way;
		if (start === last) return Number.NaN;
		const startTime = -way * ring.timeAt(start);
		const spacing = startTime + way * ring.timeAt(start + way);
		const steepness = -way * ring.timeAt(top) - startTime;
		// where 10s³ − 15s⁴ + 6s⁵ passes a share f of its height, 0.1 ≤ f ≤ 0.6, s is near 0.22 + 0.57 f; at 0.8 it is 0.68
		const s = 0.22 + (0.57 * enough) / peak;
		const reach = Math.min(fit.mostSeconds, (fit.reach * steepness * s) / (0.68 - s) + spacing + MARGIN);
		const until = startTime - reach - REST_ALONG;
		let count = 0;
		for (let i = start; count < CAPACITY; i += way) {
			const time = -way * ring.timeAt(i);
			if (time < until) break;
			this.#times[count] = time;
			this.#values[count++] = side * (ring.valueAt(i) - level);
			if (i === last) break;
		}
		const earliest = Math.max(startTime - reach, this.#times[count - 1]!);
		return fitOnset(this.#times, this.#values, count, 0, noise, earliest, startTime, fit.powers);
	}
}
