import {
	type CounterLearning,
	type CounterOptions,
	checkCounterOptions,
	countingRule,
	KEPT_PEAKS,
} from "./counting-rule.ts";
import { type Edge, EdgeFinder } from "./edge-finder.ts";
import type { Repetition } from "./repetition.ts";
import {
	measureRepetition,
	PEAK_SECONDS,
	type RepetitionBounds,
	type RepetitionMeasures,
} from "./repetition-measures.ts";
import { RestFollower } from "./rest-follower.ts";
import type { RestLevel } from "./rest-level.ts";
import { SampleRing } from "./sample-ring.ts";

const RING = 8192;
/** Samples before a repetition that are kept for finding its onset. */
const LEAD = 1024;
/** How long after the crossing enough of the rise has been seen, s. */
const LOOK_AHEAD = 3;
/** How long a fall is watched after it has gone below the threshold, before its end is settled, s. */
const FALL_SECONDS = 1.2;
/** A rise that sinks back for this long before it has lasted was none, s. */
const FALSE_START = 0.15;
/**
 * Counts repetitions and holds in one signal as its samples arrive: one number with its device time per call. A call
 * allocates nothing, except when a repetition ends. Plain state and no clock; the same samples give the same result.
 */
export class RepetitionCounter {
	readonly #options: CounterOptions;
	readonly #reference: number;
	readonly #ring = new SampleRing(RING);
	readonly #edges = new EdgeFinder();
	readonly #rest: RestFollower;
	readonly #found: Repetition[] = [];
	#full = 0;
	#unended = 0;
	readonly #earlierPeaks: readonly number[];
	#phase: "rest" | "rising" | "active" = "rest";
	#direction: 1 | -1 | 0;
	/** Of the change under way, where the session's is not known yet. */
	#side: 1 | -1 = 1;
	#typicalPeak = Number.NaN;
	#crossing = Number.NaN;
	#crossingIndex = 0;
	#belowSince = Number.NaN;
	#belowIndex = 0;
	#peak = 0;
	/** A repetition that has ended, while its fall is still being watched. */
	#fall: { readonly edge: Edge; readonly index: number } | null = null;
	/** NaN until the rise has been fitted. */
	#onset = Number.NaN;
	#lastEnd = 0;
	#time = Number.NEGATIVE_INFINITY;
	#previousTime = Number.NaN;
	#previous = Number.NaN;
	#beforePrevious = Number.NaN;
	#now = 0;
	/** Samples that were no number or did not come after the one before. */
	skipped = 0;

	constructor(options: CounterOptions) {
		checkCounterOptions(options);
		const { rest, referenceChange, learned } = options;
		this.#options = options;
		this.#reference = referenceChange === null ? Number.NaN : Math.abs(referenceChange);
		this.#direction = referenceChange === null ? (learned?.direction ?? 0) : referenceChange > 0 ? 1 : -1;
		this.#rest = new RestFollower(rest, learned?.noise ?? 0);
		this.#earlierPeaks = learned?.peaks ?? [];
		this.#learnPeak();
	}

