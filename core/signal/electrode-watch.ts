import type { ReadingPattern } from "../band/band.ts";
import { ownReadings } from "../band/board-electrode.ts";
import { findReciprocalPairs, type ReciprocalPairs } from "../band/reciprocity.ts";
import type { ContactVerdict } from "./contact.ts";

/**
 * Finds electrodes that fail while frames arrive, and finds them well again, from what a working muscle cannot do:
 *
 * - **contact**: the board says that nothing touches the skin;
 * - **readings**: they are missing or at the converter's limit;
 * - **reciprocity**: the change since rest is another one when driving and reading are swapped (Hartinger, Guardo, Adler
 *   & Gagnon, IEEE Trans. Biomed. Eng. 56:369, 2009);
 * - **noise**: readings jump from frame to frame far more than they did at rest, while most others do not;
 * - **signature**: what its readings show does not follow from what all the others show, see `electrode-misfit.ts`.
 *
 * A failing electrode spoils all of its readings, its neighbours' only in part: an electrode is judged by the lower
 * quartile over its readings, the worst first, and the next by those readings that do not touch it. Readings over other
 * bands' electrodes are not looked at: what fails in them may be the other band's. The thresholds are common practice
 * without a published source, tried on simulated contractions and faults.
 */
export type FaultSign = "contact" | "readings" | "reciprocity" | "noise" | "signature";

/** [electrodeCount] 1 for strangers in a frame of which no reading is missing. */
export type StrangerFinder = (readings: Float64Array) => Uint8Array;

export interface ElectrodeWatch {
	/** [electrodeCount] what is wrong with each electrode now; null: nothing. The same array always. */
	readonly failing: readonly (FaultSign | null)[];
	/** s, device time: from when on frames may be wrong by an electrode that has not been found to fail. NaN where none is
	 *  doubted. Doubt begins with the first frame that a fault spoils, and ends where none is found. */
	readonly doubtfulSince: number;
	/** s, device time: from when on frames were wrong by what was found to fail last; NaN where that is not known. */
	readonly wrongSince: number;
	/** Takes the rest baseline that changes are counted from. @param median, noise [nReadings] in the readings' unit */
	setBaseline(median: Float64Array, noise: Float64Array): void;
	/** @param contacts [electrodeCount] as the board told them last; null where it does not */
	setContacts(contacts: readonly ContactVerdict[] | null): void;
	/** @param find tells which electrodes' readings do not follow from the others', see `electrode-misfit.ts`; null where
	 *  that is not known */
	setStrangers(find: StrangerFinder | null): void;
	/**
	 * Judges one frame. Before a baseline only contacts and missing readings count.
	 *
	 * @param seconds device time, never backwards
	 * @param readings [nReadings] NaN where missing or clipped
	 * @returns whether `failing` changed. Allocates nothing.
	 */
	take(seconds: number, readings: Float64Array): boolean;
}

/** A sign must last this long before an electrode counts as failing, and be gone this long before it counts as well: signs
 *  are averaged already, and what is pictured meanwhile is wrong. s */
const FAILS_AFTER = 0.3;
const RECOVERS_AFTER = 2;
/** A clear sign counts for up to so many times as long, by the square of how far it is beyond the threshold: what is pictured
 *  before an electrode is found is wrong, and the wronger the clearer the sign. Noise builds up as contractions begin, and
 *  counts as it is. */
const MOST_URGENT = 4;
/** Time over which mismatch and jumps are averaged. s */
const AVERAGED = 0.3;
/** Frames farther apart than this count as so far apart, s. */
const LONGEST_STEP = 0.5;
/** Mismatch of a reciprocal pair: in deviations of its noise, and as a share of the reading. Below the second numbers the
 *  electrode is well again. */
const MISMATCH_DEVIATIONS = [8, 4] as const;
const MISMATCH_SHARE = [0.02, 0.01] as const;
/** Jumps, in deviations at rest. */
const JUMPS = [6, 3] as const;
/** A single frame counts for no more than this many times the threshold, so that one spike is no fault, and the beginning
 *  of a contraction, of a few frames, no noise. */
const CLIPPED = 4;
const CLIPPED_JUMP = 1.5;
const CLIPPED_WOBBLE = 3;
/** Mismatch that comes and goes from frame to frame must be so many times as large as one that stays. */
const WOBBLE = 1.5;
/** Where the typical reading jumps by more than this share of the threshold the person moves: noise says nothing then. */
const RESTLESS = 0.5;
/** Fewer readings of an electrode say nothing of it. */
const FEWEST_READINGS = 4;
/** Every frame is followed, but electrodes are judged only so often: it takes longer than a picture. s */
const JUDGED_EVERY = 0.09;
/** In a frame with a fault at least this share of the mismatches that an electrode can cause is there at once. */
const DOUBTED_SHARE = 1 / 3;
/** Without another reason for it doubt ends after this, s. */
const DOUBT_ENDS_AFTER = 0.2;
/** Frames are doubted for no longer than this, s: what takes longer to be found is hardly wrong. */
const LONGEST_DOUBT = 0.9;

