import { createCoach } from "./coach.ts";
import type { Coach, CoachReading } from "./coach-contract.ts";
import type { CoachView } from "./coach-view.ts";
import { type CounterLearning, countingRule } from "./counting-rule.ts";
import type { RegionReference } from "./engagement.ts";
import { longestRepetitionSeconds } from "./exercise.ts";
import type { Ease } from "./next-morning.ts";
import type { PlanItem } from "./plan.ts";
import type { Repetition } from "./repetition.ts";
import { createRepetitionCounter, type RepetitionCounter } from "./repetition-counter.ts";
import { FEWEST_REST_SAMPLES, isStill, type RestLevel, restOf } from "./rest-level.ts";
import type { SetCount } from "./set-record.ts";
import { type SetSummary, summariseSet } from "./set-summary.ts";
import { SetTraces } from "./set-traces.ts";
import type { NextStep, SetAnswer, StopLimits } from "./stop-rules.ts";

export interface ExerciseRunOptions {
	readonly item: PlanItem;
	/** Regions in the order of their means in a frame. */
	readonly regionIds: readonly string[];
	/** One per region. */
	readonly references: readonly RegionReference[];
	/** From the session's earlier exercises with the same lead region; null at first. */
	readonly learned: CounterLearning | null;
	readonly painBefore: number | null;
	readonly hadToStop: boolean;
	readonly limits?: StopLimits;
	/** Less than prescribed from the first set on; null for all of it. */
	readonly ease?: Ease | null;
}

/** What is kept of a set; plain data. Times are device time, s. */
export interface SetResult {
	readonly set: number;
	readonly start: number;
	readonly end: number;
	/** Region that was counted in; null where the person counted. */
	readonly countedIn: string | null;
	readonly repetitions: readonly Repetition[];
	/** Null where the person counted. */
	readonly summary: SetSummary | null;
	readonly count: SetCount;
	/** Null where the questions were left unanswered. */
	readonly answer: SetAnswer | null;
}

/** Rest is taken from this long before the work begins, s. */
const REST_SECONDS = 4;
/** Noise above this many times that of the reference's rest means that the person moves. */
const STEADY_NOISE = 4;
/** Where rest is not known in any other way, it is taken from so much at least, s. */
const LEAST_REST_SECONDS = 1.5;

/**
 * One exercise from start to end: gives the coach its frames, measures rest before each set, counts, and keeps what
 * came of it. No clock, no storage.
 */
export class ExerciseRun {
	readonly #options: ExerciseRunOptions;
	readonly #coach: Coach;
	/** Index of the region that is counted in; −1 where the person counts. */
	readonly #lead: number;
	readonly #reference: RegionReference;
	readonly #traces: SetTraces;
	readonly #results: SetResult[] = [];
	#counter: RepetitionCounter | null = null;
	#learned: CounterLearning | null;
	#start = Number.NaN;
	/** Where the lead region rested when it was last known; null before. */
	#knownRest: number | null;
	/** Since when nothing has come between, such as a pause. */
	#unbrokenSince = Number.NEGATIVE_INFINITY;
	#now = Number.NaN;
	/** Number of the set whose work has begun and is not over; 0 for none. */
	#set = 0;
	#lastPhase: Coach["phase"] = "ready";
	#pending: Omit<SetResult, "answer"> | null = null;

