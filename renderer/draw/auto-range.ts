/**
 * The end value of a scale, calm enough to read: a round step (1, 2 or 5 times a power of ten unless told otherwise),
 * up at once when the data no longer fit, down only after they have stayed well inside for a while.
 */
export interface AutoRange {
	readonly value: number;
	/** While locked the value stays, whatever comes. */
	locked: boolean;
	/** `peak`: largest magnitude shown now; `seconds`: time of the data, and a step back in it starts afresh.
	 *  @returns true when the value changed. Allocates nothing. */
	update(peak: number, seconds: number): boolean;
	/** Never goes below the step that holds this, such as a few times the noise at rest. */
	setFloor(floor: number): void;
	reset(): void;
}

/** Down only when the peaks of this long would fill less than `ROOM` of the smaller step. */
const HOLD_SECONDS = 8;
const ROOM = 0.8;

/** First digits of round steps, ascending from 1 and below 10. */
export type Steps = readonly number[];

export const coarseSteps: Steps = [1, 2, 5];
/** For axes that have ticks of their own. */
export const fineSteps: Steps = [1, 1.5, 2, 3, 4, 5, 6, 8];

/** @returns the smallest step × 10ⁿ that is not below `value`. @throws RangeError unless it is positive. */
export function stepAtLeast(value: number, steps = coarseSteps): number {
	if (!(value >= 1e-300 && value < 1e300)) throw new RangeError("range: the value must be positive");
	const exponent = Math.floor(Math.log10(value));
	for (const power of [exponent, exponent + 1]) {
		for (const digit of steps) {
			// Read from text, for powers of ten are exact there and 10 ** n is not.
			const step = Number(`${digit}e${power}`);
			if (step >= value * (1 - 1e-9)) return step;
		}
	}
	throw new RangeError("range: a logarithm is off by more than one step");
}

export function createAutoRange(floor: number, steps = coarseSteps): AutoRange {
	/** The largest peak of each of the last seconds, by second modulo `HOLD_SECONDS`. */
	const peaks = new Float64Array(HOLD_SECONDS);
	let smallest = stepAtLeast(floor, steps);
	let value = smallest;
	let second = Number.NaN;
	/** When the value last changed: it does not go down before `HOLD_SECONDS` have passed. */
	let since = 0;

	function lower(): boolean {
		let held = 0;
		for (let i = 0; i < HOLD_SECONDS; i++) if (peaks[i]! > held) held = peaks[i]!;
		const wanted = stepAtLeast(Math.max(held / ROOM, smallest), steps);
		if (wanted >= value) return false;
		value = wanted;
		since = second;
		return true;
	}

	return {
		get value() {
			return value;
		},
		locked: false,
		update(peak, seconds) {
			if (this.locked || !(peak >= 0 && peak < Infinity)) return false;
			const now = Math.floor(seconds);
			const isNewSecond = now !== second;
			if (!(now >= second && now - second < HOLD_SECONDS)) {
				peaks.fill(0);
				since = now;
			} else {
				for (let s = second + 1; s <= now; s++) peaks[slot(s)] = 0;
			}
			second = now;
			if (peak > peaks[slot(now)]!) peaks[slot(now)] = peak;

			if (peak > value) {
				value = stepAtLeast(peak, steps);
				since = now;
				return true;
			}
			return isNewSecond && value > smallest && now - since >= HOLD_SECONDS && lower();
		},
		setFloor(next) {
			smallest = stepAtLeast(next, steps);
			if (value < smallest && !this.locked) value = smallest;
		},
		reset() {
			if (this.locked) return;
			value = smallest;
			second = Number.NaN;
		},
	};
}

function slot(second: number): number {
	return ((second % HOLD_SECONDS) + HOLD_SECONDS) % HOLD_SECONDS;
}
