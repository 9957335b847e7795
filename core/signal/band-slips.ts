/** Bands that have lost their place against each other since the rest baseline, told from the moves of volume pictures. */

export interface BandSlip {
	/** Numbers from 0; the one that seems to have moved more comes first. */
	readonly bands: readonly [moved: number, other: number];
	/** How much nearer to each other they are than at rest, m; negative: farther. 0 where that cannot be told from none. */
	readonly nearerMetre: number;
	/** How far the first is turned against the other, rad anticlockwise; 0 where that cannot be told from none. */
	readonly turnedRad: number;
	/** Whether it is clear that the first moved, and not both. */
	readonly isOne: boolean;
}

export interface BandSlips {
	/** What is told now; the same list until that changes. */
	readonly slips: readonly BandSlip[];
	/** @param seconds of the band's clock @param moves of each band its slide, m along the limb, and its twist, rad
	 *  @returns whether `slips` is another now */
	take(seconds: number, moves: ArrayLike<number>): boolean;
}

/** Less cannot be told from none: on simulated thighs whose bands stay, muscles that change by 30 % pass for less. Common
 *  practice, no source. */
const LEAST_SLIDE = 0.003;
const LEAST_TWIST = (2 * Math.PI) / 180;
/** A band that slipped stays where it is; a contraction ends. In seconds. */
const LASTING = 15;
/** Told again as soon as it is another by so much of the least. */
const STEP = 0.5;
/** Of how near bands came, the share that the one must have made for it to be named alone. */
const CLEAR_SHARE = 0.7;

/**
 * Only what bands do against each other is told: what all do alike hardly shows in readings, and a muscle at work looks a
 * little like it.
 *
 * @param order [nBands] numbers of the bands from the lowest on the limb to the highest
 */
export function createBandSlips(order: readonly number[]): BandSlips {
	const means = new Float64Array(2 * order.length);
	/** Of each neighbouring pair since when its slide, its twist is beyond (or within) what is told of it. */
	const since = new Float64Array(2 * order.length).fill(Number.NaN);
	let last = Number.NaN;
	let slips: readonly BandSlip[] = [];
	const told = new Float64Array(2 * order.length);

	/** Follows a value once it has differed from what is told for long enough. @returns whether it does so now */
	function follow(at: number, value: number, least: number, seconds: number): boolean {
		const wanted = Math.abs(value) < least ? 0 : value;
		if (Math.abs(wanted - told[at]!) < STEP * least) {
			since[at] = Number.NaN;
			return false;
		}
		if (Number.isNaN(since[at]!)) since[at] = seconds;
		if (seconds - since[at]! < LASTING) return false;
		since[at] = Number.NaN;
		told[at] = wanted;
		return true;
	}

	function describe(): readonly BandSlip[] {
		const found: BandSlip[] = [];
		for (let i = 0; i + 1 < order.length; i++) {
			const nearer = told[2 * i]!;
			const turned = told[2 * i + 1]!;
			if (nearer === 0 && turned === 0) continue;
			const [low, high] = [order[i]!, order[i + 1]!];
			const mode = nearer === 0 ? 1 : 0;
			const [ofLow, ofHigh] = [Math.abs(means[2 * low + mode]!), Math.abs(means[2 * high + mode]!)];
			const isLow = ofLow > ofHigh;
			found.push({
				bands: isLow ? [low, high] : [high, low],
				nearerMetre: nearer,
				turnedRad: isLow ? turned : 0 - turned,
				isOne:
					mode === 0 &&
					Math.max(ofLow, ofHigh) > CLEAR_SHARE * Math.abs(nearer) &&
					Math.min(ofLow, ofHigh) < (1 - CLEAR_SHARE) * Math.abs(nearer),
			});
		}
		return found;
	}

	return {
		get slips() {
			return slips;
		},
		take(seconds, moves) {
			const passed = Math.max(0, seconds - last);
			// the mean of some seconds, so that one frame's noise begins nothing anew
			const share = Number.isNaN(last) ? 1 : 1 - Math.exp(-passed / 3);
			last = seconds;
			for (let m = 0; m < means.length; m++) means[m]! += share * (moves[m]! - means[m]!);
			let isOther = false;
			for (let i = 0; i + 1 < order.length; i++) {
				const low = 2 * order[i]!;
				const high = 2 * order[i + 1]!;
				if (follow(2 * i, means[low]! - means[high]!, LEAST_SLIDE, seconds)) isOther = true;
				if (follow(2 * i + 1, means[low + 1]! - means[high + 1]!, LEAST_TWIST, seconds)) isOther = true;
			}
			if (isOther) slips = describe();
			return isOther;
		},
	};
}