type Measured = Exclude<FaultSign, "contact" | "signature">;
const measuredSigns: readonly Measured[] = ["readings", "reciprocity", "noise"];

export function createElectrodeWatch(pattern: ReadingPattern): ElectrodeWatch {
	const { terminals, electrodeCount } = pattern;
	const readingCount = terminals.length / 4;
	const pairs = findReciprocalPairs(pattern);
	const own = ownReadings(pattern);
	const readingsOf = readingsByElectrode(terminals, electrodeCount, own);
	const failing: (FaultSign | null)[] = new Array<FaultSign | null>(electrodeCount).fill(null);
	/** Time with a sign towards failing; once failing, time without one towards recovery. s */
	const gathered = new Float64Array(electrodeCount);
	const signs: (FaultSign | null)[] = new Array<FaultSign | null>(electrodeCount).fill(null);
	/** How many times as long as it lasts each sign counts. */
	const urgency = new Float64Array(electrodeCount);
	const previous = new Float64Array(readingCount).fill(Number.NaN);
	const jump = new Float64Array(readingCount);
	const mismatch = new Float64Array(readingCount);
	/** Mean square of the mismatch in thresholds: of readings that are anything, the mean itself is nothing. */
	const wobble = new Float64Array(readingCount);
	/** Each reading against the threshold: above 1 is a sign. */
	const level: Record<Measured, Float64Array> = {
		readings: new Float64Array(readingCount),
		reciprocity: new Float64Array(readingCount),
		noise: new Float64Array(readingCount),
	};
	const scratch = new Float64Array(readingCount);
	/** 1 for pairs whose readings do not agree in the newest frame. */
	const disagrees = new Uint8Array(pairs.count);
	const fewestDoubted = DOUBTED_SHARE * fewestPairs(pattern, pairs);
	const excluded = new Uint8Array(readingCount);
	let median: Float64Array | null = null;
	let noise = new Float64Array(readingCount).fill(Number.POSITIVE_INFINITY);
	let contacts: readonly ContactVerdict[] | null = null;
	let findStrangers: StrangerFinder | null = null;
	/** Of the newest frame of which no reading was missing. */
	let strangers: Uint8Array | null = null;
	let last = Number.NaN;
	let judged = Number.NaN;
	let isRestless = false;
	let doubtfulSince = Number.NaN;
	let doubtedAt = Number.NaN;
	let wrongSince = Number.NaN;

	function followReadings(elapsed: number, readings: Float64Array): void {
		const share = -Math.expm1(-elapsed / AVERAGED);
		for (let i = 0; i < own.length; i++) {
			const r = own[i]!;
			const value = readings[r]!;
			level.readings[r] = Number.isNaN(value) ? 2 : 0;
			const step = value - previous[r]!;
			const most = CLIPPED_JUMP * JUMPS[0] ** 2 * noise[r]! ** 2;
			if (!Number.isNaN(step)) jump[r]! += share * (Math.min(most, (step * step) / 2) - jump[r]!);
			previous[r] = value;
		}
		if (median === null) return;
		for (let p = 0; p < pairs.count; p++) {
			const a = pairs.first[p]!;
			const b = pairs.second[p]!;
			const difference = readings[a]! - median[a]! - pairs.sign[p]! * (readings[b]! - median[b]!);
			disagrees[p] = 0;
			if (Number.isNaN(difference)) continue;
			const least = leastMismatch(a, b, 0);
			if (Math.abs(difference) > least) disagrees[p] = 1;
			const times = Math.max(-CLIPPED, Math.min(CLIPPED, difference / least));
			mismatch[a]! += share * (times * least - mismatch[a]!);
			mismatch[b] = mismatch[a]!;
			wobble[a]! += share * (Math.min(CLIPPED_WOBBLE, Math.abs(times)) ** 2 - wobble[a]!);
		}
	}

	function leastMismatch(a: number, b: number, at: 0 | 1): number {
		// `Math.hypot` takes memory at each call, and this is asked for every pair of every frame
		const deviation = Math.sqrt(noise[a]! ** 2 + noise[b]! ** 2);
		return Math.max(MISMATCH_DEVIATIONS[at] * deviation, MISMATCH_SHARE[at] * Math.abs(median![a]!));
	}

	/** More pairs disagree in the newest frame than electrodes that are known to fail explain. */
	function isDoubtful(): boolean {
		let count = 0;
		for (let p = 0; p < pairs.count; p++) {
			if (disagrees[p] === 1 && !touchesFailing(pairs.first[p]!)) count++;
		}
		return count > fewestDoubted;
	}

	function touchesFailing(reading: number): boolean {
		for (let i = 4 * reading; i < 4 * reading + 4; i++) if (failing[terminals[i]!] !== null) return true;
		return false;
	}

	/** @param since when what is doubted may have begun, s; NaN where nothing is in doubt now */
	function followDoubt(seconds: number, since: number): void {
		if (!Number.isNaN(since)) {
			doubtedAt = seconds;
			if (Number.isNaN(doubtfulSince)) doubtfulSince = since;
		} else if (Math.abs(seconds - doubtedAt) > DOUBT_ENDS_AFTER) {
			doubtfulSince = Number.NaN;
		}
		// stays NaN
		doubtfulSince = Math.max(doubtfulSince, seconds - LONGEST_DOUBT);
	}

	/** Signs are averages, and so is what the board says of contacts, for all that is known of it. Readings that are missing
	 *  or at their limit are known to be from the first frame on. */
	function hasDoubtfulSign(): boolean {
		for (let e = 0; e < electrodeCount; e++) {
			if (signs[e] !== null && signs[e] !== "readings" && failing[e] === null) return true;
		}
		return false;
	}

	function isWhole(readings: Float64Array): boolean {
		for (let i = 0; i < own.length; i++) if (Number.isNaN(readings[own[i]!]!)) return false;
		return true;
	}

	/** How far each reading is beyond what is usual. @param at 0: to fail, 1: to stay failing */
	function judgeReadings(at: 0 | 1): void {
		if (median === null) return;
		for (let i = 0; i < own.length; i++) {
			const r = own[i]!;
			level.noise[r] = jump[r]! / (JUMPS[at] * noise[r]!) ** 2;
			scratch[i] = jump[r]! / (JUMPS[0] * noise[r]!) ** 2;
		}
		isRestless = quantile(scratch, own.length, 0.5) > RESTLESS;
		for (let p = 0; p < pairs.count; p++) {
			const a = pairs.first[p]!;
			const b = pairs.second[p]!;
			const least = leastMismatch(a, b, at);
			const wobbling = (Math.sqrt(wobble[a]!) / WOBBLE) * (leastMismatch(a, b, 0) / least);
			level.reciprocity[a] = Math.max(Math.abs(mismatch[a]!) / least, wobbling);
			level.reciprocity[b] = level.reciprocity[a]!;
		}
	}

	/** Lower quartile over an electrode's readings that do not touch one that was found already. */
	function scoreOf(electrode: number, of: Float64Array): number {
		let count = 0;
		for (const r of readingsOf[electrode]!) if (excluded[r] === 0) scratch[count++] = of[r]!;
		return count < FEWEST_READINGS ? 0 : quantile(scratch, count, 0.25);
	}

	function exclude(electrode: number): void {
		for (const r of readingsOf[electrode]!) excluded[r] = 1;
	}

	/** Marks `signs`, the worst electrode first, among those that are failing already or, with `at` 0, all. */
	function findSigns(at: 0 | 1): void {
		judgeReadings(at);
		for (const sign of measuredSigns) {
			if (sign === "noise" && isRestless) continue;
			for (let round = 0; round < electrodeCount / 2; round++) {
				let worst = -1;
				let score = 1;
				for (let e = 0; e < electrodeCount; e++) {
					if (signs[e] !== null || (at === 1 && failing[e] === null)) continue;
					const own = scoreOf(e, level[sign]);
					if (own > score) {
						score = own;
						worst = e;
					}
				}
				if (worst < 0) break;
				signs[worst] = sign;
				urgency[worst] = sign === "noise" ? 1 : Math.min(MOST_URGENT, score * score);
				exclude(worst);
			}
		}
	}

	return {
		failing,
		get doubtfulSince() {
			return doubtfulSince;
		},
		get wrongSince() {
			return wrongSince;
		},
		setBaseline(newMedian, newNoise) {
			if (newMedian.length !== readingCount || newNoise.length !== readingCount) {
				throw new RangeError(`electrode watch: a baseline of ${readingCount} readings was expected`);
			}
			median = newMedian.slice();
			noise = newNoise.slice();
			mismatch.fill(0);
			wobble.fill(0);
			jump.fill(0);
			disagrees.fill(0);
			isRestless = false;
			doubtfulSince = Number.NaN;
		},
		setContacts(told) {
			contacts = told;
		},
		setStrangers(find) {
			findStrangers = find;
			strangers = null;
		},
		take(seconds, readings) {
			if (readings.length !== readingCount) {
				throw new RangeError(
					`electrode watch: ${readings.length} readings where ${readingCount} were expected`,
				);
			}
			followReadings(stepFrom(last, seconds), readings);
			last = seconds;
			followDoubt(seconds, isDoubtful() ? seconds : Number.NaN);
			if (Math.abs(seconds - judged) < JUDGED_EVERY) return false;
			const elapsed = stepFrom(judged, seconds);
			judged = seconds;
			if (findStrangers !== null && isWhole(readings)) strangers = findStrangers(readings);
			excluded.fill(0);
			for (let e = 0; e < electrodeCount; e++) {
				const isOff = contacts?.[e] === "off";
				urgency[e] = 1;
				signs[e] = isOff ? "contact" : strangers?.[e] === 1 ? "signature" : null;
				if (signs[e] !== null) exclude(e);
			}
			// what fails already is judged first, and more strictly: it must be well by far before it is believed
			findSigns(1);
			findSigns(0);
			if (hasDoubtfulSign()) followDoubt(seconds, seconds - AVERAGED);
			return settle(seconds, elapsed);
		},
	};

	/** Signs that last become faults; faults without signs for long end. A sign may come and go, as jumps do that hide in
	 *  those of a contraction: what it gathers while there is lost half as fast. */
	function settle(seconds: number, elapsed: number): boolean {
		let changed = false;
		let isFound = false;
		for (let e = 0; e < electrodeCount; e++) {
			const hasSign = signs[e] !== null;
			if (failing[e] === null) {
				gathered[e] = hasSign
					? gathered[e]! + urgency[e]! * elapsed
					: Math.max(0, gathered[e]! - elapsed / 2);
				if (!hasSign || gathered[e]! < FAILS_AFTER) continue;
				failing[e] = signs[e]!;
				isFound ||= signs[e] !== "readings";
			} else if (hasSign || (failing[e] === "noise" && isRestless)) {
				gathered[e] = Math.max(0, gathered[e]! - 2 * elapsed);
				continue;
			} else {
				gathered[e]! += elapsed;
				if (gathered[e]! < RECOVERS_AFTER) continue;
				failing[e] = null;
			}
			gathered[e] = 0;
			changed = true;
		}
		if (changed) wrongSince = isFound ? doubtfulSince : Number.NaN;
		// another one may fail, too
		if (isFound) doubtfulSince = isDoubtful() ? seconds : Number.NaN;
		return changed;
	}
}

