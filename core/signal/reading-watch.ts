import type { ReadingPattern } from "../band/band.ts";
import { ownReadings } from "../band/board-electrode.ts";
import type { ContactVerdict } from "./contact.ts";
import { createElectrodeWatch, type FaultSign, type StrangerFinder } from "./electrode-watch.ts";
import { type LeftOut, type LostElectrode, leaveOut, leaveOutNothing } from "./left-out.ts";
import { electrodesOffAtRest } from "./rest-faults.ts";

/**
 * Decides frame by frame what pictures are made without: readings that are missing or at the converter's limit from that
 * very frame on, failing electrodes once `electrode-watch.ts` has found them. Both come back by themselves; what was
 * failing when rest was taken comes back with the next rest.
 */
export interface ReadingWatch {
	/** In force for the newest frame. */
	readonly leftOut: LeftOut;
	/** As `ElectrodeWatch` has it. */
	readonly doubtfulSince: number;
	/** Changes are counted from this rest from now on; null for none. */
	setBaseline(rest: { readonly median: Float64Array; readonly noise: Float64Array } | null): void;
	/** @param verdicts [electrodeCount] as the board told them last; null where it does not */
	setContacts(verdicts: readonly ContactVerdict[] | null): void;
	/** As `ElectrodeWatch` wants it; its readings are those of a frame. */
	setStrangers(find: StrangerFinder | null): void;
	/**
	 * Judges one frame. Allocates nothing as long as nothing changes.
	 *
	 * @param seconds device time
	 * @param values [nReadings] as received
	 * @returns whether `leftOut` is another one now
	 */
	take(seconds: number, values: Float64Array): boolean;
}

/** From this share of full scale on a reading is clipped (common practice, no source). */
const LIMIT_SHARE = 0.98;
/** A reading that was clipped must be well this long before it is believed again. s */
const BELIEVED_AFTER = 2;
/** The frame's largest magnitude, the same to the last digit for so many frames while most others move, is a limit that
 *  the board did not tell of (common practice, no source). */
const SAME_FRAMES = 10;

