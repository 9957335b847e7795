import { createRestFinder } from "./rest-finder.ts";

/**
 * A rest baseline that follows the slow drift of the readings from one rest to the next (common practice; no source).
 * What happens between two rests never moves it, so a hold keeps its height however long it is. Nothing is thrown away:
 * every baseline that was in force is a version with its time, and frames stay as they came.
 */
export interface BaselineVersion {
	/** From 1, without gaps. */
	readonly version: number;
	/** In force for frames from this time on. s */
	readonly seconds: number;
	/** Whether somebody took it or drift was followed. */
	readonly cause: "taken" | "followed";
	/** [nReadings] in the readings' unit. */
	readonly readings: Float64Array;
}

export interface DriftFollower {
	readonly current: BaselineVersion;
	readonly isResting: boolean;
	/** A rest baseline was taken by hand. */
	retake(seconds: number, readings: Float64Array): BaselineVersion;
	/**
	 * @param readings [nReadings] NaN where missing
	 * @param means [nRegions] of this frame, counted from `current`
	 * @param mayFollow false while the readings say nothing of rest, or nothing may change; rest is told from work all the
	 *  same
	 * @returns the next version, where drift has moved the rest far enough; means count from it with the next frame
	 */
	take(
		seconds: number,
		readings: Float64Array,
		means: ArrayLike<number>,
		mayFollow?: boolean,
	): BaselineVersion | null;
}

export interface DriftOptions {
	/** [nReadings] */
	readonly baseline: Float64Array;
	/** [nReadings] standard deviation at rest. */
	readonly readingNoise: Float64Array;
	/** Numbers of the readings by which drift is judged worth following; all follow it. */
	readonly judged: Uint32Array;
	/** [nRegions] standard deviation of each mean at rest. */
	readonly regionNoise: ArrayLike<number>;
	/** s */
	readonly seconds: number;
}

/** After work, muscle and skin settle; only then does rest count. s */
const SETTLES = 1;
/** Readings at rest are averaged with this time constant, s, and believed after twice that. */
const AVERAGED = 2;
/** What a followed baseline is the mean of at least, s. */
export const FOLLOWED_SECONDS = 2 * AVERAGED;
/** Versions are at least so far apart, s, so that a session holds few. */
const LEAST_APART = 10;
/** A new version is worth it once the median reading has moved by this share of its deviation. */
const WORTH = 0.5;

export function createDriftFollower(options: DriftOptions): DriftFollower {
	const { readingNoise, regionNoise, judged } = options;
	const readingCount = options.baseline.length;
	if (readingNoise.length !== readingCount) throw new RangeError("drift: one deviation for each reading");
	const finder = createRestFinder(regionNoise);
	const level = new Float64Array(readingCount);
	const moved = new Float64Array(judged.length);
	let current: BaselineVersion = {
		version: 1,
		seconds: options.seconds,
		cause: "taken",
		readings: options.baseline.slice(),
	};
	let averagedFor = 0;
	let last = Number.NaN;

	function next(seconds: number, cause: BaselineVersion["cause"], readings: Float64Array): BaselineVersion {
		current = { version: current.version + 1, seconds, cause, readings: readings.slice() };
		finder.rebase();
		return current;
	}

	function average(readings: Float64Array, dt: number): void {
		if (averagedFor === 0) {
			for (let r = 0; r < readingCount; r++)
				level[r] = Number.isNaN(readings[r]!) ? current.readings[r]! : readings[r]!;
		}
		averagedFor += dt;
		// a plain mean at first, then an exponential one
		const share = Math.min(1, dt / Math.min(averagedFor, AVERAGED));
		for (let r = 0; r < readingCount; r++) {
			if (!Number.isNaN(readings[r]!)) level[r]! += share * (readings[r]! - level[r]!);
		}
	}

	function hasMoved(): boolean {
		for (let i = 0; i < moved.length; i++) {
			const r = judged[i]!;
			moved[i] = Math.abs(level[r]! - current.readings[r]!) / readingNoise[r]!;
		}
		moved.sort();
		return moved[moved.length >> 1]! > WORTH;
	}

	return {
		get current() {
			return current;
		},
		get isResting() {
			return finder.isResting;
		},
		retake(seconds, readings) {
			if (readings.length !== readingCount) throw new RangeError("drift: a baseline of another pattern");
			averagedFor = 0;
			return next(seconds, "taken", readings);
		},
		take(seconds, readings, means, mayFollow = true) {
			const dt = Number.isNaN(last) ? 0 : Math.min(0.5, Math.max(0, seconds - last));
			last = seconds;
			if (!finder.take(seconds, means) || seconds - finder.restingSince < SETTLES || !mayFollow) {
				averagedFor = 0;
				return null;
			}
			average(readings, dt);
			if (averagedFor < FOLLOWED_SECONDS || seconds - current.seconds < LEAST_APART || !hasMoved())
				return null;
			return next(seconds, "followed", level);
		},
	};
}

/** The baseline that was in force at a time: what a replay counts from. @param versions in the order of their time, not
 *  empty; before the first one the first holds */
export function baselineAt(versions: readonly BaselineVersion[], seconds: number): BaselineVersion {
	let found = versions[0];
	if (found === undefined) throw new RangeError("drift: no baseline version");
	for (const version of versions) if (version.seconds <= seconds) found = version;
	return found;
}
