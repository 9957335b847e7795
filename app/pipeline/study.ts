/** What can be asked of the model worker besides a model: what a band sees, what an error of fat does, another strength. */
import type { BandStudy, FatStudy, StrengthTrial } from "../contract.ts";

export type StudyWish =
	/** `angle`: direction of the radius, radians from +x anticlockwise. */
	| { readonly kind: "band"; readonly angle: number }
	| { readonly kind: "fat" }
	/** `readings` [nReadings] ohm; `kept` [nReadings] as for a picture's trust, null where all are trusted. */
	| {
			readonly kind: "strength";
			readonly lambda: number;
			readonly readings: Float64Array;
			readonly kept: Float64Array | null;
	  };

interface Studies {
	readonly band: BandStudy;
	readonly fat: FatStudy;
	readonly strength: Omit<StrengthTrial, "geometryId">;
}

export type StudyOf<W extends StudyWish> = Studies[W["kind"]];
export type Study = StudyOf<StudyWish>;
