/**
 * 100 × involved / uninvolved, or the inverse where lower is better, percent. 90 % is the usual convention for return to
 * sport and below 85 % was studied as a low group (KSSTA 2019, s00167-019-05396-4; L. C. Schmitt et al., 2012,
 * PubMed 22813542). Both concern strength and hopping: an index of two impedance measurements must not
 * clear anybody for anything, so no threshold is applied here.
 */
export type LimbSymmetry =
	| { readonly state: "measured"; readonly percent: number; readonly caveats: readonly SymmetryCaveat[] }
	| { readonly state: "not-measured"; readonly reason: "divisor-not-positive" };

/**
 * `other-limb-weakens`: the other limb loses strength, too, so the index can overstate recovery (Zore et al., Appl. Sci.
 * 11:3498, 2021). `fat-and-fit-differ`: engagement of two limbs differs by fat and fit of the band as well. `not-for-clearance`:
 * it must not decide on loading or sport.
 */
export type SymmetryCaveat = "other-limb-weakens" | "fat-and-fit-differ" | "not-for-clearance";

export interface SideValue {
	readonly value: number;
	/** Standard error of measurement, in the value's unit; null where it was never determined. */
	readonly sem: number | null;
}

/** Standard error of an index in points: relative errors of a quotient add in quadrature (JCGM 100:2008, 5.1.6), the two
 *  sides taken as independent. Null where either error is unknown. */
export function symmetryError(percent: number, involved: SideValue, uninvolved: SideValue): number | null {
	if (involved.sem === null || uninvolved.sem === null) return null;
	if (!(involved.value > 0 && uninvolved.value > 0)) return null;
	return percent * Math.hypot(involved.sem / involved.value, uninvolved.sem / uninvolved.value);
}

/** @param measure whether the numbers come from the band, which adds its own caveat */
export function limbSymmetry(
	involved: number,
	uninvolved: number,
	better: "higher" | "lower",
	measure: "band" | "other",
): LimbSymmetry {
	const [over, under] = better === "higher" ? [involved, uninvolved] : [uninvolved, involved];
	if (!(under > 0 && Number.isFinite(over))) {
		return { state: "not-measured", reason: "divisor-not-positive" };
	}
	return {
		state: "measured",
		percent: (100 * over) / under,
		caveats:
			measure === "band"
				? ["other-limb-weakens", "fat-and-fit-differ", "not-for-clearance"]
				: ["other-limb-weakens", "not-for-clearance"],
	};
}