	/** @param time device time, s, rising; @param value the target region, in the unit of `rest` */
	add(time: number, value: number): void {
		if (!(time > this.#time && Number.isFinite(value) && Number.isFinite(time))) {
			this.skipped++;
			return;
		}
		// the middle one of three keeps a single spike out, at the price of one sample's delay
		if (!Number.isNaN(this.#beforePrevious)) {
			this.#step(this.#previousTime, median(this.#beforePrevious, this.#previous, value));
		} else if (!Number.isNaN(this.#previous)) {
			this.#step(this.#previousTime, this.#previous);
		}
		this.#beforePrevious = this.#previous;
		this.#previous = value;
		this.#previousTime = time;
		this.#time = time;
	}

	/** The set is over: what is still under way ends with the last sample. Further samples begin anew. */
	finish(): void {
		if (!Number.isNaN(this.#previous)) this.#step(this.#previousTime, this.#previous);
		if (this.#phase === "active") {
			const atRest = !Number.isNaN(this.#belowSince);
			this.#end(atRest ? this.#belowIndex : this.#ring.end - 1, true);
		}
		this.#settleFall(this.#ring.end - 1);
		this.#phase = "rest";
		this.#previous = Number.NaN;
		this.#beforePrevious = Number.NaN;
	}

	/** Goes on after a pause, in which the person may have moved: what was under way has ended, and rest is anew. */
	takeRest(rest: RestLevel): void {
		this.finish();
		this.#rest.level = rest.level;
		this.#rest.restart(this.#time);
	}

	/** Whether a repetition is under way. */
	get isActive(): boolean {
		return this.#phase === "active";
	}

	/** Device time at which the one under way began, s; NaN at rest. First where the threshold was crossed, then where
	 *  the shape of the rise says. */
	get activeSince(): number {
		if (this.#phase !== "active") return Number.NaN;
		return Number.isNaN(this.#onset) ? this.#crossing : this.#onset;
	}

	/** Newest change from rest, towards the working direction, unit of the signal. */
	get change(): number {
		return this.#now;
	}

	/** Newest engagement in percent of the reference; NaN without one. */
	get percent(): number {
		return (100 * this.#now) / this.#reference;
	}

	/** Level at rest as followed up to now. */
	get restLevel(): number {
		return this.#rest.level;
	}

	/** The counts are asked for with every frame, so they are kept and not made anew from the repetitions. */
	get fullCount(): number {
		return this.#full;
	}

	get partialCount(): number {
		return this.#found.length - this.#full - this.#unended;
	}

	/** Changes that did not come back to rest. */
	get unendedCount(): number {
		return this.#unended;
	}

	/** All that has ended. Which are partial is judged anew each time: without a reference the bar is a share of the
	 *  session's typical peak, which the first repetitions do not know yet. */
	repetitions(): Repetition[] {
		const bar = this.#fullBar();
		return this.#found.map((repetition) =>
			repetition.kind === "unended"
				? repetition
				: { ...repetition, kind: repetition.peak >= bar ? "full" : "partial" },
		);
	}

	learning(): CounterLearning {
		return {
			direction: this.#direction === 0 ? null : this.#direction,
			peaks: [...this.#earlierPeaks, ...this.#peaks()].slice(-KEPT_PEAKS),
			noise: this.#rest.noise,
		};
	}

	#step(time: number, value: number): void {
		const ring = this.#ring;
		const dt = ring.end === 0 ? 0 : time - ring.timeAt(ring.end - 1);
		ring.push(time, value);
		const difference = value - this.#rest.level;
		if (this.#phase === "rest") {
			if (this.#direction !== 0) this.#side = this.#direction;
			else this.#side = difference < 0 ? -1 : 1;
		}
		const change = this.#side * difference;
		this.#now = change;
		const onset = Math.max(
			countingRule.onsetDeviations * this.#rest.noise,
			countingRule.onsetShare * this.#scale(),
		);
		if (this.#phase === "rest") {
			if (this.#fall !== null && time - ring.timeAt(this.#fall.edge.foot) > FALL_SECONDS) {
				this.#settleFall(ring.end - 1);
			}
			if (change <= onset) {
				this.#rest.follow(time, value, dt);
				return;
			}
			this.#phase = "rising";
			this.#crossing = time;
			this.#crossingIndex = ring.end - 1;
			this.#belowSince = Number.NaN;
			this.#peak = 0;
		} else if (this.#phase === "rising") {
			this.#rise(time, change);
		} else {
			this.#work(time, change, onset);
		}
	}

	#rise(time: number, change: number): void {
		if (change < countingRule.releaseDeviations * this.#rest.noise) {
			if (Number.isNaN(this.#belowSince)) this.#belowSince = time;
			else if (time - this.#belowSince >= FALSE_START) this.#phase = "rest";
			return;
		}
		this.#belowSince = Number.NaN;
		if (time - this.#crossing < countingRule.minimumOnSeconds) return;
		this.#settleFall(this.#crossingIndex);
		this.#phase = "active";
		this.#onset = Number.NaN;
	}

	#work(time: number, change: number, onsetThreshold: number): void {
		const ring = this.#ring;
		const mean = this.#side * (ring.meanUpTo(ring.end - 1, PEAK_SECONDS) - this.#rest.level);
		if (mean > this.#peak) this.#peak = mean;
		if (Number.isNaN(this.#onset) && time - this.#crossing > LOOK_AHEAD) this.#fitRise();
		const release = Math.max(
			countingRule.releaseDeviations * this.#rest.noise,
			countingRule.releaseShare * this.#peak,
		);
		if (change < release) {
			if (Number.isNaN(this.#belowSince)) {
				this.#belowSince = time;
				this.#belowIndex = ring.end - 1;
			} else if (time - this.#belowSince >= countingRule.minimumOffSeconds) {
				this.#end(this.#belowIndex, false);
				return;
			}
		} else if (change > Math.max(onsetThreshold, countingRule.returnShare * this.#peak)) {
			this.#belowSince = Number.NaN;
		}
		const tooLong = time - this.#crossing > this.#options.longestSeconds;
		if (tooLong || ring.end - this.#crossingIndex >= RING - LEAD)
			this.#giveUp(time, ring.valueAt(ring.end - 1));
	}

	#end(belowIndex: number, isLast: boolean): void {
		const ring = this.#ring;
		if (Number.isNaN(this.#onset)) this.#fitRise();
		const isCutShort = isLast && Number.isNaN(this.#belowSince);
		const lasted = ring.timeAt(belowIndex) - this.#crossing;
		const attempt = Math.max(
			countingRule.onsetDeviations * this.#rest.noise,
			countingRule.attemptShare * this.#scale(),
		);
		if (this.#peak >= attempt && lasted >= countingRule.minimumOnSeconds) {
			this.#keep(ring.timeAt(belowIndex), "full");
			if (!isCutShort) this.#fall = { edge: this.#edge(belowIndex), index: this.#found.length - 1 };
			if (this.#direction === 0) this.#direction = this.#side;
			this.#learnPeak();
			this.#recount();
		}
		this.#lastEnd = belowIndex;
		this.#relax(ring.timeAt(belowIndex));
	}

	/** The signal stays away from rest: rest is where it is now. */
	#giveUp(time: number, value: number): void {
		if (Number.isNaN(this.#onset)) this.#fitRise();
		this.#keep(time, "unended");
		this.#unended++;
		this.#lastEnd = this.#ring.end - 1;
		this.#rest.level = value;
		this.#relax(time);
	}

	#relax(since: number): void {
		this.#phase = "rest";
		this.#rest.restart(since);
		this.#belowSince = Number.NaN;
	}

	#keep(offset: number, kind: Repetition["kind"]): void {
		const bounds = {
			onset: this.#onset,
			offset,
			restLevel: this.#rest.level,
			peak: this.#peak,
		};
		this.#found.push({ kind, ...bounds, ...this.#measure(bounds, this.#side) });
	}

	#measure({ onset, offset, restLevel, peak }: RepetitionBounds, side: 1 | -1): RepetitionMeasures {
		const { target } = this.#options;
		const range = target === null || Number.isNaN(this.#reference) ? null : target;
		return measureRepetition(this.#ring, { onset, offset, restLevel, peak }, side, {
			low: range === null ? Number.NaN : (range.low / 100) * this.#reference,
			high: range === null ? Number.NaN : (range.high / 100) * this.#reference,
		});
	}

	/** Replaces the threshold's word for where the latest repetition ended by that of the whole fall. */
	#settleFall(newest: number): void {
		if (this.#fall === null) return;
		const { edge, index } = this.#fall;
		this.#fall = null;
		const offset = this.#edges.fall(this.#ring, edge, newest);
		const repetition = this.#found[index]!;
		if (Number.isNaN(offset) || offset <= repetition.onset) return;
		const settled = { ...repetition, offset };
		this.#found[index] = { ...settled, ...this.#measure(settled, edge.side) };
	}

	#fitRise(): void {
		const fitted = this.#edges.rise(this.#ring, this.#edge(this.#crossingIndex), this.#lastEnd);
		this.#onset = Number.isNaN(fitted) ? this.#crossing : fitted;
	}

	#edge(foot: number): Edge {
		return { foot, level: this.#rest.level, noise: this.#rest.noise, side: this.#side, peak: this.#peak };
	}

	#scale(): number {
		if (!Number.isNaN(this.#reference)) return this.#reference;
		return Number.isNaN(this.#typicalPeak) ? 0 : this.#typicalPeak;
	}

	#fullBar(): number {
		const bar = countingRule.fullShare * this.#scale();
		const { target } = this.#options;
		// nobody who works within the target may be told that it was only partial
		if (target === null || Number.isNaN(this.#reference)) return bar;
		return Math.min(bar, (target.low / 100) * this.#reference);
	}

	#peaks(): number[] {
		return this.#found.filter(({ kind }) => kind !== "unended").map(({ peak }) => peak);
	}

	#recount(): void {
		const bar = this.#fullBar();
		this.#full = this.#found.filter(({ kind, peak }) => kind !== "unended" && peak >= bar).length;
	}

	/** Ninth decile: the typical peak of full repetitions even where most are partial. */
	#learnPeak(): void {
		const peaks = [...this.#earlierPeaks, ...this.#peaks()].slice(-KEPT_PEAKS).sort((a, b) => a - b);
		if (peaks.length > 0) this.#typicalPeak = peaks[Math.round(0.9 * (peaks.length - 1))]!;
	}
}

export function createRepetitionCounter(options: CounterOptions): RepetitionCounter {
	return new RepetitionCounter(options);
}

function median(a: number, b: number, c: number): number {
	return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
