import {
	type CounterLearning,
	type CounterOptions,
	checkCounterOptions,
	countingRule,
} from "./counting-rule.ts";
import type { Edge } from "./edge-finder.ts";
import type { Repetition } from "./repetition.ts";
import { RepetitionKeeper } from "./repetition-keeper.ts";
import type { RepetitionLog } from "./repetition-log.ts";
import { PEAK_SECONDS } from "./repetition-measures.ts";
import { RestFollower } from "./rest-follower.ts";
import type { RestLevel } from "./rest-level.ts";
import { SampleRing } from "./sample-ring.ts";
import { SpikeFilter } from "./spike-filter.ts";

const RING = 8192;
/** Samples before a repetition that are kept for finding its onset. */
const LEAD = 1024;
/** How long after the crossing enough of the rise has been seen, s. */
const LOOK_AHEAD = 3;
/** Frames come at whole microseconds. s */
const ROUNDING = 1e-6;
/** A rise that sinks back for this long before it has lasted was none, s. */
const FALSE_START = 0.15;
/** A mean over `PEAK_SECONDS` lies after the crossing from here on, but for a frame at low rates. s */
const RISING_PEAK_AFTER = 0.19;
/** So long after a repetition has ended only a new rise begins another, as rest is still being found. s */
const UNSETTLED = 1.5;
/** Rest is followed so far behind, lest the gentle begin of a rise be taken for rest. s */
const BEHIND = 0.5;
/** One sample after a gap of lost frames does not stand for all of it. s */
const LONGEST_STEP = 0.2;
/** A fall that stays above the threshold for so long has found another rest. s */
const SHIFTED_AFTER = 2;

/**
 * Counts repetitions and holds in one signal as its samples arrive: one number with its device time per call. A call
 * allocates nothing, but for a few objects when a repetition ends and when the noise at rest is measured anew, every two
 * seconds. Plain state and no clock; the same samples give the same result.
 */
export class RepetitionCounter {
	readonly #options: CounterOptions;
	readonly #ring = new SampleRing(RING);
	readonly #filter = new SpikeFilter();
	readonly #keeper: RepetitionKeeper;
	readonly #log: RepetitionLog;
	readonly #rest: RestFollower;
	/** `falling`: a repetition has ended, and the signal is still on its way down to rest. */
	#phase: "rest" | "rising" | "active" | "falling" = "rest";
	#direction: 1 | -1 | 0;
	/** Of the change under way, where the session's is not known yet. */
	#side: 1 | -1 = 1;
	#crossing = Number.NaN;
	#crossingIndex = 0;
	#belowSince = Number.NaN;
	#belowIndex = 0;
	/** Since when the mean has been low, and the sample. */
	#lowSince = Number.NaN;
	#lowIndex = 0;
	#peak = 0;
	/** When the latest repetition ended, and the lowest mean since. */
	#endTime = Number.NEGATIVE_INFINITY;
	#lowest = Number.POSITIVE_INFINITY;
	#lowestIndex = 0;
	/** Index of the next sample that rest follows. */
	#followed = 0;
	/** NaN until the rise has been fitted. */
	#onset = Number.NaN;
	#lastEnd = 0;
	#time = Number.NEGATIVE_INFINITY;
	#now = 0;
	/** Samples that were no number or did not come after the one before. */
	skipped = 0;

	constructor(options: CounterOptions) {
		checkCounterOptions(options);
		const { rest, referenceChange, learned } = options;
		this.#options = options;
		this.#keeper = new RepetitionKeeper(options, this.#ring);
		this.#log = this.#keeper.log;
		this.#direction = referenceChange === null ? (learned?.direction ?? 0) : referenceChange > 0 ? 1 : -1;
		this.#rest = new RestFollower(rest, learned?.noise ?? 0);
	}

