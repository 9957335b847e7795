import { fitOnset } from "./onset-fit.ts";
import { type EngagementRange, fullCountOf, partialCountOf, type Repetition } from "./repetition.ts";
import { measureRepetition, PEAK_SECONDS } from "./repetition-measures.ts";
import { type RestLevel, restOfInPlace } from "./rest-level.ts";
import { SampleRing } from "./sample-ring.ts";

/**
 * When a change counts, published because detectors that use other thresholds disagree (P. W. Hodges & B. H. Bui, EEG
 * Clin. Neurophysiol. 101:511, 1996). Three deviations above rest to begin, 1.5 to 2 to end, at least 0.3 to 0.5 s on
 * and 0.3 s off, and 30 % of the reference for a full repetition are common practice at 10 to 50 frames a second,
 * without a published source; so are the shares of peak and reference, which let the level at rest drift.
 */
export const countingRule = {
	/** Begins above this many deviations of the noise at rest … */
	onsetDeviations: 3,
	/** … and this share of the reference (of the session's typical peak where there is none). */
	onsetShare: 0.05,
	/** Ends below this many deviations … */
	releaseDeviations: 1.75,
	/** … or below this share of its own peak, whichever is higher. */
	releaseShare: 0.2,
	/** Going above this share of its peak again, before it has ended, is one repetition with two peaks. */
	returnShare: 0.3,
	minimumOnSeconds: 0.3,
	minimumOffSeconds: 0.3,
	/** A peak below this share of the reference is partial. */
	fullShare: 0.3,
	/** A peak below this share is movement, no attempt. */
	attemptShare: 0.08,
} as const;

/** What a session teaches the counter: given to the next set's counter. Plain data. */
export interface CounterLearning {
	/** +1 where the signal rises when the muscle works, −1 where it falls; null before anything was seen. */
	readonly direction: 1 | -1 | null;
	/** Peaks of the session's latest repetitions, unit of the signal; at most `KEPT_PEAKS`. */
	readonly peaks: readonly number[];
	/** Standard deviation between repetitions. */
	readonly noise: number;
}

export interface CounterOptions {
	/** Taken just before the set, of the same signal. */
	readonly rest: RestLevel;
	/** Signed change of the reference contraction from rest; null where none was taken or detected. */
	readonly referenceChange: number | null;
	/** Percent of the reference. */
	readonly target: EngagementRange | null;
	/** From an earlier set of the session, with the same band where it was. */
	readonly learned: CounterLearning | null;
	/** A change that lasts longer is no repetition: the band has slipped, or rest has changed. s */
	readonly longestSeconds: number;
}

export const KEPT_PEAKS = 20;
const RING = 8192;
const FIT = 1024;
/** How far before the crossing of the threshold the rise is looked for, s. */
const LOOK_BACK = 2;
/** How long after the crossing enough of the rise has been seen, s. */
const LOOK_AHEAD = 3;
/** A rise that sinks back for this long before it has lasted was none, s. */
const FALSE_START = 0.15;
/** Time constants of following the level at rest: at once after a repetition, then slowly. s */
const SETTLING = 0.3;
const SETTLING_FOR = 1;
const FOLLOWING = 3;
const NOISE_SAMPLES = 64;
const NOISE_SECONDS = 2;
/** The noise follows the session, but not away from what was measured: within these multiples of it. */
const NOISE_BOUNDS = [0.5, 3] as const;

/**
 * Counts repetitions and holds in one signal as its samples arrive: one number with its device time per call. A call
 * allocates nothing, except when a repetition ends. Plain state and no clock; the same samples give the same result.
 */
export class RepetitionCounter {
	readonly #options: CounterOptions;
	readonly #reference: number;
	readonly #ring = new SampleRing(RING);
	readonly #fitTimes = new Float64Array(FIT);
	readonly #fitValues = new Float64Array(FIT);
	readonly #quiet = new Float64Array(NOISE_SAMPLES);
	readonly #found: Repetition[] = [];
	readonly #earlierPeaks: readonly number[];
	#phase: "rest" | "rising" | "active" = "rest";
	#direction: 1 | -1 | 0;
	/** Of the change under way, where the session's is not known yet. */
	#side: 1 | -1 = 1;
	#level: number;
	#noise: number;
	readonly #startNoise: number;
	#typicalPeak = Number.NaN;
	#quietCount = 0;
	#quietSince = Number.NaN;
	#crossing = Number.NaN;
	#crossingIndex = 0;
	#belowSince = Number.NaN;
	#belowIndex = 0;
	#peak = 0;
	#onset = Number.NaN;
	#onsetFitted = false;
	#lastOffset = Number.NEGATIVE_INFINITY;
	#restSince = Number.NEGATIVE_INFINITY;
	#time = Number.NEGATIVE_INFINITY;
	#previousTime = Number.NaN;
	#previous = Number.NaN;
	#beforePrevious = Number.NaN;
	#now = 0;
	/** Samples that were no number or did not come after the one before. */
	skipped = 0;