/** s; another board's clock may be behind. */
function stepFrom(before: number, now: number): number {
	return Number.isNaN(before) ? 0 : Math.min(LONGEST_STEP, Math.max(0, now - before));
}

/** Of all electrodes that have any. */
function fewestPairs({ terminals, electrodeCount }: ReadingPattern, pairs: ReciprocalPairs): number {
	const counts = new Uint32Array(electrodeCount);
	for (const r of pairs.first) for (let i = 4 * r; i < 4 * r + 4; i++) counts[terminals[i]!]!++;
	return counts.reduce(
		(least, count) => (count > 0 ? Math.min(least, count) : least),
		Number.POSITIVE_INFINITY,
	);
}

function readingsByElectrode(
	terminals: Uint16Array,
	electrodeCount: number,
	readings: Uint32Array,
): readonly Uint32Array[] {
	const lists: number[][] = Array.from({ length: electrodeCount }, () => []);
	for (const r of readings) for (let i = 4 * r; i < 4 * r + 4; i++) lists[terminals[i]!]!.push(r);
	return lists.map((list) => Uint32Array.from(list));
}

/** Of the first `count` values, whose order it changes; NaN counts as zero. By C. A. R. Hoare's selection (Comm. ACM
 *  4:321, 1961). */
function quantile(values: Float64Array, count: number, share: number): number {
	for (let i = 0; i < count; i++) if (Number.isNaN(values[i]!)) values[i] = 0;
	const wanted = Math.floor(share * (count - 1));
	let low = 0;
	let high = count - 1;
	while (low < high) {
		const pivot = values[wanted]!;
		let i = low;
		let j = high;
		while (i <= j) {
			while (values[i]! < pivot) i++;
			while (values[j]! > pivot) j--;
			if (i > j) break;
			const value = values[i]!;
			values[i++] = values[j]!;
			values[j--] = value;
		}
		if (j < wanted) low = i;
		if (i > wanted) high = j;
	}
	return values[wanted]!;
}