	/** @param time device time, s, rising; @param value the target region, in the unit of `rest` */
	add(time: number, value: number): void {
		if (!(time > this.#time && Number.isFinite(value) && Number.isFinite(time))) {
			this.skipped++;
			return;
		}
		if (this.#filter.add(time, value)) this.#step(this.#filter.time, this.#filter.value);
		this.#time = time;
	}

	/** The set is over: what is still under way ends with the last sample. Further samples begin anew. */
	finish(): void {
		if (this.#filter.flush()) this.#step(this.#filter.time, this.#filter.value);
		if (this.#phase === "active") {
			const atRest = !Number.isNaN(this.#belowSince);
			this.#end(atRest ? this.#belowIndex : this.#ring.end - 1, true);
		}
		this.#keeper.settle(this.#ring.end - 1);
		this.#phase = "rest";
	}

	/** Goes on after a pause, in which the person may have moved: what was under way has ended, and rest is anew. */
	takeRest(rest: RestLevel): void {
		this.finish();
		this.#rest.level = rest.level;
		this.#rest.restart(this.#time);
		this.#followed = this.#ring.end;
		this.#lastEnd = this.#ring.end;
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
		return (100 * this.#now) / this.#log.reference;
	}

	/** Level at rest as followed up to now. */
	get restLevel(): number {
		return this.#rest.level;
	}

	get fullCount(): number {
		return this.#log.fullCount;
	}

	get partialCount(): number {
		return this.#log.partialCount;
	}

	/** Changes that did not come back to rest. */
	get unendedCount(): number {
		return this.#log.unendedCount;
	}

	/** All that has ended, judged by what is known by now. */
	repetitions(): Repetition[] {
		return this.#log.repetitions();
	}

	learning(): CounterLearning {
		return {
			direction: this.#direction === 0 ? null : this.#direction,
			peaks: this.#log.peaks(),
			noise: this.#rest.noise,
		};
	}

	#step(time: number, value: number): void {
		const ring = this.#ring;
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
			countingRule.onsetShare * this.#log.scale,
		);
		if (this.#phase === "rest") this.#watch(time, change, onset);
		else if (this.#phase === "rising") this.#rise(time, change);
		else if (this.#phase === "active") this.#work(time, change, onset);
		else this.#sink(time, change, onset);
	}

	#watch(time: number, change: number, onset: number): void {
		this.#keeper.settleOld(time);
		if (change > onset && this.#risesAnew(time, onset)) this.#cross(time);
		else this.#followRest(time - BEHIND);
	}

	#followRest(until: number): void {
		const ring = this.#ring;
		for (; this.#followed < ring.end && ring.timeAt(this.#followed) <= until; this.#followed++) {
			const i = this.#followed;
			const dt = i > ring.begin ? ring.timeAt(i) - ring.timeAt(i - 1) : 0;
			this.#rest.follow(ring.timeAt(i), ring.valueAt(i), Math.min(dt, LONGEST_STEP));
		}
	}

	#cross(time: number): void {
		this.#phase = "rising";
		this.#crossing = time;
		this.#crossingIndex = this.#ring.end - 1;
		this.#belowSince = Number.NaN;
		this.#lowSince = Number.NaN;
		this.#peak = 0;
	}

	/** On the way down to rest, and until that is found, only a new rise counts, else a slow fall or a rest that has risen
	 *  would be a small repetition of its own. */
	#risesAnew(time: number, onset: number): boolean {
		const mean = this.#mean();
		if (mean < this.#lowest) {
			this.#lowest = mean;
			this.#lowestIndex = this.#ring.end - 1;
		}
		return mean > this.#lowest + onset || (this.#phase === "rest" && time - this.#endTime > UNSETTLED);
	}

	#sink(time: number, change: number, onset: number): void {
		const ring = this.#ring;
		const risesAnew = this.#risesAnew(time, onset);
		if (change <= onset) {
			this.#phase = "rest";
			this.#rest.restart(time);
			this.#followed = ring.end - 1;
		} else if (risesAnew) {
			this.#lastEnd = Math.max(this.#lastEnd, this.#lowestIndex);
			this.#cross(time);
		} else if (time - this.#endTime > SHIFTED_AFTER) {
			this.#followed = Math.max(this.#followed, ring.firstAtOrAfter(time - BEHIND));
			this.#followRest(time - BEHIND);
		}
	}

	/** Newest mean change over `PEAK_SECONDS`. */
	#mean(): number {
		return this.#side * (this.#ring.meanUpTo(this.#ring.end - 1, PEAK_SECONDS) - this.#rest.level);
	}

	/** @returns the newest mean */
	#followPeak(): number {
		const mean = this.#mean();
		if (mean > this.#peak) this.#peak = mean;
		return mean;
	}

	#rise(time: number, change: number): void {
		// not from before the crossing, where a fall may have ended
		if (time - this.#crossing >= RISING_PEAK_AFTER) this.#followPeak();
		if (change < countingRule.releaseDeviations * this.#rest.noise) {
			if (Number.isNaN(this.#belowSince)) {
				this.#belowSince = time;
				this.#belowIndex = this.#ring.end - 1;
			} else if (time - this.#belowSince >= FALSE_START) {
				this.#phase = "rest";
				this.#followed = this.#ring.end - 1;
				return;
			}
			// at low rates a short repetition's last sample above and first one below lie on either side of the least time
			if (this.#belowSince - this.#crossing < countingRule.minimumOnSeconds - ROUNDING) return;
		} else {
			this.#belowSince = Number.NaN;
			if (time - this.#crossing < countingRule.minimumOnSeconds - ROUNDING) return;
		}
		this.#keeper.settle(this.#crossingIndex);
		this.#phase = "active";
		this.#onset = Number.NaN;
	}

	#work(time: number, change: number, onsetThreshold: number): void {
		const ring = this.#ring;
		const mean = this.#followPeak();
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
		if (mean >= countingRule.lowShare * this.#peak) this.#lowSince = Number.NaN;
		else if (Number.isNaN(this.#lowSince)) {
			this.#lowSince = time;
			this.#lowIndex = ring.end - 1;
		} else if (time - this.#lowSince >= countingRule.lowSeconds) {
			this.#end(this.#lowIndex, false);
			return;
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
		const { scale } = this.#log;
		const deviations = scale > 0 ? countingRule.onsetDeviations : countingRule.firstDeviations;
		const attempt = Math.max(deviations * this.#rest.noise, countingRule.attemptShare * scale);
		if (this.#peak >= attempt && lasted >= countingRule.minimumOnSeconds - ROUNDING) {
			const place = this.#keep(ring.timeAt(belowIndex), "full");
			if (!isCutShort) this.#keeper.watchFall(this.#edge(belowIndex), place);
			if (this.#direction === 0) this.#direction = this.#side;
		}
		this.#lastEnd = belowIndex;
		this.#endTime = ring.timeAt(belowIndex);
		this.#lowest = Number.POSITIVE_INFINITY;
		this.#relax("falling", ring.timeAt(belowIndex));
	}

	/** The signal stays away from rest: rest is where it is now. */
	#giveUp(time: number, value: number): void {
		if (Number.isNaN(this.#onset)) this.#fitRise();
		this.#keep(time, "unended");
		this.#lastEnd = this.#ring.end - 1;
		this.#rest.level = value;
		this.#relax("rest", time);
	}

	#relax(phase: "rest" | "falling", since: number): void {
		this.#phase = phase;
		this.#rest.restart(since);
		this.#followed = this.#ring.end - 1;
		this.#belowSince = Number.NaN;
	}

	/** @returns its place in the log */
	#keep(offset: number, kind: Repetition["kind"]): number {
		const bounds = { onset: this.#onset, offset, restLevel: this.#rest.level, peak: this.#peak };
		return this.#keeper.keep(kind, bounds, this.#side);
	}

	#fitRise(): void {
		const fitted = this.#keeper.onsetOf(this.#edge(this.#crossingIndex), this.#lastEnd);
		this.#onset = Number.isNaN(fitted) ? this.#crossing : fitted;
	}

	#edge(foot: number): Edge {
		return { foot, level: this.#rest.level, noise: this.#rest.noise, side: this.#side, peak: this.#peak };
	}
}

export function createRepetitionCounter(options: CounterOptions): RepetitionCounter {
	return new RepetitionCounter(options);
}
