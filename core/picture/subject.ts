import type { Band } from "../band/band.ts";
import { type PlacedElectrodes, placeElectrodes } from "../band/electrodes.ts";
import type { Limb, Point, Side } from "../limb/limb.ts";
import { createOutline, type Outline } from "../limb/outline.ts";
import { circlePoints } from "../limb/region-shapes.ts";
import type { Setup } from "../physics/case.ts";
import { restConductivity, typicalContactImpedance } from "../physics/tissue.ts";

/** What a picture is taken of, as the model sees it: a limb or a measured tank. */
export interface PictureSubject {
	readonly outline: Outline;
	readonly electrodes: PlacedElectrodes;
	/** Under the skin, m; none where left out. */
	readonly fatThickness?: number;
	/** A later region lies over an earlier one. */
	readonly regions: readonly SubjectRegion[];
	/** S/m, outside of all regions. */
	readonly backgroundSigma: number;
	/** [electrodeCount] Ω·m² */
	readonly contactImpedance: Float64Array;
	/** Null where left and right mean nothing. */
	readonly side: Side | null;
	/** `relative` where the conductivity at rest is not known: it is then 1. */
	readonly unit: "S/m" | "relative";
}

export interface SubjectRegion {
	readonly id: string;
	readonly name: string;
	readonly tissue: "muscle" | "fat" | "bone";
	/** Closed outline, m. */
	readonly points: readonly Point[];
	/** S/m at rest. */
	readonly sigma: number;
	/** Whether its mean is followed over time. */
	readonly inTrends: boolean;
}

/** Conductivities at rest by tissue at the drive's frequency; what lies in no region counts as muscle.
 *  @param contactImpedance [electrodeCount] Ω·m²; dry skin where none was measured
 *  @throws RangeError in one sentence when outline, band or regions are impossible */
export function limbSubject(
	limb: Limb,
	band: Band,
	frequencyHertz: number,
	contactImpedance?: Float64Array,
): PictureSubject {
	const outline = createOutline(limb.outline);
	return {
		outline,
		electrodes: placeElectrodes(outline, band),
		fatThickness: limb.fatThickness,
		regions: limb.regions.map((region) => ({
			...region,
			sigma: restConductivity(region.tissue, frequencyHertz),
			inTrends: region.tissue === "muscle",
		})),
		backgroundSigma: restConductivity("muscle", frequencyHertz),
		contactImpedance:
			contactImpedance ?? new Float64Array(band.electrodeCount).fill(typicalContactImpedance.dry),
		side: limb.side,
		unit: "S/m",
	};
}

/** A setup as in the case format. Its named regions are followed over time. */
export function setupSubject(setup: Setup): PictureSubject {
	const isKnown = setup.backgroundSigma !== null;
	return {
		outline: setup.outline,
		electrodes: setup.electrodes,
		regions: setup.regions.map(({ name, center, radius, sigma }, i) => ({
			id: name ?? `region-${i}`,
			name: name ?? `Region ${i + 1}`,
			tissue: "muscle",
			points: circlePoints(center, radius),
			sigma,
			inTrends: name !== null,
		})),
		backgroundSigma: setup.backgroundSigma ?? 1,
		contactImpedance: setup.contactImpedance,
		side: null,
		unit: isKnown ? "S/m" : "relative",
	};
}
