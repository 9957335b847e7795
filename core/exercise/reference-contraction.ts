import { failure, type Result, success } from "../result.ts";
import type { RegionReference } from "./engagement.ts";
import { BEST_SECONDS, type ContractionSamples, referenceOf } from "./reference-result.ts";
import type { ReferenceTarget } from "./reference-target.ts";
import { FEWEST_REST_SAMPLES } from "./rest-level.ts";

/** Habit: three efforts of 3 to 5 s with 60 s of rest between them (common practice, no source). Early after surgery or
 *  with pain the effort is to be a comfortable one, which the words on the screen say. */
export interface ReferenceProtocol {
	/** Muscles that the person is asked to tense. */
	readonly target: ReferenceTarget;
	readonly effort: "maximal" | "comfortable";
	readonly contractions: number;
	/** s, still, before the first one */
	readonly restSeconds: number;
	readonly contractionSeconds: number;
	/** s, between two contractions, and after the last one as far as needed to know rest again */
	readonly pauseSeconds: number;
}

export const usualReference: ReferenceProtocol = {
	target: "quadriceps",
	effort: "comfortable",
	contractions: 3,
	restSeconds: 8,
	contractionSeconds: 5,
	pauseSeconds: 60,
};

/** What the screen shows; plain data. */
export type ReferenceView =
	| { readonly step: "ready" }
	| {
			readonly step: "rest" | "contract" | "pause";
			/** 1 for the first contraction; 0 during the rest before it. */
			readonly contraction: number;
			readonly of: number;
			readonly secondsLeft: number;
			readonly effort: ReferenceProtocol["effort"];
			readonly target: ReferenceTarget;
	  }
	| { readonly step: "done" }
	| { readonly step: "stopped" };

export type ReferenceFault =
	| { readonly kind: "not-finished" }
	/** Frames were missing: fewer samples than needed in a window of the given contraction. */
	| { readonly kind: "too-few-frames"; readonly contraction: number; readonly frames: number };

/** Rest that is measured: the last seconds before a contraction, and as long from a while after it. s */
const REST_WINDOW = 4;
const SETTLE = 2;

export interface ReferenceRecorder {
	begin(time: number): void;
	/** @param values [nRegions] region means, valid during the call; kept as a copy */
	add(time: number, values: ArrayLike<number>): void;
	/** Gives up; nothing is measured. */
	stop(): void;
	view(): ReferenceView;
	/** One per region. */
	result(): Result<readonly RegionReference[], ReferenceFault>;
}

/**
 * Guides rest and contractions by device time and keeps what was measured. Time passes with the samples alone.
 * @throws RangeError on a protocol that cannot be run
 */
export function createReferenceRecorder(nRegions: number, protocol: ReferenceProtocol): ReferenceRecorder {
	checkProtocol(protocol);
	const { contractions, restSeconds, contractionSeconds, pauseSeconds, effort, target } = protocol;
	const times: number[] = [];
	const columns: number[][] = Array.from({ length: nRegions }, () => []);
	const cycle = contractionSeconds + pauseSeconds;
	// after the last contraction only as much rest as is measured
	const length = restSeconds + (contractions - 1) * cycle + contractionSeconds + SETTLE + REST_WINDOW;
	let start = Number.NaN;
	let now = Number.NaN;
	let isStopped = false;

	const contractionStart = (index: number) => start + restSeconds + index * cycle;

	function windowOf(region: number, from: number, to: number) {
		const begin = lowerBound(times, from);
		const end = lowerBound(times, to);
		return { times: times.slice(begin, end), values: columns[region]!.slice(begin, end) };
	}

	function samplesOf(region: number, index: number): ContractionSamples {
		const begin = contractionStart(index);
		const end = begin + contractionSeconds;
		return {
			before: windowOf(region, begin - Math.min(REST_WINDOW, restSeconds), begin),
			contraction: windowOf(region, begin, end),
			after: windowOf(region, end + SETTLE, end + SETTLE + REST_WINDOW),
		};
	}

	function view(): ReferenceView {
		if (isStopped) return { step: "stopped" };
		if (Number.isNaN(start)) return { step: "ready" };
		const at = now - start;
		if (at >= length) return { step: "done" };
		const shared = { of: contractions, effort, target };
		if (at < restSeconds) return { step: "rest", contraction: 0, secondsLeft: restSeconds - at, ...shared };
		const index = Math.min(contractions - 1, Math.floor((at - restSeconds) / cycle));
		const within = at - restSeconds - index * cycle;
		const contraction = index + 1;
		if (within < contractionSeconds) {
			return { step: "contract", contraction, secondsLeft: contractionSeconds - within, ...shared };
		}
		const end = contraction === contractions ? length : restSeconds + contraction * cycle;
		return { step: "pause", contraction, secondsLeft: end - at, ...shared };
	}

	return {
		begin(time) {
			if (!Number.isFinite(time)) throw new RangeError("reference: begin needs a time");
			start = time;
			now = time;
			isStopped = false;
			times.length = 0;
			for (const column of columns) column.length = 0;
		},
		add(time, values) {
			if (values.length !== nRegions) throw new RangeError(`reference: ${nRegions} regions were expected`);
			if (isStopped || !(time >= now) || now - start >= length) return;
			now = time;
			if (times.length > 0 && time === times.at(-1)) return;
			for (let i = 0; i < nRegions; i++) if (!Number.isFinite(values[i]!)) return;
			times.push(time);
			for (let i = 0; i < nRegions; i++) columns[i]!.push(values[i]!);
		},
		stop() {
			isStopped = true;
		},
		view,
		result() {
			if (view().step !== "done") return failure({ kind: "not-finished" });
			for (let index = 0; index < contractions; index++) {
				const { before, contraction, after } = samplesOf(0, index);
				const frames = Math.min(before.times.length, contraction.times.length, after.times.length);
				// the best second may have been among what is missing
				const isBroken =
					longestGap(contraction.times, contractionStart(index), contractionSeconds) > BEST_SECONDS;
				if (frames < FEWEST_REST_SAMPLES || isBroken) {
					return failure({ kind: "too-few-frames", contraction: index + 1, frames });
				}
			}
			return success(
				columns.map((_, region) =>
					referenceOf(Array.from({ length: contractions }, (_unused, index) => samplesOf(region, index))),
				),
			);
		},
	};
}

function checkProtocol({ contractions, restSeconds, contractionSeconds, pauseSeconds }: ReferenceProtocol) {
	if (!(Number.isInteger(contractions) && contractions >= 1 && contractions <= 10)) {
		throw new RangeError("reference: 1 to 10 contractions");
	}
	if (!(restSeconds >= REST_WINDOW))
		throw new RangeError(`reference: rest must last at least ${REST_WINDOW} s`);
	if (!(contractionSeconds >= 2)) throw new RangeError("reference: a contraction must last at least 2 s");
	if (!(pauseSeconds >= SETTLE + REST_WINDOW)) {
		throw new RangeError(`reference: a pause must last at least ${SETTLE + REST_WINDOW} s`);
	}
}

/** Longest time without a frame, from `begin` on, s. */
function longestGap(times: ArrayLike<number>, begin: number, seconds: number): number {
	let last = begin;
	let longest = 0;
	for (const time of [...Array.from(times), begin + seconds]) {
		longest = Math.max(longest, time - last);
		last = time;
	}
	return longest;
}

/** Index of the first time at or after `time`. */
function lowerBound(times: readonly number[], time: number): number {
	let low = 0;
	let high = times.length;
	while (low < high) {
		const middle = (low + high) >> 1;
		if (times[middle]! < time) low = middle + 1;
		else high = middle;
	}
	return low;
}
