import { type CounterLearning, type CounterOptions, countingRule, KEPT_PEAKS } from "./counting-rule.ts";
import type { Repetition } from "./repetition.ts";

/**
 * The repetitions that a counter has found, and what they teach about how high a full one is. Allocates only when one
 * is added.
 */
export class RepetitionLog {
	/** Magnitude of the reference's change; NaN without one. */
	readonly reference: number;
	readonly #targetLow: number;
	readonly #earlierPeaks: readonly number[];
	readonly #found: Repetition[] = [];
	#full = 0;
	#unended = 0;
	#typicalPeak = Number.NaN;

	constructor({ referenceChange, target, learned }: CounterOptions) {
		this.reference = referenceChange === null ? Number.NaN : Math.abs(referenceChange);
		// nobody who works within the target may be told that it was only partial
		this.#targetLow = target === null ? Number.POSITIVE_INFINITY : target.low / 100;
		this.#earlierPeaks = learned?.peaks ?? [];
		this.#learnPeak();
	}

	/** What peaks are judged by: the reference, else the session's typical peak, else 0. */
	get scale(): number {
		if (!Number.isNaN(this.reference)) return this.reference;
		return Number.isNaN(this.#typicalPeak) ? 0 : this.#typicalPeak;
	}

	/** The counts are asked for with every frame, so they are kept and not made anew from the repetitions. */
	get fullCount(): number {
		return this.#full;
	}

	get partialCount(): number {
		return this.#found.length - this.#full - this.#unended;
	}

	get unendedCount(): number {
		return this.#unended;
	}

	/** @returns its place */
	add(repetition: Repetition): number {
		this.#found.push(repetition);
		this.#learnPeak();
		const bar = this.#fullBar();
		this.#full = 0;
		this.#unended = 0;
		for (const { kind, peak } of this.#found) {
			if (kind === "unended") this.#unended++;
			else if (peak >= bar) this.#full++;
		}
		return this.#found.length - 1;
	}

	at(place: number): Repetition {
		return this.#found[place]!;
	}

	/** The same repetition, measured better; its peak stays. */
	replace(place: number, repetition: Repetition): void {
		this.#found[place] = repetition;
	}

	/** Which are partial is judged anew each time: without a reference the bar is a share of the session's typical peak,
	 *  which the first repetitions do not know yet. */
	repetitions(): Repetition[] {
		const bar = this.#fullBar();
		return this.#found.map((repetition) =>
			repetition.kind === "unended"
				? repetition
				: { ...repetition, kind: repetition.peak >= bar ? "full" : "partial" },
		);
	}

	peaks(): CounterLearning["peaks"] {
		const own = this.#found.filter(({ kind }) => kind !== "unended").map(({ peak }) => peak);
		return [...this.#earlierPeaks, ...own].slice(-KEPT_PEAKS);
	}

	#fullBar(): number {
		const bar = countingRule.fullShare * this.scale;
		return Number.isNaN(this.reference) ? bar : Math.min(bar, this.#targetLow * this.reference);
	}

	/** Ninth decile: the typical peak of full repetitions even where most are partial. */
	#learnPeak(): void {
		const peaks = this.peaks().toSorted((a, b) => a - b);
		if (peaks.length > 0) this.#typicalPeak = peaks[Math.round(0.9 * (peaks.length - 1))]!;
	}
}
