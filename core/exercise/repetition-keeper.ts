import type { CounterOptions } from "./counting-rule.ts";
import { type Edge, EdgeFinder } from "./edge-finder.ts";
import type { Repetition } from "./repetition.ts";
import { RepetitionLog } from "./repetition-log.ts";
import { measureRepetition, type RepetitionBounds, type RepetitionMeasures } from "./repetition-measures.ts";
import type { SampleRing } from "./sample-ring.ts";

/** How long a fall is watched after it has gone below the threshold, before its end is settled, s. */
const FALL_SECONDS = 5;

/**
 * Writes down what a counter has found: where a repetition began and ended by the shape of its rise and fall, which come
 * later than the thresholds' word for it, and what it measured. Allocates only when one is kept or settled.
 */
export class RepetitionKeeper {
	readonly log: RepetitionLog;
	readonly #ring: SampleRing;
	readonly #target: CounterOptions["target"];
	readonly #edges = new EdgeFinder();
	/** A repetition that has ended, while its fall is still being watched. */
	#fall: { readonly edge: Edge; readonly place: number } | null = null;

	constructor(options: CounterOptions, ring: SampleRing) {
		this.log = new RepetitionLog(options);
		this.#ring = ring;
		this.#target = options.target;
	}

	/** Where a rise began, s; NaN where its shape does not say. @param earliest index of the first sample it may be at */
	onsetOf(rise: Edge, earliest: number): number {
		return this.#edges.rise(this.#ring, rise, earliest);
	}

	/** @returns its place in the log */
	keep(kind: Repetition["kind"], bounds: RepetitionBounds, side: 1 | -1): number {
		return this.log.add({ kind, ...bounds, ...this.#measure(bounds, side) });
	}

	/** The end of a repetition that was kept is to be settled once its fall has been seen. */
	watchFall(edge: Edge, place: number): void {
		this.#fall = { edge, place };
	}

	/** Settles a fall that has been watched for long enough by now. */
	settleOld(time: number): void {
		if (this.#fall === null || !(time - this.#ring.timeAt(this.#fall.edge.foot) > FALL_SECONDS)) return;
		this.settle(this.#ring.end - 1);
	}

	/** Replaces the threshold's word for where the latest repetition ended by that of the whole fall.
	 *  @param newest index of the last sample that belongs to it */
	settle(newest: number): void {
		if (this.#fall === null) return;
		const { edge, place } = this.#fall;
		this.#fall = null;
		const offset = this.#edges.fall(this.#ring, edge, newest);
		const repetition = this.log.at(place);
		if (Number.isNaN(offset) || offset <= repetition.onset) return;
		const settled = { ...repetition, offset };
		this.log.replace(place, { ...settled, ...this.#measure(settled, edge.side) });
	}

	#measure({ onset, offset, restLevel, peak }: RepetitionBounds, side: 1 | -1): RepetitionMeasures {
		const { reference } = this.log;
		const target = this.#target;
		// without a reference both are NaN, which says that there is no range
		return measureRepetition(this.#ring, { onset, offset, restLevel, peak }, side, {
			low: target === null ? Number.NaN : (target.low / 100) * reference,
			high: target === null ? Number.NaN : (target.high / 100) * reference,
		});
	}
}