	/** @throws RangeError unless there is one reference per region */
	constructor(options: ExerciseRunOptions) {
		if (options.references.length !== options.regionIds.length) {
			throw new RangeError("exercise run: one reference per region is needed");
		}
		this.#options = options;
		this.#learned = options.learned;
		this.#lead = leadOf(options);
		this.#reference = options.references[this.#lead] ?? { state: "none" };
		this.#knownRest = this.#reference.state === "taken" ? this.#reference.rest.level : null;
		this.#traces = new SetTraces(options.regionIds.length);
		const { item, painBefore, hadToStop, limits, ease = null } = options;
		this.#coach = createCoach({
			exercise: item.exercise,
			dose: item.dose,
			mode: this.#lead < 0 ? "self-counted" : "measured",
			painBefore,
			hadToStop,
			ease,
			...(limits === undefined ? {} : { limits }),
		});
	}

	get phase(): Coach["phase"] {
		return this.#coach.phase;
	}

	/** Id of the region that is counted in; null where the person counts. */
	get countedIn(): string | null {
		return this.#lead < 0 ? null : this.#options.regionIds[this.#lead]!;
	}

	/** When the work of the present set began, device time, s; null between sets. */
	get workingSince(): number | null {
		return this.#set === 0 ? null : this.#start;
	}

	begin(time: number): void {
		this.#now = time;
		this.#coach.begin(time);
	}

	/** Time goes on without a frame, so that countdowns run and a silent band is noticed. */
	tick(time: number): void {
		if (!(time >= this.#now)) return;
		this.#now = time;
		this.#coach.advance(time, null);
		this.#follow();
	}

	/** A frame. @param means [nRegions] in the signal's unit, valid during the call. @throws RangeError on its length */
	add(time: number, means: ArrayLike<number>): void {
		if (!(time >= this.#now)) return;
		this.#now = time;
		if (this.#lead < 0) {
			this.tick(time);
			return;
		}
		const phase = this.#coach.phase;
		if (phase !== "paused" && phase !== "ask" && phase !== "done") this.#traces.add(time, means);
		if (phase === "work") this.#count(time, means[this.#lead]!);
		this.#coach.advance(time, this.#reading(means[this.#lead]!));
		this.#follow();
	}

	tap(): void {
		this.#coach.tap();
		this.#follow();
	}

	pause(): void {
		this.#coach.pause();
	}

	resume(time: number): void {
		this.#unbrokenSince = time;
		this.#coach.resume(time);
	}

	stop(): void {
		this.#coach.stop();
		this.#follow();
	}

	/** @throws RangeError if nothing was asked */
	answer(time: number, answer: SetAnswer): NextStep {
		const step = this.#coach.answer(time, answer);
		// Stopped before the work began: what ends exercise is kept all the same, for it holds for the whole day.
		if (this.#pending === null && step.action !== "go-on" && step.action !== "ease") this.#keepUnbegun();
		this.#keep(answer);
		return step;
	}

	view(): CoachView {
		return this.#coach.view();
	}

	/** Sets that are over; the last one without its answers while they are being given. */
	results(): SetResult[] {
		return this.#pending === null
			? [...this.#results]
			: [...this.#results, { ...this.#pending, answer: null }];
	}

	/** For the session's next exercise with the same lead region. */
	learning(): CounterLearning | null {
		return this.#learned;
	}

	/** Follows the coach from phase to phase. */
	#follow(): void {
		const { phase } = this.#coach;
		if (phase === "paused") return;
		if (phase === "work" && this.#set !== this.#coach.set) this.#startWork();
		else if (phase === "work" && this.#lastPhase === "get-ready") this.#goOn();
		if ((phase === "ask" || phase === "done") && this.#set === this.#coach.set) this.#finishSet();
		this.#lastPhase = phase;
	}

	#goOn(): void {
		if (this.#lead < 0) return;
		const rest = this.#restNow();
		if (rest !== null) this.#counter?.takeRest(rest);
		else this.#counter?.finish();
	}

	#startWork(): void {
		this.#set = this.#coach.set;
		this.#start = this.#now;
		if (this.#lead < 0) return;
		const known = this.#reference.state === "none" ? null : this.#reference.rest;
		const rest = this.#restNow() ?? known;
		this.#counter = rest === null ? null : this.#createCounter(rest);
		this.#traces.keepFrom(this.#now - REST_SECONDS);
	}

	#createCounter(rest: RestLevel): RepetitionCounter {
		return createRepetitionCounter({
			rest,
			referenceChange: this.#reference.state === "taken" ? this.#reference.change : null,
			target: this.#options.item.dose.target,
			learned: this.#learned,
			longestSeconds: longestRepetitionSeconds(this.#options.item.dose),
		});
	}

	/** Where nothing came from the band before the work began, rest is taken as soon as the signal is still. */
	#count(time: number, value: number): void {
		if (this.#counter !== null) {
			this.#counter.add(time, value);
			return;
		}
		const values = this.#restValues(LEAST_REST_SECONDS);
		const began = this.#traces.times()[0] ?? time;
		if (time - began < LEAST_REST_SECONDS || values.length < FEWEST_REST_SAMPLES || !isStill(values)) return;
		this.#counter = this.#createCounter(restOf(values));
	}

	#finishSet(): void {
		this.#set = 0;
		const counter = this.#counter;
		counter?.finish();
		if (counter !== null) {
			this.#learned = counter.learning();
			this.#knownRest = counter.restLevel;
		}
		const { regionIds, references } = this.#options;
		const repetitions = counter?.repetitions() ?? [];
		const coached = this.#coach.view();
		const summary =
			counter === null
				? null
				: summariseSet({
						repetitions,
						referenceChange: this.#reference.state === "taken" ? this.#reference.change : null,
						times: this.#traces.times(),
						regions: regionIds.map((regionId, i) => ({
							regionId,
							reference: references[i]!,
							values: this.#traces.values(i),
						})),
					});
		const person = { full: coached.count, partial: 0 };
		this.#pending = {
			set: coached.set,
			start: this.#start,
			end: this.#now,
			countedIn: this.countedIn,
			repetitions,
			summary,
			count: {
				automatic: summary === null ? null : { full: summary.full, partial: summary.partial },
				personal: summary === null ? person : null,
				corrections: [],
			},
		};
		this.#counter = null;
		this.#traces.clear();
	}

	#keepUnbegun(): void {
		this.#pending = {
			set: this.#coach.set,
			start: this.#now,
			end: this.#now,
			countedIn: null,
			repetitions: [],
			summary: null,
			count: { automatic: null, personal: { full: 0, partial: 0 }, corrections: [] },
		};
	}

	#keep(answer: SetAnswer): void {
		if (this.#pending !== null) this.#results.push({ ...this.#pending, answer });
		this.#pending = null;
	}

	#reading(value: number): CoachReading {
		const counter = this.#counter;
		const isFresh = Number.isFinite(value);
		return {
			isActive: counter?.isActive ?? false,
			activeSince: counter?.activeSince ?? Number.NaN,
			full: counter?.fullCount ?? 0,
			partial: counter?.partialCount ?? 0,
			unended: counter?.unendedCount ?? 0,
			percent: isFresh && counter !== null ? counter.percent : Number.NaN,
			change: isFresh && counter !== null ? counter.change : Number.NaN,
			isRestSteady: this.#coach.phase === "get-ready" && this.#isSteady(),
		};
	}

	/** Still, and where it rested before: who is already pushing holds still too. */
	#isSteady(): boolean {
		const values = this.#restValues(REST_SECONDS);
		if (values.length < FEWEST_REST_SAMPLES) return false;
		if (this.#reference.state !== "taken") return isStill(values);
		const { level, noise } = restOf(values);
		const raised = this.#knownRest === null ? 0 : (level - this.#knownRest) / this.#reference.change;
		return raised < countingRule.fullShare && noise <= STEADY_NOISE * this.#reference.rest.noise;
	}

	#restNow(): RestLevel | null {
		const values = this.#restValues(REST_SECONDS);
		return values.length < FEWEST_REST_SAMPLES ? null : restOf(values);
	}

	/** Of the lead region, from the last seconds in which nothing came between. */
	#restValues(seconds: number): Float64Array {
		const since = Math.max(this.#now - seconds, this.#unbrokenSince);
		return this.#traces.valuesFrom(this.#lead, since).filter(Number.isFinite);
	}
}

export function createExerciseRun(options: ExerciseRunOptions): ExerciseRun {
	return new ExerciseRun(options);
}

/**
 * The exercise's first target region whose reference was taken. Where none was, the first target region of the band,
 * counted in raw units, unless it was tried and not detected: then the person counts.
 */
function leadOf({ item, regionIds, references }: ExerciseRunOptions): number {
	const targets = item.exercise.targetRegions
		.map((id) => regionIds.indexOf(id))
		.filter((index) => index >= 0);
	return (
		targets.find((index) => references[index]!.state === "taken") ??
		targets.find((index) => references[index]!.state === "none") ??
		-1
	);
}
