/**
 * How fast the board's clock runs against the computer's, and which frames came late.
 *
 * A frame's transit is never shorter than some least time and often longer, so only the quickest frame of each second
 * counts; a straight line through those of the last minute has the drift as its slope. The slope is the median over all
 * pairs (H. Theil, "A rank-invariant method of linear and polynomial regression analysis", Proc. Kon. Ned. Akad. Wetensch.
 * 53, 1950; P. K. Sen, J. Am. Stat. Assoc. 63:1379, 1968): up to 29 % of the seconds may be held up by anything without
 * moving it.
 */
export interface ClockDrift {
	/** Of the board's clock: above zero it runs fast. Null until `FEWEST_SECONDS` have been seen. Parts per million. */
	readonly partsPerMillion: number | null;
	/** Frames so far that came more than `LATE_MILLISECONDS` after the quickest of the last seconds would have. */
	readonly late: number;
	/** @param deviceMicros device time, µs, never running backwards
	 *  @param receivedAt ms on a clock of the computer that is never set
	 *  @returns whether the frame is late */
	take(deviceMicros: number, receivedAt: number): boolean;
	/** Another board, or the same one after a break: its time may begin anew. What came late stays counted. */
	restart(): void;
}

/** Over a minute a second's jitter of 3 ms leaves some 20 ppm, less than crystals differ by. */
export const SLOTS = 60;
const SLOT_MICROS = 1e6;
/** Before, the slope says more about jitter than about clocks (our own choice). */
export const FEWEST_SECONDS = 20;
/** Later than this a movement is seen to lag on the screen (our own choice). */
export const LATE_MILLISECONDS = 100;
/** The quickest of these last seconds is what a frame is held against. */
const LATE_AGAINST_SLOTS = 5;
/** No clock drifts by this within a second: time has begun anew or the computer slept. */
const LEAP_MICROS = 500_000;

export function createClockDrift(): ClockDrift {
	/** Ring of whole seconds: device time of the quickest frame and its offset, µs since the first frame. */
	const times = new Float64Array(SLOTS);
	const offsets = new Float64Array(SLOTS);
	const slopes = new Float64Array((SLOTS * (SLOTS - 1)) / 2);
	let filled = 0;
	let next = 0;
	let firstDevice = Number.NaN;
	let firstHost = 0;
	let slot = 0;
	let quickest = Number.POSITIVE_INFINITY;
	let quickestAt = 0;
	let partsPerMillion: number | null = null;
	let late = 0;

	function restart(): void {
		filled = 0;
		next = 0;
		firstDevice = Number.NaN;
		quickest = Number.POSITIVE_INFINITY;
		partsPerMillion = null;
	}

	function begin(deviceMicros: number, receivedAt: number): void {
		restart();
		firstDevice = deviceMicros;
		firstHost = receivedAt;
		slot = 0;
	}

	/** @returns false where time has leapt */
	function closeSlot(): boolean {
		const before = offsets[(next + SLOTS - 1) % SLOTS]!;
		if (filled > 0 && Math.abs(quickest - before) > LEAP_MICROS) return false;
		times[next] = quickestAt;
		offsets[next] = quickest;
		next = (next + 1) % SLOTS;
		filled = Math.min(SLOTS, filled + 1);
		quickest = Number.POSITIVE_INFINITY;
		partsPerMillion = filled < FEWEST_SECONDS ? null : 1e6 * (1 / (1 + medianSlope()) - 1);
		return true;
	}

	function medianSlope(): number {
		let count = 0;
		for (let a = 1; a < filled; a++) {
			for (let b = 0; b < a; b++) slopes[count++] = (offsets[a]! - offsets[b]!) / (times[a]! - times[b]!);
		}
		const sorted = slopes.subarray(0, count).sort();
		const middle = count >> 1;
		return count % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
	}

	function leastOffset(): number {
		let least = quickest;
		for (let i = 1; i <= Math.min(filled, LATE_AGAINST_SLOTS); i++) {
			least = Math.min(least, offsets[(next + SLOTS - i) % SLOTS]!);
		}
		return least;
	}

	return {
		get partsPerMillion() {
			return partsPerMillion;
		},
		get late() {
			return late;
		},
		take(deviceMicros, receivedAt) {
			if (Number.isNaN(firstDevice)) begin(deviceMicros, receivedAt);
			const time = deviceMicros - firstDevice;
			const now = Math.floor(time / SLOT_MICROS);
			if (now > slot && quickest < Number.POSITIVE_INFINITY) {
				if (!closeSlot()) {
					begin(deviceMicros, receivedAt);
					return false;
				}
				slot = now;
			}
			const offset = 1000 * (receivedAt - firstHost) - time;
			const isLate = offset - leastOffset() > 1000 * LATE_MILLISECONDS;
			if (isLate) late++;
			if (offset < quickest) {
				quickest = offset;
				quickestAt = time;
			}
			return isLate;
		},
		restart,
	};
}