	constructor(options: CounterOptions) {
		const { rest, referenceChange, learned } = options;
		if (!(Number.isFinite(rest.level) && rest.noise >= 0 && rest.noise < Number.POSITIVE_INFINITY)) {
			throw new RangeError("repetition counter: rest needs a level and a noise of at least zero");
		}
		if (referenceChange !== null && !(Math.abs(referenceChange) > 0 && Number.isFinite(referenceChange))) {
			throw new RangeError("repetition counter: the reference change must not be zero; pass null for none");
		}
		if (!(options.longestSeconds > 0))
			throw new RangeError("repetition counter: longestSeconds must be positive");
		this.#options = options;
		this.#reference = referenceChange === null ? Number.NaN : Math.abs(referenceChange);
		this.#direction = referenceChange === null ? (learned?.direction ?? 0) : referenceChange > 0 ? 1 : -1;
		this.#level = rest.level;
		this.#startNoise = Math.max(rest.noise, Math.abs(rest.level) * 1e-9, Number.MIN_VALUE);
		this.#noise = Math.max(learned?.noise ?? 0, this.#startNoise);
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
		this.#phase = "rest";
		this.#previous = Number.NaN;
		this.#beforePrevious = Number.NaN;
	}

	/** Whether a repetition is under way. */
	get isActive(): boolean {
		return this.#phase === "active";
	}

	/** Device time at which the one under way began, s; NaN at rest. First where the threshold was crossed, then where
	 *  the shape of the rise says. */
	get activeSince(): number {
		return this.#phase === "active" ? this.#onset : Number.NaN;
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
		return this.#level;
	}

	get fullCount(): number {
		return fullCountOf(this.repetitions());
	}