/** @param fullScale largest magnitude of a reading; 0 where the board does not tell it */
export function createReadingWatch(pattern: ReadingPattern, fullScale: number): ReadingWatch {
	const readingCount = pattern.terminals.length / 4;
	const electrodes = createElectrodeWatch(pattern);
	const own = ownReadings(pattern);
	const limit = fullScale > 0 ? LIMIT_SHARE * fullScale : Number.POSITIVE_INFINITY;
	/** s, when each reading was at its limit last. */
	const limitedAt = new Float64Array(readingCount).fill(Number.NEGATIVE_INFINITY);
	const isLimited = new Uint8Array(readingCount);
	/** The newest frame, NaN where a reading is at its limit. */
	const usable = new Float64Array(readingCount);
	const previous = new Float64Array(readingCount).fill(Number.NaN);
	const sameFor = new Uint32Array(readingCount);
	const sinceRest = new Map<number, FaultSign>();
	let readingsAtRest: readonly number[] = [];
	let offContacts: readonly ContactVerdict[] | null = null;
	let leftOut = leaveOutNothing(pattern);

	/** @param wrongSeconds as `LeftOut` has it */
	function compose(wrongSeconds: number): void {
		const lost: LostElectrode[] = [];
		for (let electrode = 0; electrode < pattern.electrodeCount; electrode++) {
			const sign = electrodes.failing[electrode] ?? sinceRest.get(electrode) ?? null;
			if (sign !== null) lost.push({ electrode, sign, isSinceRest: sinceRest.has(electrode) });
		}
		const parts = { electrodes: withoutDoubted(lost), readings: limited(), readingsAtRest };
		leftOut = leaveOut(pattern, parts, wrongSeconds);
	}

	/** One all of whose readings touch others that fail cannot be told from a good one, and is not accused. */
	function withoutDoubted(lost: readonly LostElectrode[]): LostElectrode[] {
		let accused = [...lost];
		for (const one of lost) {
			if (one.sign === "contact") continue;
			const others = accused.filter((other) => other !== one).map(({ electrode }) => electrode);
			if (touchesOnly(one.electrode, others)) accused = accused.filter((other) => other !== one);
		}
		return accused;
	}

	function touchesOnly(electrode: number, others: readonly number[]): boolean {
		for (const r of own) {
			const terminals = pattern.terminals.subarray(4 * r, 4 * r + 4);
			if (terminals.includes(electrode) && !others.some((other) => terminals.includes(other))) return false;
		}
		return true;
	}

	function limited(): number[] {
		return Array.from(isLimited.keys()).filter((r) => isLimited[r] === 1);
	}

	/** Most of its readings are at their limit in the newest frame. */
	function isUnusable(electrode: number): boolean {
		let all = 0;
		let lost = 0;
		for (const r of own) {
			if (!pattern.terminals.subarray(4 * r, 4 * r + 4).includes(electrode)) continue;
			all++;
			if (Number.isNaN(usable[r]!)) lost++;
		}
		return 2 * lost > all;
	}

	/** @returns the largest magnitude if most of the frame has moved, else infinity */
	function followRepeats(values: Float64Array): number {
		let largest = 0;
		let same = 0;
		for (let r = 0; r < readingCount; r++) {
			const value = values[r]!;
			const isSame = value === previous[r];
			sameFor[r] = isSame ? sameFor[r]! + 1 : 0;
			if (isSame) same++;
			if (Math.abs(value) > largest) largest = Math.abs(value);
			previous[r] = value;
		}
		return 2 * same < readingCount ? largest : Number.POSITIVE_INFINITY;
	}

	/** @returns whether other readings are limited than before */
	function followLimits(seconds: number, values: Float64Array): boolean {
		const largest = followRepeats(values);
		let changed = false;
		for (let r = 0; r < readingCount; r++) {
			const value = values[r]!;
			const size = Math.abs(value);
			const isRepeated = size >= largest && sameFor[r]! >= SAME_FRAMES;
			const isUsable = size < limit && !isRepeated;
			usable[r] = isUsable ? value : Number.NaN;
			if (!isUsable) limitedAt[r] = seconds;
			// another board's clock may be behind
			const age = seconds - limitedAt[r]!;
			const now = age >= 0 && age < BELIEVED_AFTER ? 1 : 0;
			if (now !== isLimited[r]) {
				isLimited[r] = now;
				changed = true;
			}
		}
		return changed;
	}

	return {
		get leftOut() {
			return leftOut;
		},
		get doubtfulSince() {
			return electrodes.doubtfulSince;
		},
		setBaseline(rest) {
			sinceRest.clear();
			readingsAtRest = [];
			if (rest !== null) {
				// that a reading does not fit the rest before says nothing of this one
				for (const [e, sign] of electrodes.failing.entries()) {
					const isOff = offContacts?.[e] === "off";
					if (isOff || (sign === "readings" && isUnusable(e))) sinceRest.set(e, sign ?? "contact");
				}
				for (const e of electrodesOffAtRest(pattern, rest.median)) {
					if (!sinceRest.has(e)) sinceRest.set(e, "reciprocity");
				}
				readingsAtRest = Array.from(rest.median.keys()).filter(
					(r) => Number.isNaN(usable[r]!) || !(Math.abs(rest.median[r]!) < limit),
				);
				electrodes.setBaseline(rest.median, rest.noise);
			}
			compose(0);
		},
		setContacts(verdicts) {
			offContacts = verdicts;
			electrodes.setContacts(verdicts);
		},
		setStrangers: (find) => electrodes.setStrangers(find),
		take(seconds, values) {
			if (values.length !== readingCount) {
				throw new RangeError(`reading watch: ${values.length} readings where ${readingCount} were expected`);
			}
			const areLimitsOther = followLimits(seconds, values);
			const areElectrodesOther = electrodes.take(seconds, usable);
			if (!areLimitsOther && !areElectrodesOther) return false;
			const { wrongSince } = electrodes;
			compose(areElectrodesOther && !Number.isNaN(wrongSince) ? seconds - wrongSince : 0);
			return true;
		},
	};
}
