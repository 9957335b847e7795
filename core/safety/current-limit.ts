import { failure, type Result, success } from "../result.ts";

/**
 * Limits of the current through the person, ampere r.m.s.
 *
 * Source: IEC 60601-1:2005 with amendments 1 (2012) and 2 (2020), clause 8.7.3, table 3: patient auxiliary current,
 * type BF applied part, normal condition, a.c. 100 µA as read on the frequency-weighted measuring device (figure 12:
 * first order, nominal corner 1 kHz), and 10 mA unweighted whatever the frequency (8.7.3 e). Clause, table and
 * figure numbers are from memory; the 100 µA agrees with limits that manufacturers of medical devices print in
 * their service manuals. Scaling the table's value by f/1 kHz is the usual design rule (common practice, no source);
 * the exact network allows 1 to 4 % more between 10 and 100 kHz. Read the standard itself before relying on these.
 */
export const weightedLimitAmpere = 100e-6;
export const unweightedLimitAmpere = 10e-3;
export const weightingCornerHertz = 1000;

/**
 * What the app itself allows unless told otherwise: 1 mA at 50 kHz, a fifth of the standard's value there.
 * Wearable bands on a limb usually stay at or below 1 mA (common practice, no source); studies of bioimpedance in
 * people with implanted cardiac devices used at most 0.8 mA at 5 to 500 kHz (Heart Rhythm O2 6(12), 2025).
 */
export const defaultWorkingLimitAmpere = 1e-3;

/** Largest current that the standard's rule allows at a frequency: 0.1 mA × max(1, f / 1 kHz), at most 10 mA.
 *  @throws RangeError unless the frequency is finite and above 0. */
export function standardLimit(frequencyHertz: number): number {
	if (!(frequencyHertz > 0 && Number.isFinite(frequencyHertz))) {
		throw new RangeError(`current limit: a frequency above 0 Hz is needed, got ${frequencyHertz}`);
	}
	const weighting = Math.max(1, frequencyHertz / weightingCornerHertz);
	return Math.min(weightedLimitAmpere * weighting, unweightedLimitAmpere);
}

/** The limit in force: the smaller of the working limit and the standard's rule at that frequency, ampere. */
export function currentLimit(frequencyHertz: number, workingLimitAmpere = defaultWorkingLimitAmpere): number {
	return Math.min(standardLimit(frequencyHertz), workingLimitAmpere);
}

export interface OverCurrent {
	readonly kind: "over-current-limit";
	readonly currentAmpere: number;
	readonly limitAmpere: number;
	readonly frequencyHertz: number;
}

/** Room for a current that was sent in whole µA and computed in mA: one part in 10⁹. */
const rounding = 1 + 1e-9;

/** Whether a current may flow. Fails closed: a current or frequency that is not a number, or a negative current,
 *  is refused with a limit of 0. */
export function checkCurrent(
	currentAmpere: number,
	frequencyHertz: number,
	workingLimitAmpere = defaultWorkingLimitAmpere,
): Result<null, OverCurrent> {
	const readable = currentAmpere >= 0 && frequencyHertz > 0 && Number.isFinite(frequencyHertz);
	const limitAmpere = readable ? currentLimit(frequencyHertz, workingLimitAmpere) : 0;
	if (readable && currentAmpere <= limitAmpere * rounding) return success(null);
	return failure({ kind: "over-current-limit", currentAmpere, limitAmpere, frequencyHertz });
}