	get partialCount(): number {
		return partialCountOf(this.repetitions());
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
			noise: this.#noise,
		};
	}

	#step(time: number, value: number): void {
		const ring = this.#ring;
		const dt = ring.end === 0 ? 0 : time - ring.timeAt(ring.end - 1);
		ring.push(time, value);
		const difference = value - this.#level;
		if (this.#phase === "rest") {
			if (this.#direction !== 0) this.#side = this.#direction;
			else this.#side = difference < 0 ? -1 : 1;
		}
		const change = this.#side * difference;
		this.#now = change;
		const onset = Math.max(
			countingRule.onsetDeviations * this.#noise,
			countingRule.onsetShare * this.#scale(),
		);
		if (this.#phase === "rest") {
			if (change <= onset) {
				this.#followRest(time, value, dt);
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
		if (change < countingRule.releaseDeviations * this.#noise) {
			if (Number.isNaN(this.#belowSince)) this.#belowSince = time;
			else if (time - this.#belowSince >= FALSE_START) this.#phase = "rest";
			return;
		}
		this.#belowSince = Number.NaN;
		if (time - this.#crossing < countingRule.minimumOnSeconds) return;
		this.#phase = "active";
		this.#onset = this.#crossing;
		this.#onsetFitted = false;
	}

	#work(time: number, change: number, onsetThreshold: number): void {
		const ring = this.#ring;
		const mean = this.#side * (ring.meanUpTo(ring.end - 1, PEAK_SECONDS) - this.#level);
		if (mean > this.#peak) this.#peak = mean;
		if (!this.#onsetFitted && time - this.#crossing > LOOK_AHEAD) this.#fitRise();
		const release = Math.max(
			countingRule.releaseDeviations * this.#noise,
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
		const tooLong = time - this.#onset > this.#options.longestSeconds;
		if (tooLong || ring.end - this.#crossingIndex >= RING - FIT)
			this.#giveUp(time, ring.valueAt(ring.end - 1));
	}

	#end(belowIndex: number, isLast: boolean): void {
		const ring = this.#ring;
		if (!this.#onsetFitted) this.#fitRise();
		const offset =
			isLast && Number.isNaN(this.#belowSince) ? ring.timeAt(belowIndex) : this.#fitFall(belowIndex);
		const lasted = ring.timeAt(belowIndex) - this.#crossing;
		const attempt = Math.max(
			countingRule.onsetDeviations * this.#noise,
			countingRule.attemptShare * this.#scale(),
		);
		if (this.#peak >= attempt && lasted >= countingRule.minimumOnSeconds) {
			this.#keep(offset, "full");
			if (this.#direction === 0) this.#direction = this.#side;
			this.#learnPeak();
		}
		this.#lastOffset = offset;
		this.#rest(ring.timeAt(belowIndex));
	}

	/** The signal stays away from rest: rest is where it is now. */
	#giveUp(time: number, value: number): void {
		if (!this.#onsetFitted) this.#fitRise();
		this.#keep(time, "unended");
		this.#lastOffset = time;
		this.#level = value;
		this.#rest(time);
	}

	#rest(since: number): void {
		this.#phase = "rest";
		this.#restSince = since;
		this.#quietCount = 0;
		this.#belowSince = Number.NaN;
	}

	#keep(offset: number, kind: Repetition["kind"]): void {
		const { target } = this.#options;
		const range = target === null || Number.isNaN(this.#reference) ? null : target;
		this.#found.push({
			kind,
			onset: this.#onset,
			offset,
			restLevel: this.#level,
			peak: this.#peak,
			...measureRepetition(this.#ring, {
				onset: this.#onset,
				offset,
				level: this.#level,
				side: this.#side,
				peak: this.#peak,
				low: range === null ? Number.NaN : (range.low / 100) * this.#reference,
				high: range === null ? Number.NaN : (range.high / 100) * this.#reference,
			}),
		});
	}

	#followRest(time: number, value: number, dt: number): void {
		const settled = time - this.#restSince > SETTLING_FOR;
		const share = 1 - Math.exp(-dt / (settled ? FOLLOWING : SETTLING));
		this.#level += share * (value - this.#level);
		if (!settled) return;
		if (this.#quietCount === 0) this.#quietSince = time;
		if (this.#quietCount < NOISE_SAMPLES) this.#quiet[this.#quietCount++] = value;
		if (time - this.#quietSince < NOISE_SECONDS) return;
		// fewer samples than this say too little about their spread
		if (this.#quietCount >= NOISE_SECONDS * 8) this.#learnNoise();
		this.#quietCount = 0;
	}

	#learnNoise(): void {
		const seen = restOfInPlace(this.#quiet.subarray(0, this.#quietCount)).noise;
		const noise = 0.7 * this.#noise + 0.3 * seen;
		const [low, high] = NOISE_BOUNDS;
		this.#noise = Math.min(high * this.#startNoise, Math.max(low * this.#startNoise, noise));
	}

	#fitRise(): void {
		this.#onsetFitted = true;
		const ring = this.#ring;
		const from = ring.firstAtOrAfter(Math.max(this.#crossing - LOOK_BACK, this.#lastOffset));
		const enough = this.#enoughOfTheEdge();
		let count = 0;
		for (let i = from; i < ring.end && count < FIT; i++) {
			const change = this.#side * (ring.valueAt(i) - this.#level);
			this.#fitTimes[count] = ring.timeAt(i);
			this.#fitValues[count++] = change;
			if (i > this.#crossingIndex && change > enough) break;
		}
		const latest = this.#fitTimes[count - 1]!;
		const fitted = fitOnset(
			this.#fitTimes,
			this.#fitValues,
			count,
			0,
			this.#noise,
			this.#fitTimes[0]!,
			latest,
		);
		if (!Number.isNaN(fitted)) this.#onset = fitted;
	}

	/** The fall is the rise of a film run backwards. */
	#fitFall(belowIndex: number): number {
		const ring = this.#ring;
		const enough = this.#enoughOfTheEdge();
		let count = 0;
		for (let i = ring.end - 1; i > ring.begin && count < FIT; i--) {
			const change = this.#side * (ring.valueAt(i) - this.#level);
			this.#fitTimes[count] = -ring.timeAt(i);
			this.#fitValues[count++] = change;
			if (i < belowIndex && change > enough) break;
		}
		const fitted = fitOnset(
			this.#fitTimes,
			this.#fitValues,
			count,
			0,
			this.#noise,
			this.#fitTimes[0]!,
			this.#fitTimes[count - 1]!,
		);
		return Number.isNaN(fitted) ? ring.timeAt(belowIndex) : -fitted;
	}

	/** Change up to which an edge is fitted: the lowest part that stands clear of the noise, where simple shapes fit. */
	#enoughOfTheEdge(): number {
		return Math.min(0.4 * this.#peak, Math.max(0.15 * this.#peak, 8 * this.#noise));
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

	/** Upper quartile: the typical peak of full repetitions even where most are partial. */
	#learnPeak(): void {
		const peaks = [...this.#earlierPeaks, ...this.#peaks()].slice(-KEPT_PEAKS).sort((a, b) => a - b);
		if (peaks.length > 0) this.#typicalPeak = peaks[Math.floor(0.75 * (peaks.length - 1))]!;
	}
}

export function createRepetitionCounter(options: CounterOptions): RepetitionCounter {
	return new RepetitionCounter(options);
}

function median(a: number, b: number, c: number): number {
	return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
