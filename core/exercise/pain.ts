/**
 * Pain from 0 none to 10 worst imaginable, in words of the person. One point or 15 % is the smallest worthwhile change,
 * two points or a third is "much better" (F. Salaffi et al., Eur. J. Pain 8:283, 2004; about two points or 30 %: J. T.
 * Farrar et al., Pain 94:149, 2001).
 */
export type PainVerdict = "much-better" | "slightly-better" | "same" | "slightly-worse" | "much-worse";

/** Rounding must not decide at the bound itself. */
const TOLERANCE = 1e-9;

export function isPain(value: number): boolean {
	return value >= 0 && value <= 10;
}

/** @throws RangeError outside 0 to 10 */
export function painChange(before: number, after: number): PainVerdict {
	if (!(isPain(before) && isPain(after))) throw new RangeError("pain goes from 0 to 10");
	const change = after - before;
	const points = Math.abs(change);
	const share = before > 0 ? points / before : 0;
	const isMuch = points >= 2 - TOLERANCE || share >= 0.33 - TOLERANCE;
	const isSlight = points >= 1 - TOLERANCE || share >= 0.15 - TOLERANCE;
	if (!isSlight && !isMuch) return "same";
	if (change < 0) return isMuch ? "much-better" : "slightly-better";
	return isMuch ? "much-worse" : "slightly-worse";
}
