import { type MeasuringConditions, type UnsafeComparison, unsafeBetween } from "./progress.ts";
import { withReferencesOf } from "./reference-target.ts";

/** A reference that is older says little about the muscle of today (our own bound, no source). */
export const LONGEST_REFERENCE_DAYS = 90;

/** Why a reference contraction is to be taken anew. With `old` alone it still counts; with any other it does not. */
export type RenewReason = "old" | UnsafeComparison;

/**
 * @param ageDays since it was taken
 * @param present what would be measured with now, as far as it is known
 */
export function reasonsToRenew(
	taken: MeasuringConditions,
	ageDays: number,
	present: Partial<MeasuringConditions>,
): RenewReason[] {
	const before = withReferencesOf(taken, []);
	const unsafe = unsafeBetween(before, withReferencesOf({ ...before, ...present }, []));
	return ageDays > LONGEST_REFERENCE_DAYS ? ["old", ...unsafe] : unsafe;
}
