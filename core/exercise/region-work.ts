import { engagementPercent, type RegionReference } from "./engagement.ts";
import type { Repetition } from "./repetition.ts";
import { medianOf } from "./rest-level.ts";

/** One region over a whole set. */
export interface RegionTrace {
	readonly regionId: string;
	readonly reference: RegionReference;
	/** [nSamples] in the signal's unit; NaN where there was none. */
	readonly values: ArrayLike<number>;
}

/** Rest of a region is taken this long before each repetition, s. */
const REST_BEFORE = 2;
const FEWEST = 3;

/** How one region worked in each repetition. */
export interface RegionWork {
	readonly regionId: string;
	/** Percent of the reference, mean over the repetition, one per repetition; NaN where it could not be measured. */
	readonly percent: readonly number[];
	/** Noise of one sample at rest, percent of the reference. */
	readonly noisePercent: number;
}

/**
 * Mean engagement of a region in each repetition, against its rest just before, so that drift is left out.
 * @param times [nSamples] device time, s, rising
 * @returns null for a region without a detected reference: it takes no part
 */
export function regionWorkOf(
	trace: RegionTrace,
	times: ArrayLike<number>,
	repetitions: readonly Repetition[],
): RegionWork | null {
	const { reference, values, regionId } = trace;
	if (reference.state !== "taken") return null;
	if (values.length !== times.length) throw new RangeError("region work: times and values differ in length");
	let rest = reference.rest.level;
	let previousEnd = Number.NEGATIVE_INFINITY;
	const percent = repetitions.map(({ onset, offset }) => {
		const before = within(times, values, Math.max(previousEnd, onset - REST_BEFORE), onset);
		if (before.length >= FEWEST) rest = medianOf(before);
		previousEnd = offset;
		const during = within(times, values, onset, offset);
		if (during.length < FEWEST) return Number.NaN;
		const mean = during.reduce((sum, value) => sum + value, 0) / during.length;
		return engagementPercent(mean, rest, rest + reference.change);
	});
	return { regionId, percent, noisePercent: (100 * reference.rest.noise) / Math.abs(reference.change) };
}

function within(times: ArrayLike<number>, values: ArrayLike<number>, from: number, to: number): number[] {
	const found: number[] = [];
	for (let i = 0; i < times.length; i++) {
		if (times[i]! >= from && times[i]! < to && Number.isFinite(values[i]!)) found.push(values[i]!);
	}
	return found;
}
