import { errorBand, minimalDetectableChange } from "./measurement-error.ts";

/** What a measurement was made with: where it differs, a line through the values must break. */
export interface MeasuringConditions {
	readonly bandId: number;
	/** Fraction of thigh length above the knee. */
	readonly bandLevel: number;
	readonly firstElectrodeDegrees: number;
	readonly side: "left" | "right";
	readonly circumferenceMetre: number;
	/** Which reference contraction the quadriceps' engagement is a share of; null for none. */
	readonly referenceId: number | null;
	/** The same for the hamstrings. */
	readonly hamstringReferenceId: number | null;
	/** Name of the drive, terminals and number of readings; null where it was not kept. */
	readonly drive: string | null;
	/** How pictures are regularised: prior and rule; null where it was not kept. */
	readonly regularisation: string | null;
	readonly frequencyHertz: number;
	readonly currentMilliamp: number;
	/** Version of the software that computed the value. */
	readonly softwareVersion: string;
	readonly simulated: boolean;
}

export type UnsafeComparison =
	| "band-changed"
	| "band-moved"
	| "other-side"
	| "limb-changed"
	| "reference-retaken"
	| "reference-missing"
	| "hamstring-reference-changed"
	| "drive-changed"
	| "regularisation-changed"
	| "dose-changed"
	| "software-changed"
	| "simulated-with-real";

/** Bounds of what counts as the same, our own (no source): the band a hundredth of the thigh higher or lower, turned by
 *  5° (7 mm on a thigh of 53 cm), the thigh 1 cm thinner or thicker, which is also a common difference of two sides. */
const SAME_LEVEL = 0.01;
const SAME_DEGREES = 5;
const SAME_CIRCUMFERENCE = 0.01;

/** Why two measurements should not be compared; empty if they may be. */
export function unsafeBetween(a: MeasuringConditions, b: MeasuringConditions): UnsafeComparison[] {
	const turned = Math.abs(a.firstElectrodeDegrees - b.firstElectrodeDegrees) % 360;
	// rounding must not decide at the bound itself
	const differs = (x: number, y: number, bound: number) => Math.abs(x - y) > bound * (1 + 1e-9);
	const checks: readonly [UnsafeComparison, boolean][] = [
		["band-changed", a.bandId !== b.bandId],
		[
			"band-moved",
			differs(a.bandLevel, b.bandLevel, SAME_LEVEL) || Math.min(turned, 360 - turned) > SAME_DEGREES,
		],
		["other-side", a.side !== b.side],
		["limb-changed", differs(a.circumferenceMetre, b.circumferenceMetre, SAME_CIRCUMFERENCE)],
		[
			"reference-retaken",
			a.referenceId !== null && b.referenceId !== null && a.referenceId !== b.referenceId,
		],
		["reference-missing", (a.referenceId === null) !== (b.referenceId === null)],
		["hamstring-reference-changed", a.hamstringReferenceId !== b.hamstringReferenceId],
		[
			"drive-changed",
			a.frequencyHertz !== b.frequencyHertz || a.currentMilliamp !== b.currentMilliamp || a.drive !== b.drive,
		],
		["regularisation-changed", a.regularisation !== b.regularisation],
		["software-changed", a.softwareVersion !== b.softwareVersion],
		["simulated-with-real", a.simulated !== b.simulated],
	];
	return checks.filter(([, isSo]) => isSo).map(([mark]) => mark);
}

/** `unknown` until the measure has test–retest data of its own: then noise cannot be told from progress. */
export type ChangeVerdict = "within-expected" | "larger-than-expected" | "unknown";

/** @param sem in the measure's unit; null where it was never determined */
export function verdictOn(change: number, sem: number | null): ChangeVerdict {
	if (sem === null) return "unknown";
	return Math.abs(change) > minimalDetectableChange(sem, 95) ? "larger-than-expected" : "within-expected";
}

export interface MeasuredValue {
	/** Days since the first session, or any other even measure of time. */
	readonly day: number;
	readonly value: number;
	readonly conditions: MeasuringConditions;
	/** What the plan asked for, where the measure follows from it, such as the time in a target range from the range. */
	readonly asked?: string;
}

/** Why two values of one measure should not be compared; empty if they may be. */
export function unsafeBetweenValues(a: MeasuredValue, b: MeasuredValue): UnsafeComparison[] {
	const reasons = unsafeBetween(a.conditions, b.conditions);
	return a.asked === b.asked ? reasons : [...reasons, "dose-changed"];
}

export interface ProgressPoint {
	readonly day: number;
	readonly value: number;
	/** Of the true value, 95 %; null without a standard error of measurement. */
	readonly band: readonly [low: number, high: number] | null;
	/** Why the line breaks before this point; empty if it goes on. */
	readonly brokenBy: readonly UnsafeComparison[];
	/** Against the first point of the unbroken stretch; null at that point itself. */
	readonly change: number | null;
	readonly verdict: ChangeVerdict | null;
}

/** A line over time that breaks where comparing is unsafe. @param values in the order of time */
export function progressOf(values: readonly MeasuredValue[], sem: number | null): ProgressPoint[] {
	let start: MeasuredValue | null = null;
	let previous: MeasuredValue | null = null;
	return values.map((measured) => {
		const brokenBy = previous === null ? [] : unsafeBetweenValues(previous, measured);
		// small moves below the bounds add up: the stretch's first measurement is compared, too
		const fromStart = start === null ? [] : unsafeBetweenValues(start, measured);
		const reasons = [...new Set([...brokenBy, ...fromStart])];
		previous = measured;
		const band = sem === null ? null : errorBand(measured.value, sem);
		if (start === null || reasons.length > 0) {
			start = measured;
			return {
				day: measured.day,
				value: measured.value,
				band,
				brokenBy: reasons,
				change: null,
				verdict: null,
			};
		}
		const change = measured.value - start.value;
		return {
			day: measured.day,
			value: measured.value,
			band,
			brokenBy: [],
			change,
			verdict: verdictOn(change, sem),
		};
	});
}
