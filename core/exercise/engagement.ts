import type { RestLevel } from "./rest-level.ts";

/**
 * What one region's reference contraction gave. `none`: not taken. `not-detected`: taken, but the region did not rise
 * clear of its noise at rest, or not always the same way; it takes no part in scores.
 */
export type RegionReference =
	| { readonly state: "none" }
	| {
			readonly state: "not-detected";
			readonly reason: "within-noise" | "directions-differ";
			readonly rest: RestLevel;
	  }
	| {
			readonly state: "taken";
			readonly rest: RestLevel;
			/** Signed change from rest, unit of the signal: the region may rise or fall when its muscle works. */
			readonly change: number;
			/** Standard deviation over mean of the contractions' changes, percent; null from a single contraction. */
			readonly variationPercent: number | null;
			readonly repeatability: "repeatable" | "not-repeatable" | "unknown";
	  };

/** One region's engagement now. Never force, strength or muscle activity: the index of an impedance change. */
export type Engagement =
	| { readonly kind: "percent"; readonly percent: number }
	/** Change from rest in the signal's unit, where no reference was taken. */
	| { readonly kind: "raw"; readonly change: number }
	| { readonly kind: "not-detected" };

/** A reference below this many deviations of the noise at rest is none (common practice, no source). */
export const DETECTION_DEVIATIONS = 3;

/**
 * 100·(x − rest)/(reference − rest), percent, whichever sign the reference had. Normalising to a reference contraction
 * and saying which: M. Besomi et al., "CEDE amplitude normalization matrix", J. Electromyogr. Kinesiol. 53:102438, 2020.
 * @throws RangeError if the reference equals rest
 */
export function engagementPercent(value: number, rest: number, reference: number): number {
	if (reference === rest) throw new RangeError("engagement: the reference equals rest");
	return (100 * (value - rest)) / (reference - rest);
}

/** @param rest the newest rest, which may have drifted since the reference was taken */
export function engagementOf(value: number, rest: number, reference: RegionReference): Engagement {
	switch (reference.state) {
		case "none":
			return { kind: "raw", change: value - rest };
		case "not-detected":
			return { kind: "not-detected" };
		case "taken":
			return { kind: "percent", percent: engagementPercent(value, rest, rest + reference.change) };
	}
}

/** For the live path: engagement of all regions of a frame. */
export interface EngagementScale {
	readonly unit: readonly ("percent" | "raw" | "not-detected")[];
	/** engagement[nRegions] = percent, change from rest, or NaN where not detected. values, rest [nRegions] in the signal's
	 *  unit. Allocates nothing. @throws RangeError on lengths */
	into(values: ArrayLike<number>, rest: ArrayLike<number>, engagement: Float64Array): void;
}

export function createEngagementScale(references: readonly RegionReference[]): EngagementScale {
	const factors = Float64Array.from(references, (reference) =>
		reference.state === "taken" ? 100 / reference.change : reference.state === "none" ? 1 : Number.NaN,
	);
	return {
		unit: references.map(({ state }) => (state === "taken" ? "percent" : state === "none" ? "raw" : state)),
		into(values, rest, engagement) {
			const n = factors.length;
			if (values.length !== n || rest.length !== n || engagement.length !== n) {
				throw new RangeError(`engagement: ${n} regions were expected`);
			}
			for (let i = 0; i < n; i++) engagement[i] = (values[i]! - rest[i]!) * factors[i]!;
		},
	};
}
