/** Whether two measurements may be compared, and what a change means, in words. */
import type { Progress } from "../../app/contract.ts";
import type { LimbSymmetry, SymmetryCaveat } from "../../core/exercise/limb-symmetry.ts";
import type { ChangeVerdict, UnsafeComparison } from "../../core/exercise/progress.ts";
import { errorReach, formatMeasure, formatSpread } from "./measure.ts";
import { formatDay, formatQuantity } from "./quantity.ts";

export interface UnsafeWords {
	/** What is different, a few words. */
	readonly what: string;
	/** What that does to a comparison, one sentence. */
	readonly why: string;
}

export function unsafeWords(reason: UnsafeComparison): UnsafeWords {
	switch (reason) {
		case "band-changed":
			return {
				what: "another band",
				why: "Another band reads the thigh from other places, so the same work gives other numbers.",
			};
		case "band-moved":
			return {
				what: "band in another place",
				why: "The band sat higher, lower or turned, so it looked at another slice of the thigh.",
			};
		case "other-side":
			return {
				what: "other side",
				why: "The two thighs differ in fat and in how the band fits, apart from how they work.",
			};
		case "limb-changed":
			return {
				what: "thigh of another girth",
				why: "The thigh was thinner or thicker, which changes the readings by itself.",
			};
		case "reference-retaken":
			return {
				what: "new reference contraction",
				why: "Engagement is a share of the reference, and the two were measured against different ones.",
			};
		case "reference-missing":
			return {
				what: "reference on one side only",
				why: "One was measured against a reference and the other without: their units differ.",
			};
		case "hamstring-reference-changed":
			return {
				what: "hamstring reference not the same",
				why: "The ratio of hamstrings to quadriceps is a share of it: with another one, or none, it does not compare.",
			};
		case "drive-changed":
			return {
				what: "other current, frequency or drive",
				why: "Conductivity changes with frequency, noise with current, and each drive sees the thigh in its own way.",
			};
		case "regularisation-changed":
			return {
				what: "picture made in another way",
				why: "Another regularisation spreads the same change over another area, which changes every region’s mean.",
			};
		case "software-changed":
			return {
				what: "other version of the software",
				why: "Another version may compute the same readings to another value.",
			};
		case "dose-changed":
			return {
				what: "another dose",
				why: "The plan asked for another target, hold or number, so another value was to be expected.",
			};
		case "simulated-with-real":
			return {
				what: "invented beside measured",
				why: "Invented data say nothing about a person.",
			};
	}
}

/** What is different, as a list for the middle of a sentence. */
export function unsafeList(reasons: readonly UnsafeComparison[]): string {
	return reasons.map((reason) => unsafeWords(reason).what).join(", ");
}

export function verdictWords(verdict: ChangeVerdict): string {
	switch (verdict) {
		case "within-expected":
			return "within expected variation";
		case "larger-than-expected":
			return "larger than expected variation";
		case "unknown":
			return "not judged, error unknown";
	}
}

/** @param error standard error of the index, points */
export function symmetryWords(symmetry: LimbSymmetry, error: number | null): string {
	if (symmetry.state === "not-measured") return "not measured: the other side shows nothing to divide by";
	const index = `${formatQuantity(symmetry.percent, 0, "%")} of the other side`;
	return error === null
		? `${index}, error unknown`
		: `${index}, ±\u00a0${formatSpread(errorReach(error), "%")} (95\u00a0%)`;
}

/** What an index was made of: both values, and when each was measured. */
export function symmetrySides(
	{ unit, involved, uninvolved }: Progress["symmetry"][number],
	starts: ReadonlyMap<number, string>,
): string {
	const side = ({ value, sessionId }: typeof involved): string => {
		const startedAt = starts.get(sessionId);
		return `${formatMeasure(value, unit)}${startedAt === undefined ? "" : ` on ${formatDay(startedAt)}`}`;
	};
	return `${side(involved)} against ${side(uninvolved)}`;
}

export function caveatWords(caveat: SymmetryCaveat): string {
	switch (caveat) {
		case "other-limb-weakens":
			return "The other leg loses condition, too, so the index can overstate recovery.";
		case "fat-and-fit-differ":
			return "The two thighs differ in fat and in how the band fits.";
		case "not-for-clearance":
			return "It must not decide on loading, work or sport.";
	}
}
